"""A plan mended after somebody did not come or a station was closed, with as little changed as can be; pure.

Block by block, in this order: 1 the most participants covered; 2 the most of the standing pairs kept; 3 the fewest who
work supervised; 4 the most who stay at the station where they were, leads among them. Rules of this program.

First all who can stay do, and only those who lost somebody are asked for: where that covers as many as a flow says any
plan could, and every station has its leads, no plan covers more or keeps more, and it is quick. Else the block is asked
anew.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed, leads_lacking, refusals, unsupervised
from mentor_training.planning.solver.aims import covered
from mentor_training.planning.solver.bounds import covered_bound
from mentor_training.planning.solver.goals import covering
from mentor_training.planning.solver.goals import unsupervised as supervising
from mentor_training.planning.solver.highs import Answer, at_least, maximum
from mentor_training.planning.solver.leading import without_idle_leads
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.settling import better, settle
from mentor_training.planning.solver.watch import Say, Watch, watch_for
from mentor_training.program.catalog import Level

SECONDS = 20.0


@dataclass(frozen=True)
class Missing:
    """What is no longer there: volunteers and participants who did not come, and stations that are closed."""

    people: frozenset[str] = frozenset()
    stations: frozenset[str] = frozenset()

    def takes(self, one: Placed) -> bool:
        """Say whether somebody who is placed cannot stay for it; nor can who is no longer cleared."""
        gone = one.mentor in self.people or one.participant in self.people or one.station in self.stations
        return gone or one.level < (Level.LEAD if one.role == LEAD else Level.SUPERVISED)


@dataclass(frozen=True)
class Repair:
    """How a plan changes: who is taken out and who is placed, and how many pairs stand as they did.

    `proven` names the blocks in which no plan covers more, or covers as many and keeps more pairs.
    """

    removed: tuple[Placed, ...]
    added: tuple[Placed, ...]
    kept_pairs: int
    lost_pairs: int
    proven: tuple[int, ...]
    seconds: float = 0.0


@dataclass
class _Mending:
    """The blocks mended so far."""

    removed: list[Placed] = field(default_factory=list)
    added: list[Placed] = field(default_factory=list)
    proven: list[int] = field(default_factory=list)


def repair(
    question: Question, missing: Missing, blocks: Collection[int], seconds: float = SECONDS, say: Say = lambda _: None,
    stopped: Callable[[], bool] = lambda: False,
) -> Repair:  # fmt: skip
    """Return how the plan that stands is mended in some blocks, with what is missing left out of it.

    Nobody who stands in another block is moved. Blocks in which nothing is missing stay as they are.
    """
    watch = watch_for(seconds, say, stopped)
    mending, left = _Mending(), _without(question, missing)
    for number in question.floor.blocks:
        here = question.standing_in(number)
        if number in blocks and any(missing.takes(one) for one in here):
            watch.say(f"block {number}")
            _mend(left, number, here, missing, watch, mending)
    before, after = _pairs(question.standing), _pairs(_after(question, mending))
    kept = len(before & after)
    return Repair(
        tuple(mending.removed), tuple(mending.added), kept, len(before) - kept, tuple(mending.proven), watch.spent
    )


def _without(question: Question, missing: Missing) -> Question:
    floor = question.floor
    there = replace(
        floor,
        stations={slug: one for slug, one in floor.stations.items() if slug not in missing.stations},
        participants=tuple(code for code in floor.participants if code not in missing.people),
        elsewhere={
            **floor.elsewhere,
            **{(block, code): "" for block in floor.blocks for code in floor.volunteers if code in missing.people},
        },
    )
    return replace(question, floor=there)


def _mend(
    question: Question, number: int, here: Sequence[Placed], missing: Missing, watch: Watch, mending: _Mending
) -> None:
    staying = tuple(one for one in here if not missing.takes(one))
    quick = _filled(question, number, staying, watch)
    bound = _bound(question, number, staying)
    if quick is not None and len(covered(question.floor, quick)) >= bound:
        _note(mending, number, here, quick, proven=True)
        return
    anew, proven = _asked_anew(question, number, staying, bound, watch)
    safe = _put_back(question.floor, (), staying)
    plan = max((quick or safe, _put_back(question.floor, anew, staying)), key=partial(_worth, question.floor, staying))
    lost = _pairs(staying) - _pairs(plan)
    _note(mending, number, here, plan, proven and not (lost and _half_may_stay(question.floor, staying)))


def _worth(floor: Floor, staying: Sequence[Placed], plan: Sequence[Placed]) -> tuple[int, ...]:
    """Return how good a block is mended, in the order of what is wanted; larger is better."""
    supervised = sum(one.role == MENTOR and one.level == Level.SUPERVISED for one in plan)
    return (
        len(covered(floor, plan)), len(_pairs(plan) & _pairs(staying)), -supervised, len(set(plan) & set(staying))
    )  # fmt: skip


def _put_back(floor: Floor, plan: Sequence[Placed], staying: Sequence[Placed]) -> tuple[Placed, ...]:
    """Return a plan with those of a standing one who still fit in; leads first, since others need them.

    A part of a team covers nobody, and is no reason to go: one more may come and make it whole. Nor is a lead whom
    nobody needs now.
    """
    whole = list(plan)
    for one in sorted(staying, key=lambda one: one.role == MENTOR):
        team = [other for other in whole if one.participant and other.participant == one.participant]
        if len(team) < floor.wanted(one.participant or "", one.station) and not refusals(floor, whole, one):
            whole.append(one)
    return tuple(whole)


def _half_may_stay(floor: Floor, staying: Iterable[Placed]) -> bool:
    """Say whether somebody takes more than one mentor where they stand: parts of teams are not asked for anew."""
    return any(floor.wanted(one.participant, one.station) > 1 for one in staying if one.participant)


def _filled(question: Question, number: int, staying: tuple[Placed, ...], watch: Watch) -> tuple[Placed, ...] | None:
    """Return all who can stay, with who is placed beside them; None where only moving somebody mends a rule broken."""
    asked = replace(question, standing=staying)
    found = settle(asked, asked.block(number), {}, watch, 2).placed
    whole = (*staying, *found)
    broken = leads_lacking(question.floor, whole) or any(unsupervised(question.floor, whole, one) for one in whole)
    return None if broken else whole


def _bound(question: Question, number: int, staying: Sequence[Placed]) -> int:
    """Return how many can be covered in a block by any plan: with nobody standing there but those on a duty."""
    return covered_bound(_free_choices(question, number, staying))


def _free_choices(question: Question, number: int, staying: Sequence[Placed]) -> Choices:
    asked = replace(question, standing=_fixed(question.floor, staying))
    return choices_of(asked, [asked.block(number)])


def _fixed(floor: Floor, staying: Iterable[Placed]) -> tuple[Placed, ...]:
    """Return those on a duty and their leads, who are not part of what is mended, as far as the rules let them stay."""
    duties = {slug for slug, station in floor.stations.items() if station.is_duty}
    return _put_back(floor, (), [one for one in staying if one.station in duties and not one.participant])


def _asked_anew(
    question: Question, number: int, staying: Sequence[Placed], bound: int, watch: Watch
) -> tuple[tuple[Placed, ...], bool]:
    """Return the block with everybody free to move, teams whole or not there; nobody where no time was left."""
    choices = _free_choices(question, number, staying)
    size = sum(choices.sizes)
    limits, values, proven = [rows_of(choices).constraint(size)], np.zeros(size), True
    goals = (
        covering(choices),
        _same(choices, staying, at_station=False),
        supervising(choices),
        _same(choices, staying),
    )
    for place, goal in enumerate(goals):
        now = Answer(values, round(float(goal @ values)), float(bound) if not place else np.inf)
        now = better(now, maximum(goal, limits, np.ones(size), np.ones(size), watch.left / 2))
        values = now.values if now.values is not None else values
        proven = proven and (place > 1 or now.proven)
        limits.append(at_least(goal, now.value))
    asked = replace(question, standing=_fixed(question.floor, staying))
    placed = without_idle_leads(asked, choices.placed(values))
    return (*asked.standing, *placed), proven


def _same(choices: Choices, staying: Sequence[Placed], at_station: bool = True) -> Numbers:
    """Count the pairs that stood; or those who stand where they stood, leads among them."""
    stood = {(one.participant, one.mentor, one.station if at_station else "") for one in staying if one.role == MENTOR}
    volunteers, stations = choices.question.floor.volunteers, choices.question.stations
    goal = np.zeros(sum(choices.sizes))
    for number, (pair, mentor) in enumerate(zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True)):
        _, participant, slug = choices.pairs[pair]
        goal[number] = (participant, volunteers[mentor], slug if at_station else "") in stood
    if at_station:
        led = {(one.mentor, one.station) for one in staying if one.role == LEAD}
        first = choices.sizes[0] + choices.sizes[1]
        for number, (_, volunteer, station) in enumerate(choices.lead.tolist()):
            goal[first + number] = (volunteers[volunteer], stations[station]) in led
    return goal


def _note(mending: _Mending, number: int, here: Sequence[Placed], plan: Sequence[Placed], proven: bool) -> None:
    def place(one: Placed) -> tuple[str, str, str, str | None]:
        return (one.station, one.mentor, one.role, one.participant)

    before, after = {place(one) for one in here}, {place(one) for one in plan}
    mending.removed += [one for one in here if place(one) not in after]
    mending.added += [one for one in plan if place(one) not in before]
    mending.proven += [number] if proven else []


def _after(question: Question, mending: _Mending) -> list[Placed]:
    removed = set(mending.removed)
    return [one for one in question.standing if one not in removed] + mending.added


def _pairs(placed: Iterable[Placed]) -> set[tuple[int, str, str]]:
    return {(one.block, one.participant, one.mentor) for one in placed if one.participant}
