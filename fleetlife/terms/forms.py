"""The public release-certificate forms as data: their blocks by number, their terms, and how a correction is numbered.

Block numbers moved between editions and the two families answer a correction differently, so each edition is a row of
its own. `read`: the statement was seen in the published text; what is not was written down from memory and must be
checked against the form before it is quoted as a rule. Nothing here is taken for an edition that a paper does not name.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

PRODUCTION, MAINTENANCE = "production", "maintenance"
NEW_NUMBER, SAME_NUMBER = "a new tracking number", "the same tracking number"


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A numbered block. `column`: the column of the file `certificates` that it is kept in, None where none is."""

    number: str
    holds: str
    column: str | None = None
    read: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A word that the status block may hold, in the spelling of paper/status.py, and the side that it belongs to."""

    term: str
    side: str
    read: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseForm:
    """One edition of a form. `valid_from`: a partial date, None where nobody has read one.

    `family`: the name without an edition, under which a paper may name it too. `sides`: which sides a line may be
    released on. `correction`: which number a corrected certificate bears; `remark`: what its remarks must say.
    `one_part`: one part number a form. `rules`: keys of the published rules it is stated by.
    """

    name: str
    family: str
    authority: str
    valid_from: str | None
    valid_from_read: bool = True
    sides: tuple[str, ...]
    terms: tuple[Term, ...]
    blocks: tuple[Block, ...]
    correction: str
    correction_read: bool
    remark: str
    one_part: bool = False
    rules: tuple[str, ...]


def _first_blocks(authority: str, title: str, *, read: tuple[str, ...]) -> tuple[Block, ...]:
    """Blocks 1 to 8, which have the same numbers on every edition kept here; `read`: those that were seen."""
    told = (
        ("1", authority, "authority"),
        ("2", f"name of the form: {title}", "form"),
        ("3", "form tracking number", "tracking_number"),
        ("4", "organisation name and address", "organisation"),
        ("5", "work order, contract or invoice", "work_order"),
        ("6", "item", "item"),
        ("7", "description", "description"),
        ("8", "part number", "part_number"),
    )
    return tuple(Block(number=n, holds=holds, column=column, read=n in read) for n, holds, column in told)


_FORM_1 = "EASA Form 1"
_ALL_READ = ("1", "2", "3", "4", "5", "6", "7", "8")
_UK_FORM_1 = "CAA Form 1"
_8130 = "FAA Form 8130-3"
_QUANTITY = Block(number="9", holds="quantity", column="quantity")
_QUANTITY_FROM_MEMORY = Block(number="9", holds="quantity", column="quantity", read=False)
_SERIAL = Block(number="10", holds="serial number", column="serial_number")
_SERIAL_FROM_MEMORY = Block(number="10", holds="serial number", column="serial_number", read=False)
_STATUS = Block(number="11", holds="status or work", column="status")
_LEFT_13 = (
    Block(number="13a", holds="release statement, production", read=False),
    Block(number="13b", holds="authorised signature, production", read=False),
    Block(number="13c", holds="approval or authorisation number, production", column="approval", read=False),
    Block(number="13d", holds="name, production", column="signatory", read=False),
    Block(number="13e", holds="date, production", column="date", read=False),
)
_RIGHT_14 = (
    Block(number="14a", holds="release statement, maintenance", read=False),
    Block(number="14b", holds="authorised signature, maintenance", read=False),
    Block(number="14c", holds="certificate or approval number, maintenance", column="approval", read=False),
    Block(number="14d", holds="name, maintenance", column="signatory", read=False),
    Block(number="14e", holds="date, maintenance", column="date", read=False),
)
_REMARKS_READ = Block(number="12", holds="remarks", column="remarks")
_REMARKS = Block(number="12", holds="remarks", column="remarks", read=False)
_ISSUE_TERMS = (
    Term(term="overhauled", side=MAINTENANCE),
    Term(term="repaired", side=MAINTENANCE, read=False),
    Term(term="inspected/tested", side=MAINTENANCE, read=False),
    Term(term="modified", side=MAINTENANCE, read=False),
    # a serviceable used component whose history is not complete (ED 2010/002/R, acceptable means of compliance)
    Term(term="inspected", side=MAINTENANCE),
)
_PRODUCTION_TERMS = (Term(term="new", side=PRODUCTION), Term(term="prototype", side=PRODUCTION))
_8130_TERMS = (
    Term(term="new", side=PRODUCTION, read=False),
    Term(term="prototype", side=PRODUCTION),
    Term(term="overhauled", side=MAINTENANCE, read=False),
    Term(term="repaired", side=MAINTENANCE, read=False),
    Term(term="inspected", side=MAINTENANCE),
    Term(term="tested", side=MAINTENANCE),
    Term(term="inspected/tested", side=MAINTENANCE),
    Term(term="rebuilt", side=MAINTENANCE, read=False),
    # printed Altered, kept as modified
    Term(term="modified", side=MAINTENANCE, read=False),
)
_FORM_1_REMARK = "corrects block(s) X of certificate N dated D; does not cover conformity, condition or release"
_8130_REMARK = "what was corrected"

_MEMBER_STATE = "EASA or the authority of a member state"


def _form_1(
    name: str,
    *,
    family: str = "EASA Form 1",
    authority: str = _MEMBER_STATE,
    valid_from: str | None,
    blocks: tuple[Block, ...],
    maintenance: bool = True,
    production: bool = False,
) -> ReleaseForm:
    """A form of the Form 1 family: one term, a new number for a correction. That rule is from memory."""
    return ReleaseForm(
        name=name,
        family=family,
        authority=authority,
        valid_from=valid_from,
        sides=(*((MAINTENANCE,) if maintenance else ()), *((PRODUCTION,) if production else ())),
        terms=(*(_ISSUE_TERMS if maintenance else ()), *(_PRODUCTION_TERMS if production else ())),
        blocks=blocks,
        correction=NEW_NUMBER,
        correction_read=False,
        remark=_FORM_1_REMARK,
        rules=("Form 1 block 11", "Form 1 corrected"),
    )


_APPENDIX_II = (
    *_first_blocks("competent authority and country", _FORM_1, read=_ALL_READ),
    *(_QUANTITY, _SERIAL, _STATUS, _REMARKS, *_RIGHT_14),
)

FORMS: tuple[ReleaseForm, ...] = (
    _form_1("EASA Form 1 - MF/145 Issue 2", valid_from=None, blocks=_APPENDIX_II),
    _form_1("EASA Form 1 - MF/CAO/145 Issue 3", valid_from="2020", blocks=_APPENDIX_II),
    _form_1(
        "EASA Form 1-21 Issue 2",
        valid_from=None,
        maintenance=False,
        production=True,
        blocks=(
            *_first_blocks("competent authority and country", _FORM_1, read=("2",)),
            *(_QUANTITY_FROM_MEMORY, _SERIAL_FROM_MEMORY, _STATUS, _REMARKS, *_LEFT_13),
        ),
    ),
    _form_1(
        "CAA Form 1",
        family="CAA Form 1",
        authority="Civil Aviation Authority, United Kingdom",
        valid_from="2020-12-31",
        production=True,
        blocks=(
            *_first_blocks("competent authority and country", _UK_FORM_1, read=_ALL_READ),
            *(_QUANTITY, _SERIAL, _STATUS, _REMARKS, *_LEFT_13, *_RIGHT_14),
        ),
    ),
    ReleaseForm(
        name="FAA Form 8130-3 (06-01)",
        family="FAA Form 8130-3",
        authority="Federal Aviation Administration, United States",
        valid_from="2001",
        valid_from_read=False,
        sides=(PRODUCTION, MAINTENANCE),
        terms=_8130_TERMS,
        blocks=(
            *_first_blocks("approving authority and country", _8130, read=("3",)),
            Block(number="9", holds="eligibility", read=False),
            Block(number="10", holds="quantity", column="quantity", read=False),
            Block(number="11", holds="serial or batch number", column="serial_number"),
            Block(number="12", holds="status or work", column="status"),
            Block(number="13", holds="remarks", column="remarks"),
            Block(number="14", holds="release statement, production", read=False),
            Block(number="15", holds="authorised signature, production", read=False),
            Block(number="16", holds="approval or authorisation number, production", column="approval", read=False),
            Block(number="17", holds="name, production", column="signatory", read=False),
            Block(number="18", holds="date, production", column="date", read=False),
            Block(number="19", holds="release statement, maintenance", read=False),
            Block(number="20", holds="authorised signature, maintenance", read=False),
            Block(number="21", holds="certificate or approval number, maintenance", column="approval", read=False),
            Block(number="22", holds="name, maintenance", column="signatory", read=False),
            Block(number="23", holds="date, maintenance", column="date", read=False),
        ),
        correction=SAME_NUMBER,
        correction_read=True,
        remark=_8130_REMARK,
        one_part=True,
        rules=("FAA Order 8130.21", "FAA Order 8130.21 re-issue"),
    ),
    ReleaseForm(
        name="FAA Form 8130-3 (02-14)",
        family="FAA Form 8130-3",
        authority="Federal Aviation Administration, United States",
        valid_from="2014-02-01",
        sides=(PRODUCTION, MAINTENANCE),
        terms=_8130_TERMS,
        blocks=(
            *_first_blocks("approving authority and country", _8130, read=("3",)),
            *(_QUANTITY_FROM_MEMORY, _SERIAL, _STATUS),
            _REMARKS_READ,
            *_LEFT_13,
            *_RIGHT_14,
        ),
        correction=SAME_NUMBER,
        correction_read=True,
        remark=_8130_REMARK,
        one_part=True,
        rules=("FAA Order 8130.21", "FAA Order 8130.21 re-issue"),
    ),
)


@lru_cache(maxsize=1_024)
def forms_named(text: str | None) -> tuple[ReleaseForm, ...]:
    """The editions that a paper's form may be: the one of that name, or all of a family named without its edition.

    Case, white space and marks do not matter, nothing else is forgiven. None of them: the form is not known here.
    """
    wanted = _bare(text or "")
    exact = tuple(form for form in FORMS if _bare(form.name) == wanted)
    return exact or tuple(form for form in FORMS if wanted and _bare(form.family) == wanted)


def _bare(text: str) -> str:
    return "".join(character for character in text.casefold() if character.isalnum())
