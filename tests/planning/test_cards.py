"""Cards: handed over, read, and shown to nobody else and at no other time."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.facts import READ_CARD
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.queries import entries
from mentor_training.participants.actions import import_participants, write_card
from mentor_training.participants.roster import Row
from mentor_training.people.permissions import VOLUNTEER, Actor
from mentor_training.planning.actions.cards import hand_card, read_card
from mentor_training.planning.actions.placing import remove
from mentor_training.planning.queries.pairings import card_to_read, next_pairings
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, ZONE, at, put

MENTORS = Actor("v-002", "Person v-002", frozenset({VOLUNTEER}))
OTHER = Actor("v-005", "Person v-005", frozenset({VOLUNTEER}))


def new_card(world: World) -> None:
    """Write version 2 of the card of p-01, so that nobody has read what counts."""
    world.clock.forward(minutes=1)
    with world.writing() as db:
        now = world.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
    world.clock.forward(minutes=1)


def reads(world: World, who: Actor = MENTORS, version: int = 2) -> bool:
    with world.writing() as db:
        return read_card(db, world.clock.now(), who, "p-01", version, ZONE) is not None


def test_a_mentor_reads_the_new_version_and_is_cleared_again(floor: World) -> None:
    """Read once it is recorded once, and the placement holds again."""
    row = put(floor, 1, "balance-lane", "v-002", "p-01")
    new_card(floor)
    with floor.reading() as db:
        (pairing,) = next_pairings(db, "v-002", date(2026, 10, 16), floor.clock.now())
    assert (pairing.blocks[0].level, [one.card.version for one in pairing.unread]) == (0, [2])
    assert (reads(floor), reads(floor)) == (True, False)
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        (pairing,) = next_pairings(db, "v-002", date(2026, 10, 16), floor.clock.now())
        facts = [fact.item for fact in facts_of(db, "v-002", floor.clock.now(), (READ_CARD,))]
        remove(db, floor.clock.now(), COORDINATES, "s-11", row.id)
    assert (pairing.blocks[0].level, pairing.unread) == (2, ())
    assert facts.count("card/p-01@2") == 1


def test_nobody_else_reads_a_card_and_nobody_a_version_that_no_longer_counts(floor: World) -> None:
    """Not paired: the door stays shut, whatever the address says."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    new_card(floor)
    for who, version in ((OTHER, 2), (MENTORS, 1), (MENTORS, 7)):
        with pytest.raises(NotAllowed):
            reads(floor, who, version)


def test_a_card_handed_over_can_be_read_before_the_two_are_paired(floor: World) -> None:
    """Without it the pairing is refused for the card alone; read, it is stored."""
    new_card(floor)
    with pytest.raises(NotAllowed):
        reads(floor)
    with pytest.raises(Refused, match="p-01@2 has not been read"):
        put(floor, 1, "balance-lane", "v-002", "p-01")
    for _ in range(2):
        with floor.writing() as db:
            hand_card(db, floor.clock.now(), COORDINATES, "s-11", "p-01", "v-002")
    with floor.reading() as db:
        assert len(entries(db, kind="handed")) == 1
    assert reads(floor)
    floor.clock.forward(minutes=1)
    assert put(floor, 1, "balance-lane", "v-002", "p-01").level == 2


def test_a_card_is_open_from_two_days_before_the_session_to_the_end_of_its_day(floor: World) -> None:
    """On Wednesday not yet, on Thursday yes, after the session's midnight no more."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    moments = {
        "too early": at("23:59", date(2026, 10, 14)),
        "two days before": at("00:00", date(2026, 10, 15)),
        "late on the day": at("23:59"),
        "too late": at("00:00", date(2026, 10, 18)),
    }
    seen = {}
    for name, moment in moments.items():
        floor.clock.moment = moment
        with floor.reading() as db:
            found = next_pairings(db, "v-002", moment.date(), moment)
        seen[name] = bool(found and found[0].is_open and found[0].blocks[0].partner)
    assert seen == {"too early": False, "two days before": True, "late on the day": True, "too late": False}


def test_a_mentor_sees_only_the_cautions_that_apply_where_they_work(floor: World) -> None:
    """Fall risk names standing and stepping: at target games it says nothing."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    put(floor, 2, "target-games", "v-002", "p-01")
    with floor.reading() as db:
        (pairing,) = next_pairings(db, "v-002", date(2026, 10, 16), floor.clock.now())
    cautions = [block.partner.cautions for block in pairing.blocks if block.partner]
    assert cautions == [("Stay within arm's reach.",), ()]


def test_who_is_kept_apart_later_sees_nothing_of_the_participant_any_more(floor: World) -> None:
    """Neither where they are still placed together, nor by a card that was handed over before."""
    put(floor, 1, "target-games", "v-002", "p-02")
    apart = [Row(code, f"Name{code[-2:]}", 1, (), ("v-002",), ()) for code in ("p-01", "p-02")]
    with floor.writing() as db:
        hand_card(db, floor.clock.now(), COORDINATES, "s-11", "p-01", "v-002")
        import_participants(db, floor.clock.now(), COORDINATES, apart, FRIDAY, from_start=False)
    with floor.reading() as db:
        (pairing,) = next_pairings(db, "v-002", FRIDAY, floor.clock.now())
        assert (pairing.cards, pairing.blocks[0].partner, pairing.blocks[0].level) == ((), None, 0)
        for one in apart:
            with pytest.raises(NotAllowed):
                card_to_read(db, "v-002", one.participant, 1, FRIDAY, floor.clock.now())


def test_a_card_is_not_handed_to_who_is_not_expected_or_kept_apart(floor: World) -> None:
    """Every reason at once; nothing is stored."""
    with pytest.raises(Refused) as no, floor.writing() as db:
        hand_card(db, floor.clock.now(), COORDINATES, "s-11", "p-77", "v-077")
    assert len(no.value.reasons) == 2
    with floor.reading() as db:
        assert entries(db, kind="handed") == []
