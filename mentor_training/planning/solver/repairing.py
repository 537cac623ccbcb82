"""A plan mended after somebody did not come or a station was closed, with as little changed as can be; pure.

Block by block, in this order: 1 the most participants covered; 2 the most of the standing pairs kept; 3 the most who
stay at the station where they were, leads among them; 4 the fewest who work supervised. Rules of this program.

First all who can stay do, and only those who lost somebody are asked for: where that covers as many as a flow says any
plan could, every station has its leads and every pair is kept, no plan is better by the first two, and it is quick.
Else the block is asked anew, as `anew` tells.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed, leads_lacking, refusals, unsupervised
from mentor_training.planning.solver.aims import covered
from mentor_training.planning.solver.anew import Best, Block, asked_anew
from mentor_training.planning.solver.bounds import covered_bound
from mentor_training.planning.solver.leading import without_idle_leads
from mentor_training.planning.solver.model import Choices, choices_of
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.settling import settle
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
    """The blocks mended so far, and what is known of those that are alike."""

    removed: list[Placed] = field(default_factory=list)
    added: list[Placed] = field(default_factory=list)
    proven: list[int] = field(default_factory=list)
    known: dict[Hashable, Best] = field(default_factory=dict)
    choices: dict[Hashable, tuple[Choices, int]] = field(default_factory=dict)

    def choices_in(self, block: BlockQuestion) -> tuple[Choices, int]:
        """Return everything that could be placed in a block, and how many can be covered; once for blocks alike."""
        if block.kind not in self.choices:
            found = choices_of(block.question, [block])
            self.choices[block.kind] = (found, covered_bound(found))
        choices, bound = self.choices[block.kind]
        return replace(choices, question=block.question, blocks=(block,)), bound


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
    floor, staying = question.floor, tuple(one for one in here if not missing.takes(one))
    fixed = _fixed(floor, staying)
    asked = replace(question, standing=fixed)
    block = Block(here, staying, *mending.choices_in(asked.block(number)))
    quick = _filled(question, number, staying, watch)
    if quick is not None and len(covered(floor, quick)) >= block.bound and block.stood <= _together(quick):
        _note(mending, number, here, quick, proven=True)
        return
    placed, proven = asked_anew(block, watch, mending.known)
    anew = _put_back(floor, (*fixed, *without_idle_leads(asked, placed)), staying)
    plan = max((quick or _put_back(floor, (), staying), anew), key=partial(_worth, floor, here))
    lost = block.stood - _together(plan)
    _note(mending, number, here, plan, proven and not (lost and _half_may_stay(floor, staying)))


def _worth(floor: Floor, here: Sequence[Placed], plan: Sequence[Placed]) -> tuple[int, ...]:
    """Return how good a block is mended, in the order of what is wanted; larger is better."""
    supervised = sum(one.role == MENTOR and one.level == Level.SUPERVISED for one in plan)
    kept = len(_together(plan) & _together(here))
    return len(covered(floor, plan)), kept, len(set(plan) & set(here)), -supervised


def _together(placed: Iterable[Placed]) -> set[tuple[str, str]]:
    return {(one.participant, one.mentor) for one in placed if one.participant}


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


def _fixed(floor: Floor, staying: Iterable[Placed]) -> tuple[Placed, ...]:
    """Return those on a duty and their leads, who are not part of what is mended, as far as the rules let them stay."""
    duties = {slug for slug, station in floor.stations.items() if station.is_duty}
    return _put_back(floor, (), [one for one in staying if one.station in duties and not one.participant])


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
