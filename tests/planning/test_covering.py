"""Who could step in where somebody is missing: the order of nearness, and what is open, on floors of all kinds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.planning.covering import (
    AT_ONCE,
    ELSEWHERE,
    NOT_CLEARED,
    ORDER,
    WAITS,
    Cover,
    Opening,
    covers,
    opening_for,
    openings,
)
from mentor_training.planning.gaps import Near
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Floor, Placed, refusals
from mentor_training.program.catalog import Ladder, Station
from tests.planning.naive import breaches

PEOPLE = ("v-1", "v-2", "v-3", "v-4", "v-5")
PARTICIPANTS = ("p-1", "p-2", "p-3")
STATIONS = {
    "lane": Station("lane", "Lane", Ladder(()), capacity=1, leads=1),
    "games": Station("games", "Games", Ladder(()), capacity=2),
    "desk": Station("desk", "Desk", Ladder(()), kind="duty"),
}
HALL = Floor((1, 2), STATIONS, PARTICIPANTS, PEOPLE, 1, {"p-1": ("v-5",)}, elsewhere={(1, "v-4"): "s-02"})
Levels = dict[tuple[str, str, str | None], int]


@dataclass(frozen=True)
class Case:
    """A floor in the middle of a day: levels, what each lacks (None: nothing brings them in), plan, and who is here."""

    levels: Levels
    lacking: dict[str, int | None]
    placed: tuple[Placed, ...]
    here: frozenset[str]

    def level_of(self, who: str, slug: str, participant: str | None) -> int:
        return self.levels.get((who, slug, participant), 0)

    def near_of(self, who: str, opening: Opening) -> Near | None:
        count = self.lacking.get(who)
        return None if count is None else Near(who, opening.stations[0], ("something",) * count, count)

    def covers(self, opening: Opening) -> tuple[Cover, ...]:
        return covers(HALL, self.placed, self.here, opening, self.level_of, self.near_of)


keys = st.tuples(st.sampled_from(PEOPLE), st.sampled_from(tuple(STATIONS)), st.sampled_from((*PARTICIPANTS, None)))
wishes = st.tuples(
    st.sampled_from((1, 2)), st.sampled_from(tuple(STATIONS)), st.sampled_from(PEOPLE),
    st.sampled_from((MENTOR, LEAD, DUTY)), st.sampled_from(PARTICIPANTS),
)  # fmt: skip


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Draw a plan that breaks no rule, with whoever of it is here."""
    levels = draw(st.dictionaries(keys, st.integers(0, 3), max_size=40))
    placed: list[Placed] = []
    for block, slug, who, role, participant in draw(st.lists(wishes, max_size=8)):
        whom = participant if role == MENTOR else None
        new = Placed(block, slug, who, role, whom, levels.get((who, slug, whom), 0))
        placed += [new] if not refusals(HALL, placed, new) else []
    lacking = draw(st.dictionaries(st.sampled_from(PEOPLE), st.one_of(st.none(), st.integers(1, 5))))
    return Case(levels, lacking, tuple(placed), draw(st.frozensets(st.sampled_from(PEOPLE))))


places = st.one_of(
    st.sampled_from([Opening(1, LEAD, (slug,)) for slug in STATIONS]),
    st.just(Opening(1, DUTY, ("desk",))),
    st.sampled_from([Opening(1, MENTOR, ("lane", "games"), one) for one in PARTICIPANTS]),
    st.sampled_from([Opening(1, MENTOR, ("games",), one) for one in PARTICIPANTS]),
)


@given(cases(), places)
def test_whoever_is_named_first_can_be_placed_and_breaks_no_rule(case: Case, opening: Opening) -> None:
    """By the rules, and by the same rules written a second time; whoever waits is refused as the plan stands."""
    for one in case.covers(opening):
        new = Placed(opening.block, one.station, one.mentor, opening.role, opening.participant, one.level)
        refused = bool(refusals(HALL, case.placed, new))
        if one.nearness == AT_ONCE:
            assert not refused
            assert set(breaches(HALL, [*case.placed, new], case.level_of)) == set()
        elif one.nearness == WAITS:
            assert refused
            assert one.waits


@given(cases(), places)
def test_the_order_is_that_of_nearness_then_level_or_what_is_lacking(case: Case, opening: Opening) -> None:
    """Each stands there once; of the cleared the higher level first, of the others who lacks less."""
    found = case.covers(opening)
    assert len({one.mentor for one in found}) == len(found)
    ranks = [ORDER.index(one.nearness) for one in found]
    assert ranks == sorted(ranks)
    for first, then in pairwise(found):
        if first.nearness == then.nearness:
            assert first.lacking <= then.lacking
            assert first.nearness == NOT_CLEARED or first.level >= then.level


@given(cases(), places)
def test_everybody_at_hand_is_named_but_who_is_there_already_and_whom_nothing_brings_in(
    case: Case, opening: Opening
) -> None:
    """And nobody else; who is kept apart is never named."""
    least = 3 if opening.role == LEAD else 1
    there = {
        one.mentor
        for one in case.placed
        if (one.block, one.role, one.participant) == (1, opening.role, opening.participant)
        and one.station in opening.stations
    }
    cleared = {
        who for who in PEOPLE for slug in opening.stations if case.level_of(who, slug, opening.participant) >= least
    }
    could = cleared | {who for who, count in case.lacking.items() if count is not None}
    apart = {"v-5"} if opening.participant == "p-1" else set()
    found = {one.mentor: one for one in case.covers(opening)}
    assert found.keys() == (could & case.here) - there - apart
    assert {who for who, one in found.items() if one.nearness != NOT_CLEARED} == found.keys() & cleared
    busy = {one.mentor for one in case.placed if one.block == 1} | {"v-4"}
    assert {who for who, one in found.items() if one.nearness == ELSEWHERE} == found.keys() & cleared & busy


@given(cases(), places, st.sampled_from(PEOPLE))
def test_when_one_leaves_the_others_stay_in_their_order(case: Case, opening: Opening, gone: str) -> None:
    """The nearness of each hangs on the plan, and not on who else is here."""
    without = replace(case, here=case.here - {gone}).covers(opening)
    assert without == tuple(one for one in case.covers(opening) if one.mentor != gone)


@given(cases())
def test_what_is_open_is_what_those_at_hand_leave_open(case: Case) -> None:
    """Participants without enough who are here, stations with a participant and no lead here, duties left alone."""
    found = openings(HALL, case.placed, case.here, 1)
    here = [one for one in case.placed if one.block == 1 and one.mentor in case.here]
    covered = {one.participant for one in here if one.participant}
    assert {one.participant for one in found if one.role == MENTOR} == set(PARTICIPANTS) - covered
    lane_is_open = any(one.station == "lane" and one.participant for one in case.placed if one.block == 1)
    is_led = any(one.station == "lane" and one.role == LEAD for one in here)
    away = [one for one in case.placed if one.block == 1 and one.mentor not in case.here]
    unled = {"lane"} if lane_is_open and not is_led else set()
    for role, expected in ((LEAD, unled), (DUTY, set())):
        missing = expected | {one.station for one in away if one.role == role}
        assert sorted(one.stations[0] for one in found if one.role == role) == sorted(missing)


def test_a_participant_who_is_somewhere_is_asked_about_there_alone() -> None:
    """Somebody who steps in goes to where they are; elsewhere any place will do."""
    placed = [Placed(1, "games", "v-1", MENTOR, "p-1", 2)]
    assert opening_for(HALL, placed, 1, "p-1").stations == ("games",)
    assert opening_for(HALL, placed, 2, "p-1").stations == ("lane", "games")
