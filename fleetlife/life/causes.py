"""Why a measure is unknown: the closed list of causes, a sentence for the reader and the document that clears each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """`word` is what a due point carries, `sentence` what is read, `clears` which document would make it known."""

    word: str
    sentence: str
    clears: str


CAUSES: dict[str, Cause] = {
    cause.word: cause
    for cause in (
        Cause(
            word="no-manufacture-date",
            sentence="The date of manufacture is not recorded.",
            clears="The data plate, or the certificate the unit was first released with.",
        ),
        Cause(
            word="no-cure-date",
            sentence="The cure date is not recorded.",
            clears="The package label or the maker's certificate that shows the cure date.",
        ),
        Cause(
            word="no-release",
            sentence="No release of the unit as new is recorded.",
            clears="The release certificate whose status is new.",
        ),
        Cause(
            word="no-accomplishment",
            sentence="No accomplishment of this requirement is recorded, and nothing else from which it could count.",
            clears="The release certificate or log page that shows the work.",
        ),
        Cause(
            word="no-mark",
            sentence="The last requalification is recorded without the mark on the cylinder.",
            clears="The month and year stamped on the cylinder, or the test report that states them.",
        ),
        Cause(
            word="no-count-at-accomplishment",
            sentence="What the unit had run when the work was done is not recorded.",
            clears="The certificate or log page of the work, with the total since new or since the work.",
        ),
        Cause(
            word="no-count-at-installation",
            sentence="What the unit had run when it was installed is not known.",
            clears="The airframe's totals on the day of the installation, or the unit's total since new.",
        ),
        Cause(
            word="no-count-since-new",
            sentence="The unit's total since new is not recorded.",
            clears="The history card or the certificates back to birth.",
        ),
        Cause(
            word="no-totals-of-a-stay",
            sentence="A stay of the unit has no airframe totals at one of its ends, so its count since is not known.",
            clears="Readings of that airframe at both ends of the stay.",
        ),
        Cause(
            word="no-operation-record",
            sentence="No operation of the named kind is recorded since the opening statement.",
            clears="The record of fillings, pressurisations or activations since then, a count of none included.",
        ),
        Cause(
            word="no-operations-since-new",
            sentence="The operations since new at the opening statement are not recorded.",
            clears="The record of fillings, pressurisations or activations from new.",
        ),
        Cause(
            word="no-airframe-reading",
            sentence="The airframe that carries the unit has no reading of its totals to count from.",
            clears="A reading of the airframe's hours and cycles.",
        ),
        Cause(
            word="no-counter-reading",
            sentence="The airframe that carries the unit has no reading of the counter to count from.",
            clears="A reading of that counter on the airframe.",
        ),
        Cause(
            word="not-proven-by-paper",
            sentence="The work is claimed, but its certificate does not show it, and no earlier work is shown.",
            clears="A release certificate whose status shows the work itself.",
        ),
        Cause(
            word="not-passed",
            sentence="The cylinder was condemned by the figures of its expansion test, and no earlier test is shown.",
            clears="A correction, if the figures were misread; nothing restores a condemned cylinder.",
        ),
        Cause(
            word="no-first-installation",
            sentence="When the unit was first installed is not recorded.",
            clears="The technical log page or history card of the first installation.",
        ),
        Cause(
            word="no-installation-date",
            sentence="The unit was installed at the opening statement, but since when is not recorded.",
            clears="The technical log page of that installation.",
        ),
        Cause(
            word="no-count-at-effective-date",
            sentence="What the unit had run on the effective date of the publication is not known.",
            clears="Readings of the airframe around that day, or a history card that shows the count then.",
        ),
        Cause(
            word="not-effective-yet",
            sentence="The publication has not taken effect: what the unit will have run then is not known.",
            clears="Nothing before its effective date.",
        ),
        Cause(
            word="no-limit-stated",
            sentence="The requirement states no limit and does not say that nothing is due.",
            clears="The programme page that gives the interval, or states on condition.",
        ),
    )
}


def cause_sentence(word: str) -> str:
    """The sentence for the reader."""
    return CAUSES[word].sentence


def what_clears(word: str) -> str:
    """The document that would make the measure known."""
    return CAUSES[word].clears
