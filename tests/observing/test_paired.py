"""What two observers saw of one performance on the floor, and whom it asks to calibrate again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.observing.actions.striking import strike
from mentor_training.observing.queries.paired import live_looks, paired_observers, sign_offs_since
from mentor_training.observing.rules.paired import Look, Paired, paired_since, pairs_among
from mentor_training.observing.rules.results import Marking
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import TERM, look, see, see_on, sign, today

MONDAY = FRIDAY - timedelta(days=4)
LOOK = Look(1, "o-01", "v-001", "guarding", MONDAY, "p-01", 1, {1: "done", 2: "done"})

looks = st.lists(
    st.builds(
        Look,
        number=st.integers(1, 10_000),
        observer=st.sampled_from(("o-01", "o-02", "o-03")),
        person=st.sampled_from(("v-001", "v-002")),
        skill=st.just("guarding"),
        day=st.sampled_from((MONDAY, FRIDAY)),
        participant=st.sampled_from(("", "p-01")),
        edition=st.just(1),
        marks=st.fixed_dictionaries({number: st.sampled_from(tuple(Marking)) for number in (1, 2, 3)}),
    ),
    max_size=12,
    unique_by=lambda one: one.number,
)


def naive_pairs(given_looks: Sequence[Look]) -> list[tuple[int, int, int, int]]:
    """Compare every look with every later one, as one would with two sheets in hand."""
    found = []
    rows = sorted(given_looks, key=lambda one: one.number)

    def same(one: Look, other: Look) -> bool:
        return (one.person, one.day, one.participant) == (other.person, other.day, other.participant)

    firsts = [
        row
        for place, row in enumerate(rows)
        if not any(same(row, earlier) and row.observer == earlier.observer for earlier in rows[:place])
    ]
    for place, one in enumerate(firsts):
        for other in firsts[place + 1 :]:
            if same(one, other):
                both = [number for number in (1, 2, 3) if "not-seen" not in (one.marks[number], other.marks[number])]
                alike = sum(one.marks[number] == other.marks[number] for number in both)
                found.append((one.number, other.number, len(both), alike))
    return sorted(found, key=lambda pair: (pair[1], pair[0]))


@given(looks)
def test_pairs_are_found_as_with_two_sheets_in_hand(given_looks: list[Look]) -> None:
    """In whatever order the looks come."""
    found = [(pair.first.number, pair.second.number, pair.criteria, pair.alike) for pair in pairs_among(given_looks)]
    assert found == naive_pairs(given_looks)
    assert pairs_among(given_looks[::-1]) == pairs_among(given_looks)


@given(looks, st.sampled_from((None, MONDAY, FRIDAY)))
def test_each_observers_share_is_over_their_own_pairs_since_a_day(given_looks: list[Look], since: date | None) -> None:
    """Two pairs are enough to say that somebody is to calibrate again; where nothing was seen by both, nothing is."""
    pairs = pairs_among(given_looks)
    for observer in ("o-01", "o-02", "o-03"):
        own = [
            pair
            for pair in pairs
            if observer in (pair.first.observer, pair.second.observer) and (since is None or pair.first.day >= since)
        ]
        criteria, alike = sum(pair.criteria for pair in own), sum(pair.alike for pair in own)
        paired = paired_since(pairs, observer, since)
        assert paired.share == (Fraction(alike, criteria) if criteria else None)
        too_small = len(own) >= 2 and criteria > 0 and alike < Fraction(4, 5) * criteria
        assert paired.is_too_small(0.8) == too_small


def test_another_participant_edition_or_day_is_another_performance() -> None:
    """And one observer's two looks are no pair."""
    other = replace(LOOK, number=2, observer="o-02")
    assert len(pairs_among([LOOK, other])) == 1
    for apart in (
        replace(other, participant="p-02"), replace(other, edition=2), replace(other, day=FRIDAY),
        replace(other, person="v-002"), replace(other, skill="leading"), replace(other, observer="o-01"),
    ):  # fmt: skip
        assert pairs_among([LOOK, apart]) == ()


def paired(world: World, code: str) -> Paired:
    with world.reading() as db:
        found = paired_observers(db, today(world), world.clock.now())
    return next(one.paired for one in found if one.person.code == code)


def test_what_is_stored_is_paired_and_what_was_struck_or_simulated_is_not(floor: World) -> None:
    """Struck, it counts for nothing here either."""
    see_on(floor, MONDAY, "o-01", "v-001")
    seen = see_on(floor, MONDAY, "o-02", "v-001", "done helped done done")
    see(floor, "o-01", replace(look("v-001", key="one"), live=False))
    see(floor, "o-02", replace(look("v-001", key="two"), live=False))
    assert (paired(floor, "o-01").criteria, paired(floor, "o-01").alike) == (4, 3)
    with floor.writing() as db:
        strike(db, floor.clock.now(), actor_of(person_for(db, "c-01")), seen.id, "A slip.")
    assert paired(floor, "o-01").pairs == ()
    with floor.reading() as db:
        assert [one.observer for one in live_looks(db, floor.clock.now())] == ["o-01"]


def test_sign_offs_since_the_last_calibration_are_listed(floor: World) -> None:
    """Of the volunteers asked about, from the day on."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, FRIDAY, "o-02", "v-001")
    sign(floor, "o-02", "v-001")
    zone = floor.instance.settings.zone
    with floor.reading() as db:
        assert [one.since for one in paired_observers(db, FRIDAY, floor.clock.now())] == [TERM, TERM]
        assert len(sign_offs_since(db, "o-02", TERM, zone, {"v-001"})) == 1
        assert len(sign_offs_since(db, "o-02", None, zone, {"v-001"})) == 1
        assert sign_offs_since(db, "o-02", FRIDAY + timedelta(days=1), zone, {"v-001"}) == []
        assert sign_offs_since(db, "o-02", TERM, zone, {"v-002"}) == []
        assert sign_offs_since(db, "o-01", TERM, zone, {"v-001"}) == []
