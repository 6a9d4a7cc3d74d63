"""The version, for the entries that this program writes."""

VERSION = "0.1.0"
