"""Every plan and every repair by the checker that was written apart: no rule is broken, and what is uncovered must be.

On floors of four volunteers, three participants and two places that are drawn whole: levels, room, leads, teams of two,
who is kept apart or elsewhere, and who stands already, some of them no longer cleared.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from mentor_training.planning.gaps import NOT_PLACED, TOO_FEW_FOR_ALL, find_gaps
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Floor, Placed
from mentor_training.planning.solver.aims import COVERED
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.repairing import Missing, Repair, repair
from mentor_training.planning.solver.search import best_plan
from tests.planning.plan_checker import broken, covered, lonely, most_covered, newly_broken, too_many
from tests.planning.solver.floors import LevelsOf, question, station

VOLUNTEERS, PARTICIPANTS, STATIONS = ("v-1", "v-2", "v-3", "v-4"), ("p-1", "p-2", "p-3"), ("lane", "games")
LevelOf = Callable[[str, str, str | None], int]


@dataclass(frozen=True)
class Drawn:
    """A floor, its levels, and who stands there."""

    floor: Floor
    levels: LevelsOf
    standing: tuple[Placed, ...] = ()

    def level_of(self, who: str, slug: str, one: str | None) -> int:
        return self.levels.get((who, slug, one), 0)

    @property
    def asked(self) -> Question:
        """Return the question, each who stands with the level of now."""
        now = [replace(one, level=self.level_of(one.mentor, one.station, one.participant)) for one in self.standing]
        return question(self.floor, self.levels, now)


@st.composite
def floors(draw: st.DrawFn, blocks: tuple[int, ...] = (1,)) -> Drawn:
    """Draw a floor on which nobody stands."""
    stations = {slug: station(slug, draw(st.integers(0, 3)), draw(st.sampled_from((0, 0, 1)))) for slug in STATIONS}
    stations["desk"] = replace(station("desk", 0), kind="duty")
    pairs = [(who, slug, one) for who in VOLUNTEERS for slug in STATIONS for one in (None, *PARTICIPANTS)]
    levels: LevelsOf = {key: draw(st.sampled_from((0, 1, 2, 3) if key[2] is None else (0, 0, 1, 2))) for key in pairs}
    levels |= {(who, "desk", None): draw(st.sampled_from((0, 2))) for who in VOLUNTEERS}
    mentors = {(one, slug): draw(st.sampled_from((1, 1, 1, 2))) for one in PARTICIPANTS for slug in STATIONS}
    apart = {one: draw(st.sets(st.sampled_from(VOLUNTEERS), max_size=1)) for one in PARTICIPANTS}
    everybody = (*VOLUNTEERS, *PARTICIPANTS)
    away = draw(st.sets(st.tuples(st.sampled_from(blocks), st.sampled_from(everybody)), max_size=2))
    levels = {key: 0 if key[2] and key[0] in apart[key[2]] else level for key, level in levels.items()}
    floor = Floor(
        blocks, stations, PARTICIPANTS, VOLUNTEERS, draw(st.integers(1, 2)), apart, mentors,
        elsewhere=dict.fromkeys(away, "s-99"),
    )  # fmt: skip
    return Drawn(floor, levels)


@st.composite
def standing(draw: st.DrawFn, blocks: tuple[int, ...] = (1,)) -> Drawn:
    """Draw a floor on which some stand by the rules, parts of teams and somebody on the duty among them."""
    drawn = draw(floors(blocks))
    stand: list[Placed] = []
    for block in blocks:
        for who in draw(st.permutations(VOLUNTEERS)):
            places: list[tuple[str, str, str | None]] = [(slug, LEAD, None) for slug in STATIONS]
            places += [("desk", DUTY, None), *((slug, MENTOR, one) for slug in STATIONS for one in PARTICIPANTS)]
            ways = [Placed(block, slug, who, role, one, drawn.level_of(who, slug, one)) for slug, role, one in places]
            able = [one for one in ways if not broken(drawn.floor, [*stand, one], drawn.level_of)]
            able = [one for one in able if not too_many(drawn.floor, [*stand, one])]
            chosen = draw(st.sampled_from((None, *able, *able)))
            stand += [chosen] if chosen else []
    return replace(drawn, standing=tuple(stand))


@st.composite
def fallen(draw: st.DrawFn) -> Drawn:
    """Draw a floor on which some stand whose clearance has fallen since."""
    drawn = draw(standing())
    keys = sorted({(one.mentor, one.station, one.participant) for one in drawn.standing}, key=str)
    down = draw(st.sets(st.sampled_from(keys))) if keys else set()
    lower = {key: draw(st.integers(0, max(0, drawn.levels[key] - 1))) for key in sorted(down, key=str)}
    return replace(drawn, levels=drawn.levels | lower)


@st.composite
def mishaps(draw: st.DrawFn, floor: st.SearchStrategy[Drawn]) -> tuple[Drawn, Missing]:
    """Draw who stands and up to three of them who do not come: volunteers, participants, or a closed station."""
    drawn = draw(floor)
    there = sorted({code for one in drawn.standing for code in (one.mentor, one.participant, one.station) if code})
    gone = draw(st.sets(st.sampled_from(there), min_size=1, max_size=3)) if there else set()
    return drawn, Missing(frozenset(gone) - drawn.floor.stations.keys(), frozenset(gone) & drawn.floor.stations.keys())


def after(drawn: Drawn, found: Repair) -> tuple[Placed, ...]:
    """Return the plan as it stands when it is mended."""
    gone = {replace(one, level=0) for one in found.removed}
    return (*(one for one in drawn.standing if replace(one, level=0) not in gone), *found.added)


@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(standing(blocks=(1, 2)))
def test_a_plan_beside_who_stands_breaks_no_rule_and_leaves_out_nobody_who_could_be_covered(drawn: Drawn) -> None:
    """Nobody free could cover anybody left out; what is proven is what all plans there are come to, in each block."""
    found = best_plan(drawn.asked)
    plan = (*drawn.standing, *found.added)
    assert (broken(drawn.floor, plan, drawn.level_of), too_many(drawn.floor, plan)) == ({}, [])
    aim = found.aim(COVERED)
    assert aim.value == len(covered(drawn.floor, plan, drawn.level_of))
    most = sum(most_covered(drawn.floor, drawn.standing, drawn.level_of, block) for block in drawn.floor.blocks)
    assert aim.value == most if aim.proven else aim.value <= most <= aim.bound
    assert list(lonely(drawn.floor, plan, drawn.level_of)) == [] or not aim.proven


@settings(max_examples=120)
@given(fallen())
def test_a_plan_beside_somebody_who_is_no_longer_cleared_makes_nothing_worse(drawn: Drawn) -> None:
    """What is broken by those who stand is not broken by more, and nothing else is."""
    before = broken(drawn.floor, drawn.standing, drawn.level_of)
    found = best_plan(drawn.asked)
    plan = (*drawn.standing, *found.added)
    assert newly_broken(before, broken(drawn.floor, plan, drawn.level_of)) == {}
    assert found.aim(COVERED).value == len(covered(drawn.floor, plan, drawn.level_of))


@settings(max_examples=80)
@given(standing())
def test_a_plan_that_had_no_time_breaks_no_rule_and_says_that_nothing_is_proven(drawn: Drawn) -> None:
    """The best so far is whoever stands; only where that reaches the bound is it the best there is."""
    found = best_plan(drawn.asked, seconds=0)
    plan = (*drawn.standing, *found.added)
    assert broken(drawn.floor, plan, drawn.level_of) == {}
    aim = found.aim(COVERED)
    most = most_covered(drawn.floor, drawn.standing, drawn.level_of, 1)
    assert aim.value <= most <= aim.bound
    assert not aim.proven or aim.value == most


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(mishaps(standing()))
def test_a_repair_breaks_no_rule_and_covers_as_many_as_any_plan_without_who_is_missing(
    case: tuple[Drawn, Missing],
) -> None:
    """None of the missing is in it; whoever is on a duty stays there, and is nobody's mentor."""
    drawn, missing = case
    found = repair(drawn.asked, missing, (1,))
    plan, left = after(drawn, found), without(drawn, missing)
    assert (broken(left.floor, plan, left.level_of), too_many(left.floor, plan)) == ({}, [])
    stays = [one for one in drawn.standing if not missing.takes(one)]
    assert {one for one in stays if one.role == DUTY} == {one for one in plan if one.role == DUTY}
    on_duty = [one for one in stays if one.role == DUTY]
    reached, most = len(covered(left.floor, plan, left.level_of)), most_covered(left.floor, on_duty, left.level_of, 1)
    assert reached == most if found.proven else reached <= most


