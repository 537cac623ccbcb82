"""Everyone at once, held equal to one decision at a time on random programs, registers and participants."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mentor_training.clearance.bitmaps import at_least, bitmap, everyone, levels_in, places_in
from mentor_training.clearance.dossier import Dossier, ParticipantFile
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.lasting import Lasting
from mentor_training.clearance.matrix import Matrix
from mentor_training.clearance.rules import decide, level_on
from mentor_training.clearance.sheaves import Sheaves
from mentor_training.errors import NotFound
from mentor_training.evidence.facts import Fact
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import Hours, Sessions
from tests.clearance.dense_programs import a_case, a_day
from tests.clearance.random_programs import (
    PEOPLE,
    START,
    days,
    editions,
    histories,
    odd_participants,
    participants,
    registers,
)

SLOW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
STATIONS = ("one", "two", "no-such-station")
Register = Mapping[str, tuple[Fact, ...]]
whom = st.one_of(st.none(), participants(), odd_participants())
apart = st.sets(st.sampled_from(PEOPLE))


def everybody_of(register: Register, published: Sequence[PublishedProgram], also: Collection[str] = ()) -> Everybody:
    """Gather a register as the store does; `also` stand apart though nothing asks for it."""
    rows = [
        (fact.person, fact.kind, fact.item, fact.first_day, fact.last_day, fact.note if fact.kind == "hours" else "")
        for facts in register.values()
        for fact in facts
    ]
    sheaves = Sheaves(rows, register)
    dossiers = {
        code: Dossier(code, register[code], published)
        for code in register
        if code in sheaves.people_apart or code in also
    }
    return Everybody(sheaves, dossiers, published)


def decided(
    register: Register,
    published: Sequence[PublishedProgram],
    station: str,
    participant: ParticipantFile | None,
    on: date,
) -> list[tuple[int, date | None]]:
    """Return level and last day of each volunteer, one decision at a time."""
    found: list[tuple[int, date | None]] = []
    for person, facts in register.items():
        try:
            one = decide(Dossier(person, facts, published), station, participant, on)
        except NotFound:
            found.append((0, None))
        else:
            found.append((int(one.level), one.holds_through))
    return found


def all_at_once(
    matrix: Matrix, register: Register, station: str, participant: ParticipantFile | None, on: date
) -> list[tuple[int, date | None]]:
    """Return the same from the matrix."""
    levels = matrix.column(station, participant, on).levels()
    lasting = Lasting(matrix, on).last_days(station, participant)
    places = [matrix.everybody.places[person] for person in register]
    return [(int(levels[place]), lasting[place]) for place in places]


@SLOW
@given(editions(), registers(), whom, days, apart)
def test_everyone_at_once_has_the_levels_and_last_days_of_one_decision_at_a_time(
    published: tuple[PublishedProgram, ...],
    register: Register,
    participant: ParticipantFile | None,
    day: date,
    also: set[str],
) -> None:
    """At each station, alone or with a participant, before the first edition, and at a station that there is not."""
    matrix = Matrix(everybody_of(register, published, also))
    for on in (day, START - timedelta(days=10)):
        for station in STATIONS:
            expected = decided(register, published, station, participant, on)
            assert all_at_once(matrix, register, station, participant, on) == expected


@pytest.mark.parametrize("seed", range(20))
def test_everyone_at_once_is_right_where_much_happens_within_a_few_weeks(seed: int) -> None:
    """Several records of one item, corrections, pauses, editions with other terms: fifty cases a seed, on two days."""
    random = Random(seed)  # noqa: S311 - made-up cases, no secrets
    for _ in range(50):
        case = a_case(random)
        also = {person for person in PEOPLE if random.random() < 0.2}
        matrix = Matrix(everybody_of(case.register, case.editions, also))
        for day in (a_day(random), a_day(random)):
            until = day + timedelta(days=random.randint(0, 20))
            for station in STATIONS[:2]:
                for participant in (None, case.participant):
                    expected = decided(case.register, case.editions, station, participant, day)
                    assert all_at_once(matrix, case.register, station, participant, day) == expected
                    soon = Lasting(matrix, day, until).last_days(station, participant)
                    assert soon == [last if last and last < until else None for _, last in expected]


@pytest.mark.parametrize("seed", range(100, 110))
def test_volunteers_read_anew_one_after_the_other_leave_all_as_if_read_from_the_start(seed: int) -> None:
    """The tracks are patched and patched again, for volunteers known and new."""
    random = Random(seed)  # noqa: S311 - made-up cases, no secrets
    for _ in range(25):
        case, day = a_case(random), a_day(random)
        register, everybody = dict(case.register), everybody_of(case.register, case.editions)
        for _ in range(3):
            matrix = Matrix(everybody)
            for station in STATIONS:
                expected = decided(register, case.editions, station, case.participant, day)
                assert all_at_once(matrix, register, station, case.participant, day) == expected
            person = random.choice((*PEOPLE, "z"))
            register[person] = next(iter(a_case(random).register.values()))
            everybody = everybody.with_dossiers({person: Dossier(person, register[person], case.editions)})


@SLOW
@given(editions(), registers(), whom, st.lists(days, min_size=1, max_size=8))
def test_a_series_of_days_has_the_levels_of_each_day(
    published: tuple[PublishedProgram, ...],
    register: Register,
    participant: ParticipantFile | None,
    asked: list[date],
) -> None:
    """In the order asked for, and the number of volunteers of each level with it."""
    matrix = Matrix(everybody_of(register, published))
    for station in STATIONS:
        for day, column in zip(asked, matrix.series(station, participant, asked), strict=True):
            levels = [
                int(level_on(Dossier(person, facts, published), station, participant, day))
                for person, facts in register.items()
            ]
            assert [column.level(matrix.everybody.places[person]) for person in register] == levels
            assert column.counts() == tuple(levels.count(level) for level in range(4))


@SLOW
@given(editions(), registers(), whom, days, st.integers(0, 90))
def test_last_days_wanted_only_until_some_day_are_those_of_all_that_lie_before_it(
    published: tuple[PublishedProgram, ...],
    register: Register,
    participant: ParticipantFile | None,
    day: date,
    ahead: int,
) -> None:
    """A level that falls on the day after, or later, has none."""
    matrix, until = Matrix(everybody_of(register, published)), day + timedelta(days=ahead)
    for station in STATIONS:
        everything = Lasting(matrix, day).last_days(station, participant)
        soon = Lasting(matrix, day, until).last_days(station, participant)
        assert soon == [last if last and last < until else None for last in everything]


@SLOW
@given(editions(), registers(), histories(), st.sampled_from((*PEOPLE, "z")), whom, days)
def test_one_volunteer_read_anew_changes_that_one_and_nobody_else(
    published: tuple[PublishedProgram, ...],
    register: Register,
    facts: tuple[Fact, ...],
    person: str,
    participant: ParticipantFile | None,
    day: date,
) -> None:
    """After tracks were made, one more volunteer, or another history of one: all is as if read from the start."""
    matrix = Matrix(everybody_of(register, published))
    for station in STATIONS:
        all_at_once(matrix, register, station, participant, day)
    later = {**register, person: facts}
    anew = Matrix(matrix.everybody.with_dossiers({person: Dossier(person, facts, published)}))
    for station in STATIONS:
        expected = decided(later, published, station, participant, day)
        assert all_at_once(anew, later, station, participant, day) == expected
        assert all_at_once(matrix, register, station, participant, day) == decided(
            register, published, station, participant, day
        )


@SLOW
@given(editions(), editions(), registers(), days)
def test_the_same_records_under_other_editions_are_as_if_read_from_the_start(
    published: tuple[PublishedProgram, ...],
    others: tuple[PublishedProgram, ...],
    register: Register,
    day: date,
) -> None:
    """What a proposal is compared by."""
    matrix = Matrix(everybody_of(register, published).under(others).with_people(["newcomer"]))
    with_newcomer = {**register, "newcomer": ()}
    for station in STATIONS:
        assert all_at_once(matrix, with_newcomer, station, None, day) == decided(
            with_newcomer, others, station, None, day
        )


@SLOW
@given(editions(), registers(), st.lists(st.one_of(participants(), odd_participants()), max_size=7), days)
def test_tiles_have_a_column_for_each_station_and_participant_in_their_order(
    published: tuple[PublishedProgram, ...], register: Register, many: list[ParticipantFile], day: date
) -> None:
    """Each tile is at most as wide as asked for, and every column that of the matrix."""
    matrix = Matrix(everybody_of(register, published))
    tiles = list(matrix.tiles(STATIONS, many, day, wide=3))
    assert all(0 < len(tile) <= 3 for tile in tiles)
    expected = [matrix.column(station, one, day) for station in STATIONS for one in many]
    assert [column for tile in tiles for column in tile] == expected


@SLOW
@given(editions(), registers(), days, apart)
def test_hours_and_sessions_are_those_of_each_dossier(
    published: tuple[PublishedProgram, ...], register: Register, day: date, also: set[str]
) -> None:
    """What is there already of what is missing."""
    everybody = everybody_of(register, published, also)
    for person, facts in register.items():
        holdings = Dossier(person, facts, published).holdings(day)
        if holdings:
            place = everybody.places[person]
            assert everybody.minutes(place, "direct", day) == holdings.minutes("direct")
            assert everybody.sessions(place, day) == holdings.have(Sessions(1))
            assert round(everybody.minutes(place, "direct", day) / 60, 2) == holdings.have(Hours("direct", 1))


@given(st.lists(st.sets(st.integers(0, 90)), max_size=6), st.integers(-1, 7))
def test_a_choice_of_sets_has_those_who_are_in_enough_of_them(sets: list[set[int]], count: int) -> None:
    """All, any, some, none, and more than there are."""
    parts = [bitmap(one, 91) for one in sets]
    expected = {place for place in range(91) if sum(place in one for one in sets) >= count}
    assert set(places_in(at_least(count, parts, everyone(91)))) == expected


@given(st.lists(st.sets(st.integers(0, 40)), min_size=1, max_size=3), st.integers(0, 41))
def test_levels_are_a_digit_for_each_place(sets: list[set[int]], size: int) -> None:
    """Places beyond the highest that is in a set have 0."""
    inside = [{place for place in one if place < size} for one in sets]
    digits = levels_in([bitmap(one, size) for one in inside], size)
    assert digits == "".join(str(sum(place in one for one in inside)) for place in range(size))
