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
# Publications; those of an authority are mandatory, and what a manufacturer issues is not by itself.
PUBLICATION_KINDS = ("directive", "emergency_directive", "alert", "bulletin", "letter")
MANDATORY_KINDS = ("directive", "emergency_directive")
# Rule 10: nothing extends these.
UNEXTENDABLE_SOURCES = ("airworthiness_limitation", "certification_maintenance", "directive")
STARTS = ("manufacture", "cure", "release", "first_installation", "installation", "each_installation")
# What `operation record` knows by itself; programmes may count others.
OPERATIONS = ("filling", "pressurisation", "activation", "deployment")
DATE_BASES = ("release", "mark", "log")
DIRECTIONS = ("one-way", "two-way", "supersedes")
LIFE_QUALITIES = ("documented", "rebuilt", "estimated")
AIRFRAME_STATUSES = ("in_service", "parked", "withdrawn")
# What an airframe is doing from a day on; units of one that was in an accident may not be fitted until released.
AIRFRAME_STATES = (*AIRFRAME_STATUSES, "accident")
RECEIPT_RESULTS = ("accepted", "quarantined")
# Of a hold: that a unit is a suspected unapproved part, that it is none, that what a receipt found no longer holds it.
HOLD_DECISIONS = ("suspected", "cleared", "lifted")
# A swap: its steps beside its plan, its movement and its signatures; and the roles in which it is signed.
SWAP_STEPS = ("checked", "begun", "given_up")
SIGNATURE_ROLES = ("performed", "inspected", "released")
SWAP_STATES = ("planned", "checked", "begun", "done", "released", "given up")
SWAPS_OVER = SWAP_STATES[-2:]
# What is accounted for at a door beside the units, and what may be said of each.
OUTCOMES = {
    "device": ("placed", "removed", "not_used"),
    "lock": ("broken", "remade", "not_broken"),
    "test": ("passed", "failed"),
    "retained": ("stayed", "left", "not_found"),
}
WORK_CATEGORIES = tuple(OUTCOMES)
RELEASE_CATEGORIES = ("device", "lock", "test", "inspection")
PRESSURE_UNITS = ("psi", "bar", "kPa", "MPa")
# Of a deployment.
INTENTS = ("intended", "unintended")
# How a part that is scrapped is kept from coming back.
DISPOSITIONS = ("record", "tag", "mark", "permanent_mark", "segregated", "mutilated", "other")
RELEASE_STATUSES = ("new", "prototype", "overhauled", "repaired", "inspected", "tested", "inspected/tested", "modified")
FORM_SIDES = ("production", "maintenance")
ROW_STATES = ("overdue", "no refill", "in variation", "due", "in date", "waiting", "unknown")
MEASURES = ("calendar", "hours", "cycles", "operations")
# What a counter beyond flight hours and cycles counts: a whole number, or hours as HHHH:MM.
COUNTER_MEASURES = ("count", "hours")
# Columns that bear these names are refused with the way to state a counter; none is ever taken for cycles.
OTHER_COUNTERS = ("landings", "apu_hours", "apu hours", "apu_cycles", "engine_hours", "engine_cycles")
# Words that no counter may be called: they name a measure or its flight totals already.
TAKEN_BY_MEASURES = (
    *MEASURES,
    *("flight hours", "flight cycles", "airframe hours", "airframe cycles"),
    *("hour", "cycle", "fh", "fc", "days", "months"),
)
