"""What holds a received unit: the same whatever the order the facts come in, and only a person's causes are lifted."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fleetlife.follows.place import Recorded, stays_of
from fleetlife.follows.plates import hold_with_plate
from fleetlife.follows.receipts import (
    Received,
    causes_of,
    hold_beside_suspicion,
    stated_hold,
    suspicion_of,
    with_holds,
)
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import HoldDecision, Opening, Receipt
from fleetlife.terms.words import HOLD_DECISIONS, RECEIPT_RESULTS

OPENING = Opening(unit=1, part_number="P-1", serial_number="7", as_of="2024-01-01", place="store")
STATE = UnitStateRow(unit_id=1, part_number="P-1", serial_number="7", manufacturer=None, kind="store", since_moment=1)

DAYS = st.sampled_from([f"2024-02-{day:02d}" for day in (1, 2, 3)])
RECEIPTS = st.builds(
    Receipt,
    unit=st.just(1),
    received_on=DAYS,
    sequence=st.integers(0, 2),
    inspector=st.just("S"),
    result=st.sampled_from(RECEIPT_RESULTS),
    certificate=st.sampled_from([None, "T-1"]),
    looked=st.just(True),
    damage=st.sampled_from([None, "torn"]),
)
DECISIONS = st.builds(
    HoldDecision,
    unit=st.just(1),
    decided_on=DAYS,
    sequence=st.integers(0, 2),
    decision=st.sampled_from(HOLD_DECISIONS),
    why=st.sampled_from(["re-stamped", "no such maker"]),
    decided_by=st.just("Q"),
)
FACTS = st.lists(RECEIPTS | DECISIONS, max_size=6, unique_by=lambda fact: fact.key())


def received(facts: list[Receipt | HoldDecision]) -> Received:
    recorded = [Recorded(10, OPENING), *(Recorded(11, fact) for fact in facts)]
    return Received(
        unit_id=1, facts=recorded, stays=stays_of(1, recorded), opening=OPENING, lines=(), requalifications=()
    )


@given(FACTS, st.randoms(use_true_random=False))
def test_the_order_in_which_the_facts_come_changes_nothing(facts: list[Receipt | HoldDecision], random: object) -> None:
    mixed = list(facts)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    for plate in (None, "P-1 9"):
        assert with_holds(STATE, received(facts), plate) == with_holds(STATE, received(mixed), plate)


@given(FACTS)
def test_a_lift_after_all_of_it_leaves_what_is_put_right_and_a_suspicion(facts: list[Receipt | HoldDecision]) -> None:
    lift = HoldDecision(unit=1, decided_on="2024-03-01", decision="lifted", why="w", decided_by="Q")
    before, after = causes_of(received(facts)), causes_of(received([*facts, lift]))
    assert after == [cause for cause in before if not cause.decided]
    assert suspicion_of(1, received(facts).facts) == suspicion_of(1, received([*facts, lift]).facts)


@given(FACTS, st.sampled_from([None, "suspect paper"]), st.sampled_from([None, "P-1 9"]))
def test_what_was_stated_and_what_follows_are_told_apart_again(
    facts: list[Receipt | HoldDecision], stated: str | None, plate: str | None
) -> None:
    state = UnitStateRow(
        unit_id=1,
        part_number="P-1",
        serial_number="7",
        manufacturer=None,
        kind="store",
        since_moment=1,
        hold=stated,
    )
    held = with_holds(state, received(facts), plate)
    assert stated_hold(held) == stated
    unsuspected = [fact for fact in facts if isinstance(fact, Receipt) or fact.decision == "lifted"]
    assert hold_beside_suspicion(held) == with_holds(state, received(unsuspected), plate).hold
    if not facts:
        assert held.hold == hold_with_plate(stated, plate)


def test_a_lift_of_the_same_moment_lifts_nothing() -> None:
    seen = Receipt(
        unit=1, received_on="2024-02-01", sequence=1, inspector="S", result="accepted", looked=True, damage="torn"
    )
    for sequence, decided in ((0, True), (1, True), (2, False)):
        lift = HoldDecision(
            unit=1, decided_on="2024-02-01", sequence=sequence, decision="lifted", why="w", decided_by="Q"
        )
        assert any(cause.decided for cause in causes_of(received([seen, lift]))) is decided
