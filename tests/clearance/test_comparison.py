"""Who gains and who loses by a proposal, for everybody at once: held to one level at a time."""

from __future__ import annotations

from datetime import date
from random import Random

import pytest

from mentor_training.clearance.comparison import Change, PairChanges, changes, pair_changes
from mentor_training.clearance.dossier import Dossier, ParticipantFile
from mentor_training.clearance.rules import level_on
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram
from tests.clearance.dense_programs import STATIONS, Case, a_case, a_day
from tests.clearance.random_programs import MOMENT
from tests.clearance.test_matrix import everybody_of

Levels = tuple[date, Level, Level]


def first_difference(
    person: str,
    facts: tuple[Fact, ...],
    case: Case,
    proposed: PublishedProgram,
    station: str,
    whom: ParticipantFile | None,
    days: list[date],
) -> Levels | None:
    """Return the first day on which one level differs, and both levels; asked day by day."""
    without, with_it = Dossier(person, facts, case.editions), Dossier(person, facts, (*case.editions, proposed))
    for day in sorted({*days, proposed.effective}):
        before, after = level_on(without, station, whom, day), level_on(with_it, station, whom, day)
        if day >= proposed.effective and before != after:
            return day, before, after
    return None


@pytest.mark.parametrize("seed", range(300, 312))
def test_who_gains_and_who_loses_is_as_by_asking_each_volunteer_on_each_day(seed: int) -> None:
    """At each station, by volunteer and then by station; and for pairings with two participants their number."""
    random = Random(seed)  # noqa: S311 - made-up cases, no secrets
    for _ in range(25):
        case, other = a_case(random), a_case(random)
        proposed = PublishedProgram(9, a_day(random), MOMENT, "9", other.editions[0].program)
        days, people = [a_day(random) for _ in range(4)], [*case.register, "newcomer"]
        register = {**case.register, "newcomer": ()}
        participants = (case.participant, other.participant)
        expected, pairs = [], []
        for person, facts in register.items():
            found = {one: first_difference(person, facts, case, proposed, one, None, days) for one in STATIONS}
            expected += [Change(person, one, *levels) for one, levels in found.items() if levels]
            of_pairs = [
                levels
                for one in STATIONS
                for whom in participants
                if (levels := first_difference(person, facts, case, proposed, one, whom, days))
            ]
            gained = sum(after > before for _, before, after in of_pairs)
            if of_pairs:
                pairs.append(PairChanges(person, gained, len(of_pairs) - gained))
        everybody = everybody_of(case.register, case.editions)
        assert list(changes(everybody, people, proposed, days)) == expected
        assert list(pair_changes(everybody, people, participants, proposed, days)) == pairs


def test_a_proposal_that_changes_nothing_is_gained_and_lost_by_nobody() -> None:
    """The program in force, published once more."""
    case = a_case(Random(7))  # noqa: S311 - made-up cases, no secrets
    same = PublishedProgram(
        9, date(2027, 1, 1), MOMENT, "9", max(case.editions, key=lambda one: (one.effective, one.number)).program
    )
    everybody = everybody_of(case.register, case.editions)
    assert not list(changes(everybody, list(case.register), same, ()))
    assert not list(pair_changes(everybody, list(case.register), [case.participant], same, ()))
