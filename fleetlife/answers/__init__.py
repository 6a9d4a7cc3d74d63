"""Questions, one file each; each returns values and writes nothing."""