@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(mishaps(standing()))
def test_a_repair_keeps_whoever_can_stay_where_that_costs_nobody(case: tuple[Drawn, Missing]) -> None:
    """Of every pair that is taken out apart, putting it back where it stood would break a rule or make one too many."""
    drawn, missing = case
    found = repair(drawn.asked, missing, (1,))
    plan, left = after(drawn, found), without(drawn, missing)
    for one in drawn.standing:
        if not missing.takes(one) and one not in plan:
            back = [*plan, one]
            assert broken(left.floor, back, left.level_of) or too_many(left.floor, back)
    before = {(one.block, one.participant, one.mentor) for one in drawn.standing if one.participant}
    now = {(one.block, one.participant, one.mentor) for one in plan if one.participant}
    assert (found.kept_pairs, found.lost_pairs) == (len(before & now), len(before - now))


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(mishaps(fallen()), st.sampled_from((0.0, 0.001, 20.0)))
def test_a_repair_of_a_floor_with_fallen_clearances_breaks_no_rule_whatever_time_it_has(
    case: tuple[Drawn, Missing], seconds: float
) -> None:
    """Whoever is no longer cleared is taken out with those who are missing; with no time, it is still safe."""
    drawn, missing = case
    found = repair(drawn.asked, missing, (1,), seconds=seconds)
    plan, left = after(drawn, found), without(drawn, missing)
    if not any(missing.takes(one) for one in drawn.asked.standing):
        assert (found.removed, found.added) == ((), ())
        return
    assert broken(left.floor, plan, left.level_of) == {}
    stays = [one for one in drawn.asked.standing if not missing.takes(one)]
    if not broken(left.floor, stays, left.level_of):
        assert len(covered(left.floor, plan, left.level_of)) >= len(covered(left.floor, stays, left.level_of))
    if found.proven:
        on_duty = [one for one in plan if one.station == "desk"]
        most = most_covered(left.floor, on_duty, left.level_of, 1)
        assert len(covered(left.floor, plan, left.level_of)) == most


