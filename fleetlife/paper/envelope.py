"""A symbol's text as scanners send it, taken apart into the formats of its message and their fields.

ISO/IEC 15434: `[)>`, then for each format the record separator, two characters that name the format, and its fields,
each after a group separator; a record separator ends each format, and end of transmission the message.

What is read beside the control characters themselves (30, 29, 4): what scanners, terminals and pages show in their
place, `{RS}` `<RS>` `[RS]`, `^^` `^]` `^D`, `\\x1e` or `\\u001e`, and the pictures of Unicode. Which of them a message
uses, its own beginning says; whatever else looks like one stays part of the data. The prefix that names the sort of
symbol (`]d1`), blanks and line ends before and after the message are no part of it.

Nothing is divided by guessing. A message whose separators were left out is refused, save where every field has a
length of its own.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from fleetlife.paper.identifiers import APPLICATION, DATA, FORMATS, TEXT, Format, application_fields, could_be_fields
from fleetlife.terms.refusal import Refusal

INDICATOR = "[)>"
RS, GS, EOT = "\x1e", "\x1d", "\x04"
LONGEST = 4_096  # a Data Matrix holds 2,335 letters and digits, and a separator may be written with six characters

# How each control character is written, the character itself first; the n-th of each belong together.
_WRITTEN: dict[str, tuple[str, ...]] = {
    RS: (RS, r"\{RS\}", "<RS>", r"\[RS\]", r"\^\^", r"\\x1e", r"\\u001e", "␞", "<0x1e>"),
    GS: (GS, r"\{GS\}", "<GS>", r"\[GS\]", r"\^\]", r"\\x1d", r"\\u001d", "␝", "<0x1d>"),
    EOT: (EOT, r"\{EOT\}", "<EOT>", r"\[EOT\]", r"\^D", r"\\x04", r"\\u0004", "␄", "<0x04>"),
}
_ANY = {sign: re.compile("|".join(written), re.IGNORECASE) for sign, written in _WRITTEN.items()}
_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_AROUND = " \t\r\n\x02\x03"  # no separators: those belong to the message
_SEND = "Set the scanner to send the control characters (or {RS}, {GS} and {EOT} in their place), or type part and \
serial number as they are on the plate."


@dataclass(frozen=True, slots=True)
class Record:
    """One format of a message: the two characters that name it, and its fields as sent."""

    named: str
    fields: tuple[str, ...]

    @property
    def format(self) -> Format | None:
        """What its fields are; None for a format that is not read here."""
        return FORMATS.get(self.named)


@dataclass(frozen=True, slots=True)
class Message:
    """The formats of a message in order. remarks: what was left out on the way, each a sentence."""

    records: tuple[Record, ...]
    remarks: tuple[str, ...] = ()


def is_message(text: str) -> bool:
    """Whether the text begins as a message does; whether it is one, `open_envelope` says."""
    return _bare(text).startswith(INDICATOR)


def open_envelope(text: str) -> Message:
    """The formats and fields of a message.

    Refusals: `symbol-empty`, `symbol-too-long`, `symbol-no-message`, `symbol-separators-missing`, `symbol-cut-off`,
    `symbol-damaged`, `symbol-format-not-known`.
    """
    if len(text) > LONGEST:
        raise Refusal(
            "symbol-too-long",
            f"{len(text):,} characters are more than a symbol holds.",
            remedy="Scan one symbol alone.",
        )
    bare = _bare(text)
    if not bare:
        raise Refusal("symbol-empty", "The scanner sent nothing.", remedy="Scan it again, or type both numbers.")
    if not bare.startswith(INDICATOR):
        raise Refusal(
            "symbol-no-message",
            f"What was scanned does not begin with {INDICATOR} as an ISO/IEC 15434 message does.",
            remedy="Scan the plate's data symbol and no other code, or type both numbers as they are on the plate.",
        )
    body = bare[len(INDICATOR) :]
    if INDICATOR in body:
        raise _damaged(f"{INDICATOR} stands in it twice: two symbols were scanned into one another")
    body, sent = _plain(body)
    ended = body.endswith(EOT)
    body = body.removesuffix(EOT)
    if EOT in body:
        raise _damaged("something follows its end")
    if not body:
        raise _damaged(f"nothing follows {INDICATOR}")
    if stray := next((c for c in body if c not in (RS, GS) and unicodedata.category(c) in ("Cc", "Cs")), None):
        raise _damaged(f"the control character {ord(stray):02X} stands among its data")
    if body.startswith(RS):
        records = _records(body[1:], ended=ended)
        remarks: tuple[str, ...] = ()
    else:
        records, remarks = _without_record_separator(body, sent)
    if all(record.format is None for record in records):
        raise Refusal(
            "symbol-format-not-known",
            f"The message is in format {' and '.join(sorted({record.named for record in records}))}.",
            remedy=f"Read here are formats {', '.join(FORMATS)}. Type both numbers as they are on the plate.",
        )
    return Message(records, remarks)


def _bare(text: str) -> str:
    """Without what a scanner puts around the message."""
    bare = text.strip(_AROUND)
    if match := _SYMBOLOGY.match(bare):
        bare = bare[match.end() :].lstrip(_AROUND)
    return bare


def _plain(body: str) -> tuple[str, set[str]]:
    """The text with its separators as control characters, and which of them were sent.

    How a separator is written is said by the message's own beginning: there stand a record separator, two characters
    and a group separator. What the end is written with stands at the end alone.
    """
    sent: set[str] = set()
    if match := _ANY[RS].match(body):
        body = _replaced(body, RS, match[0])
        sent.add(RS)
    after = body.removeprefix(RS)
    if match := _ANY[GS].match(after, 2):
        body = _replaced(body, GS, match[0])
        sent.add(GS)
    ends = [match for match in _ANY[EOT].finditer(body) if match.end() == len(body)]
    if ends:
        body = body[: ends[-1].start()] + EOT
        sent.add(EOT)
    return body, sent


def _replaced(body: str, sign: str, seen: str) -> str:
    """Every place where the separator is written as it was at the beginning."""
    if seen == sign:
        return body
    return re.sub(re.escape(seen), sign, body, flags=re.IGNORECASE)


def _records(body: str, *, ended: bool) -> tuple[Record, ...]:
    """The formats between record separators, each whole."""
    parts = body.split(RS)
    if parts[-1]:
        if not ended:
            raise Refusal(
                "symbol-cut-off",
                "The message has no end: neither a record separator nor the end of transmission came last, so its last "
                "number may lack characters.",
                remedy="Scan it again. If it is always so, set the scanner to send the whole message.",
            )
    else:
        parts.pop()
    records = tuple(_record(part) for part in parts)
    if not records:
        raise _damaged("it has no format")
    return records


def _record(part: str) -> Record:
    named, rest = part[:2].upper(), part[2:]
    if len(named) < 2 or not (named.isascii() and named.isalnum()):
        raise _damaged(f"a format is named by two letters or digits, and {part[:2]!r} is none")
    if named not in FORMATS:
        return Record(named, (rest,) if rest else ())
    if not rest:
        raise _damaged(f"format {named} has no fields")
    if not rest.startswith(GS):
        return Record(named, _undivided(named, rest))
    fields = tuple(rest[1:].split(GS))
    if not any(fields):
        raise _damaged(f"format {named} has no fields")
    return Record(named, fields)


def _without_record_separator(body: str, sent: set[str]) -> tuple[tuple[Record, ...], tuple[str, ...]]:
    """One format whose record separators were left out, where it is certain that it is one."""
    named, rest = body[:2].upper(), body[2:]
    known = FORMATS.get(named)
    if known is None:
        raise _damaged(f"no record separator and no format that is read here follows {INDICATOR}")
    if GS not in sent:
        return (Record(named, _undivided(named, rest)),), ()
    record = _record(body)
    _one_format_alone(record)
    remark = "The scanner left out the record separators"
    return (record,), (f"{remark}." if EOT in sent else f"{remark} and the end of the message.",)


def _one_format_alone(record: Record) -> None:
    """That no field but the last can hold the beginning of another format. Refusal: `symbol-separators-missing`."""
    for place, text in enumerate(record.fields[:-1]):
        for named, other in FORMATS.items():
            if len(text) > 2 and text.upper().endswith(named) and could_be_fields(other, record.fields[place + 1 :]):
                raise _missing(
                    f"the record separators were left out, and {text!r} may end in {named} or be followed by a format "
                    f"{named}"
                )


def _undivided(named: str, rest: str) -> tuple[str, ...]:
    """Fields without separators: read only where each has a length of its own."""
    if FORMATS[named] is APPLICATION and (fields := application_fields(rest, whole=True)) is not None:
        return fields
    if not rest:
        raise _damaged(f"format {named} has no fields")
    why = {
        APPLICATION: "a batch, a serial or a part number ends where its separator stands, and nowhere else",
        DATA: "a number may hold what looks like the next identifier: 1P12S34 is part 12 serial 34 as well as part "
        "12S34",
        TEXT: "a number may hold what looks like the next identifier: PNR 12SER34 is part 12 serial 34 as well as part "
        "12SER34",
    }[FORMATS[named]]
    raise _missing(f"the group separators were left out, and {why}")


def _missing(why: str) -> Refusal:
    return Refusal("symbol-separators-missing", f"The message cannot be divided without guessing: {why}.", remedy=_SEND)


def _damaged(why: str) -> Refusal:
    return Refusal(
        "symbol-damaged",
        f"The message is not one of ISO/IEC 15434: {why}.",
        remedy="Scan it again, or type both numbers as they are on the plate.",
    )
