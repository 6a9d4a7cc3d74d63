"""The closed vocabularies: every list of allowed words exists once, here."""

from __future__ import annotations

SIDES = ("left", "right", "centre")
HARNESS_SIDES = ("left", "right")
HARNESSES = ("left", "right", "none", "unknown")
RIGS = ("either", "left", "right", "none")
CONDITIONS = ("serviceable", "unserviceable", "unsalvageable", "unknown")
PLACE_KINDS = ("position", "slot", "store", "shop", "loan", "scrap", "unknown")
TRANSFER_TARGETS = ("store", "shop", "parent", "loan", "scrap", "unknown")
REMOVAL_KINDS = ("scheduled", "unscheduled", "convenience", "access", "robbery", "loan_return", "modification")
REMOVED_TO = ("store", "shop", "loan", "scrap", "unknown")
REQUIREMENT_KINDS = (
    "overhaul",
    "requalification",
    "inspection",
    "functional_test",
    "replacement",
    "life_limit",
    "storage",
    "soft_life",
    "on_condition",
)
SOURCES = (
    "airworthiness_limitation",
    "certification_maintenance",
    "directive",
    "dangerous_goods",
    "manufacturer",
    "programme",
    "operator",
)
# Rule 10: nothing extends these.
UNEXTENDABLE_SOURCES = ("airworthiness_limitation", "certification_maintenance", "directive")
STARTS = ("manufacture", "cure", "release", "first_installation", "installation", "each_installation")
# What `operation record` knows by itself; programmes may count others.
OPERATIONS = ("filling", "pressurisation", "activation")
DATE_BASES = ("release", "mark", "log")
DIRECTIONS = ("one-way", "two-way", "supersedes")
LIFE_QUALITIES = ("documented", "rebuilt", "estimated")
AIRFRAME_STATUSES = ("in_service", "parked", "withdrawn")
RELEASE_STATUSES = ("new", "prototype", "overhauled", "repaired", "inspected", "tested", "inspected/tested", "modified")
FORM_SIDES = ("production", "maintenance")
ROW_STATES = ("overdue", "no refill", "in variation", "due", "in date", "waiting", "unknown")
MEASURES = ("calendar", "hours", "cycles", "operations")
# Limits in these are refused by name until supported, never mapped to cycles.
UNSUPPORTED_COUNTERS = ("landings", "apu_hours", "apu hours", "apu_cycles", "engine_hours", "engine_cycles")