@settings(max_examples=150)
@given(floors())
def test_what_is_said_of_a_gap_is_true_of_the_best_plan(drawn: Drawn) -> None:
    """No gap says that somebody could be placed; who competes for too few has too few by the levels alone."""
    found = best_plan(drawn.asked)
    assume(found.aim(COVERED).proven)
    gaps = find_gaps(drawn.floor, found.added, drawn.level_of, lambda *_: ())
    reached = covered(drawn.floor, found.added, drawn.level_of)
    assert {(gap.block, gap.participant) for gap in gaps} == {(1, one) for one in PARTICIPANTS} - reached
    leading = {one.mentor for one in found.added if one.role == LEAD} | {code for _, code in drawn.floor.elsewhere}
    for gap in gaps:
        assert gap.cause != NOT_PLACED, gap.because
        if gap.cause == TOO_FEW_FOR_ALL:
            those = (gap.participant, *gap.competitors)
            able = {who for who in VOLUNTEERS for slug in STATIONS for one in those if drawn.level_of(who, slug, one)}
            wanted = sum(min(drawn.floor.mentors[one, slug] for slug in STATIONS) for one in those)
            assert len(able - leading) < wanted


def without(drawn: Drawn, missing: Missing) -> Drawn:
    """Return a floor at which some do not come and some stations are closed."""
    floor = replace(
        drawn.floor,
        stations={slug: one for slug, one in drawn.floor.stations.items() if slug not in missing.stations},
        participants=tuple(code for code in PARTICIPANTS if code not in missing.people),
        volunteers=tuple(code for code in VOLUNTEERS if code not in missing.people),
    )
    return replace(drawn, floor=floor, standing=())
