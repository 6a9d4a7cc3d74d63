"""The signs beside the words, so that nothing rests on colour: two plain characters each, with a legend.

Whatever begins with `!` is past a due point or stops. The words always stand beside the sign.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.text import Text

from fleetlife.reports.harmless import TIE, harmless
from fleetlife.reports.lines import QUIET, Flow

STATE_SIGNS: dict[str, str] = {
    "overdue": "!!",
    "no refill": "!-",
    "in variation": "!+",
    "due": ">>",
    "unknown": "??",
    "waiting": "..",
    "in date": "==",
}
STATE_MEANS: dict[str, str] = {
    "overdue": "overdue: past its due point, nothing covers it",
    "no refill": "no refill: past its date, may stay until emptied; not to be refilled or newly fitted",
    "in variation": "in variation: past its first due point, covered by a permitted variation",
    "due": "due: falls due in the window",
    "unknown": "unknown: no date can be told",
    "waiting": "waiting: its calendar starts when it is fitted",
    "in date": "in date",
}
VERDICT_SIGNS: dict[str, str] = {"stop": "!!", "condition": ">>", "rectify": ">>", "note": "--", "clear": "=="}
ESTIMATE = "~"
ESTIMATE_MEANS = "~ estimated: projected from readings or bounded by them, rounded against the unit"
_STYLES = {"!!": "bold red", "!-": "yellow", "!+": "yellow", ">>": "bold", "??": "bold magenta"}
_NO_SIGN = "??"


def state_sign(state: str) -> str:
    """The sign of a row's state; a state without one is unknown."""
    return STATE_SIGNS.get(state, _NO_SIGN)


def verdict_sign(verdict: str) -> str:
    """The sign of a severity or of a verdict."""
    return VERDICT_SIGNS.get(verdict, _NO_SIGN)


def signed(sign: str, words: str = "") -> Text:
    """Sign and words."""
    text = Text.assemble((sign, _STYLES.get(sign, "")), end="")
    if words:
        text.append(f" {harmless(words)}")
    return text


def state_in_words(state: str) -> Text:
    """`!! overdue`, kept on one line."""
    sign = state_sign(state)
    return Text.assemble((sign + TIE + harmless(state).replace(" ", TIE), _STYLES.get(sign, "")), end="")


def state_legend(states: Iterable[str], *more: str) -> Flow:
    """What the signs used mean, in the order of the states."""
    used = set(states)
    items = [f"{STATE_SIGNS[state]} {STATE_MEANS[state]}" for state in STATE_SIGNS if state in used]
    return Flow([Text(item, style=QUIET) for item in (*items, *more)], fold=3)


def verdict_legend(*words: str) -> Flow:
    """What the signs of severities or verdicts mean."""
    return Flow([Text(f"{VERDICT_SIGNS[word]} {word}", style=QUIET) for word in words])
