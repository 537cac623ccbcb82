"""The decision, held to a naive day-by-day model on random programs, and to the worked roster."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mentor_training.clearance.dossier import Dossier, ParticipantFile
from mentor_training.clearance.rules import decide
from mentor_training.evidence.facts import Fact
from mentor_training.program.editions import PublishedProgram, in_force
from tests.clearance.naive import NaiveModel
from tests.clearance.random_programs import START, days, editions, histories, participants

SLOW = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
END = START + timedelta(days=260)


@SLOW
@given(editions(), histories(), st.one_of(st.none(), participants()), days, st.sampled_from(["one", "two"]))
def test_level_and_holds_through_are_those_of_the_naive_model(
    published: tuple[PublishedProgram, ...],
    facts: Sequence[Fact],
    participant: ParticipantFile | None,
    day: date,
    station: str,
) -> None:
    """Level, and the last day up to which it stays at least that, are the same as found by walking day by day."""
    decision = decide(Dossier("v", facts, published), station, participant, day)
    naive = NaiveModel("v", facts, published)
    assert decision.level == naive.level(station, participant, day)
    if decision.level:
        assert decision.holds_through == naive.holds_through(station, participant, day, END)
    else:
        assert decision.holds_through is None


@SLOW
@given(editions(), histories(), days)
def test_what_is_missing_would_do_and_nothing_less_would(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], day: date
) -> None:
    """Each rung above the level names atoms that are not held; a rung that is reached names none."""
    decision = decide(Dossier("v", facts, published), "one", None, day)
    edition = in_force(published, day)
    assert edition is not None
    ladder = edition.program.stations["one"].ladder
    assert len(decision.missing) == ladder.top - decision.level
    for atoms in decision.missing.values():
        assert all(not decision.holdings.holds(atom) for atom in atoms)
    if not decision.grounds and decision.missing:
        assert next(iter(decision.missing.values()))
