"""Stops accepted by name and reason: what really happened can always be recorded, and nothing in silence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Acknowledgement:
    """A stop accepted by name and reason: the finding's code, who accepts it and why."""

    finding: str
    name: str
    reason: str


def notes_of(
    stops: Sequence[Reason],
    acknowledged: Sequence[Acknowledgement],
    *,
    subject: str,
    what: str,
    kept_open: str,
    preview: bool,
) -> tuple[dict[str, str], ...]:
    """The acknowledgements as the entry keeps them, of the stops there are and no others.

    `what` is stopped (this fitting); `kept_open` ends the remedy. Refusal: `stops-not-acknowledged`, with every stop
    that is not; a preview needs none.
    """
    by_code = {item.finding.upper(): item for item in acknowledged}
    missing = [reason for reason in stops if (reason.code or "").upper() not in by_code]
    if missing and not preview:
        codes = " ".join(sorted({reason.code or "" for reason in missing}))
        raise Refusal(
            "stops-not-acknowledged",
            f"{len(missing)} finding{'s' if len(missing) != 1 else ''} would stop {what}.",
            remedy=f"If it really happened, repeat with --acknowledge CODE for each ({codes}), --reason and --name; "
            f"{kept_open}",
            details=tuple(f"{reason.code} {reason.topic}: {reason.text}" for reason in missing),
        )
    notes = []
    for reason in stops:
        item = by_code.get((reason.code or "").upper())
        if item is not None:
            note = {"finding": reason.code or "", "subject": subject, "reason": item.reason, "name": item.name}
            if note not in notes:
                notes.append(note)
    return tuple(notes)
