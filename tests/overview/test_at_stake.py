"""What hangs on each skill is what giving it, or taking it away, would change by the clearance rules themselves."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.rules import decide
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import SIGNED_OFF, Fact
from mentor_training.observing.rules.urgency import ENDS_SOON_DAYS, Stake
from mentor_training.overview.at_stake import stakes_of
from mentor_training.overview.queries.stakes import stakes_on_floor
from mentor_training.overview.rules import Expected
from mentor_training.program.editions import PublishedProgram, in_force
from tests.builders import FRIDAY, World
from tests.clearance.random_programs import days, editions, histories
from tests.observing.floor import add_session
from tests.overview.test_steps import somebody, works


def found_of(
    published: Sequence[PublishedProgram], facts: Sequence[Fact], people: Sequence[Expected], on: date
) -> dict[str, Stake]:
    edition = in_force(published, on)
    assert edition is not None
    dossier = Dossier("v", facts, published)
    return stakes_of([decide(dossier, slug, None, on) for slug in edition.program.stations], people)


def with_skill(facts: Sequence[Fact], slug: str, on: date) -> tuple[Fact, ...]:
    """Sign a skill off for one day, by one record more."""
    return (*facts, Fact("r-new", "v", SIGNED_OFF, f"skill/{slug}", on, on, datetime(2026, 1, 1, tzinfo=UTC)))


@given(editions(), histories(), st.lists(somebody, max_size=5), days)
def test_a_skill_that_is_not_held_has_at_stake_what_signing_it_off_would_change(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], people: Sequence[Expected], on: date
) -> None:
    """Held against a decision made anew with one sign-off more: the levels of stations, and the participants."""
    edition = in_force(published, on)
    assert edition is not None
    before, after = Dossier("v", facts, published), None
    for slug, stake in found_of(published, facts, people, on).items():
        if stake.last_day is not None:
            continue
        after = Dossier("v", with_skill(facts, slug, on), published)
        pairs = {
            station: (decide(before, station, None, on).level, decide(after, station, None, on).level)
            for station in edition.program.stations
        }
        moved = {station: levels for station, levels in pairs.items() if levels[0] != levels[1]}
        assert {turn.station: (turn.without, turn.with_it) for turn in stake.turns} == moved
        was, now = ([decide(one, slug, None, on) for slug in edition.program.stations] for one in (before, after))
        assert stake.participants == sum(works(now, one, None) and not works(was, one, None) for one in people)


@given(editions(), histories(), days)
def test_only_what_is_not_held_or_ends_soon_has_a_stake(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], on: date
) -> None:
    """And its last day is the last of a run of days on each of which it is held."""
    edition = in_force(published, on)
    assert edition is not None
    history = Dossier("v", facts, published).history(edition)
    stakes = found_of(published, facts, (), on)
    for slug in edition.program.skills:
        item, stake = f"skill/{slug}", stakes.get(slug)
        run = [history.span_on(item, on + timedelta(days=ahead)) is not None for ahead in range(ENDS_SOON_DAYS + 2)]
        if stake is None:
            assert all(run)
        elif stake.last_day is None:
            assert not run[0]
        else:
            assert run.index(False) == (stake.last_day - on).days + 1


def test_a_stand_down_takes_the_stake_away(world: World) -> None:
    """What one may not work at now is opened by no skill; what is left is that the skill is not held."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety", "paper/background-check")
    world.add_participant("p-01", needs="fall-risk")
    add_session(world, "s-01", FRIDAY, "v-001", participants="p-01")
    with world.writing() as db:
        free = stakes_on_floor(db, ["v-001"], FRIDAY, world.clock.now())["v-001"]["guarding"]
        record(db, world.clock.now(), "console", "v-001", "stood-down", "", FRIDAY, note="Asked to pause.")
        paused = stakes_on_floor(db, ["v-001"], FRIDAY, world.clock.now())["v-001"]["guarding"]
    assert ([turn.station for turn in free.turns], free.participants) == (["balance-lane"], 1)
    assert paused == Stake()
