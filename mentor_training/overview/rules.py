"""What a volunteer should do next: the one missing thing that opens most; pure. Rules of this program."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.clearance.decision import Decision
from mentor_training.program.catalog import Ladder, Level, Program
from mentor_training.program.requirements import (
    Atom,
    Item,
    Requirement,
    Sessions,
    all_of,
    atoms_of,
    covers,
    is_met,
    smallest_missing,
)

# What one can do today comes before what takes others, and that before what takes weeks.
EFFORT = {"module": 0, "paper": 1, "skill": 2}
EFFORT_OF_SESSIONS, EFFORT_OF_HOURS = 3, 4

Holds = Callable[[Atom], bool]


@dataclass(frozen=True)
class Opened:
    """A station or duty whose level one step would raise."""

    station: str
    before: Level
    after: Level


@dataclass(frozen=True)
class Step:
    """One missing thing, what getting it alone would open, and what it would bring nearer.

    `participants` says with how many more of those who are expected at coming sessions one could work. `nearer` are
    the stations and duties whose next level wants it among other missing things, that which wants fewest first;
    `beside` is how many others that one wants.
    """

    atom: Atom
    opens: tuple[Opened, ...]
    nearer: tuple[str, ...]
    beside: int = 0
    participants: int = 0

    @property
    def helps_at_once(self) -> bool:
        """Say whether it opens anything by itself."""
        return bool(self.opens or self.participants)


@dataclass(frozen=True)
class Expected:
    """A participant who is expected at coming sessions: what counts of them, and the stations of these sessions."""

    needs: tuple[str, ...]
    keep_apart: tuple[str, ...]
    is_overdue: bool
    stations: tuple[str, ...]


def next_steps(decisions: Sequence[Decision], expected: Iterable[Expected] = ()) -> tuple[Step, ...]:
    """Return each missing thing of one volunteer's decisions, the one that opens most first.

    Each is tried by itself, with all that is held already: at how many stations and duties would the level rise, and
    with how many more of the participants expected could one work? Of equals that which brings more of the other
    stations nearer, then that which is less effort (module, paper, skill, sessions, hours), then that which stands
    earlier in the program. What neither opens nor brings nearer anything is left out.

    Reading a participant's card is no step: it comes with the pairing, so every card counts as read here. With whom
    one is kept apart, or whose card's review is overdue, nothing that one does opens.

    The decisions are those of one person on one day, one for each station, with no participant. A station on which a
    stand-down or restriction lies is raised by nothing.
    """
    open_ones = [one for one in decisions if not is_paused(one)]
    wants = {one.station: _wanted_next(one) for one in open_ones}
    atoms = tuple(_candidates(open_ones, wants))
    gained = _gained(open_ones, expected, atoms)
    found = [_step(atom, open_ones, wants, gained[atom]) for atom in atoms]
    helpful = [step for step in found if step.helps_at_once or step.nearer]
    return tuple(sorted(helpful, key=_order))


def _order(step: Step) -> tuple[int, ...]:
    return (-len(step.opens), -step.participants, -len(step.nearer), _effort(step.atom))


def is_paused(decision: Decision) -> bool:
    """Say whether a stand-down or restriction lies on the station."""
    return any(ground.kind != "entry" for ground in decision.grounds)


def _ladder(decision: Decision) -> Ladder:
    return decision.program.stations[decision.station].ladder


def _wanted_next(decision: Decision) -> tuple[Atom, ...]:
    """Return the smallest set that would raise the level by one, that of entry included; empty at the top."""
    ladder, level = _ladder(decision), decision.level
    if level >= ladder.top:
        return ()
    return smallest_missing(all_of(decision.program.entry, *ladder.rungs[: level + 1]), decision.holdings.holds)


def _candidates(decisions: Sequence[Decision], wants: dict[str, tuple[Atom, ...]]) -> Iterable[Atom]:
    """Return every atom that is not held: first what the smallest sets name, then other ways, then what needs ask."""
    if not decisions:
        return ()
    program, holds = decisions[0].program, decisions[0].holdings.holds
    named = [atom for one in decisions for atoms in (wants[one.station], *one.missing.values()) for atom in atoms]
    ladders = [*(_ladder(one) for one in decisions), *(need.ladder for need in program.needs.values())]
    asked = atoms_of(all_of(program.entry, *(rung for ladder in ladders for rung in ladder.rungs)))
    return dict.fromkeys([*named, *(atom for atom in asked if not holds(atom))])


def _gained(decisions: Sequence[Decision], expected: Iterable[Expected], atoms: Sequence[Atom]) -> dict[Atom, int]:
    worlds = [_holding(decisions[0], atom) for atom in atoms]
    return {atom: more for atom, (more, _) in zip(atoms, compared(decisions, expected, worlds), strict=True)}


def compared(
    decisions: Sequence[Decision], expected: Iterable[Expected], worlds: Sequence[Holds]
) -> list[tuple[int, int]]:
    """Return for each world, which says what would be held there, with how many more of those expected one could work
    there, and with how many fewer.

    One can work with somebody where the entry, the first rung of the station and that of each need that applies there
    are met. Each of these is asked once for each world, and the answers are kept as the bits of one number, the lowest
    of which is the answer as it is; so that many participants cost no more than joining a few numbers for each.
    """
    more, fewer = [0] * len(worlds), [0] * len(worlds)
    if decisions and worlds:
        one = decisions[0]
        needs = {slug: _answers(one, need.ladder.rungs[0], worlds) for slug, need in one.program.needs.items()}
        entry = _answers(one, one.program.entry, worlds)
        places = {each.station: entry & _answers(one, _ladder(each).rungs[0], worlds) for each in decisions}
        for answers, count in Counter(_with(person, one, places, needs) for person in expected).items():
            changed = fewer if answers & 1 else more
            for place in range(len(worlds)):
                changed[place] += count * ((answers >> (place + 1) ^ answers) & 1)
    return list(zip(more, fewer, strict=True))


def _answers(decision: Decision, requirement: Requirement, worlds: Sequence[Holds]) -> int:
    """Return whether a requirement is met as it is, and in each of some worlds, as bits."""
    answers = int(is_met(requirement, decision.holdings.holds))
    for place, holds in enumerate(worlds, 1):
        answers |= int(is_met(requirement, holds)) << place
    return answers


def _with(person: Expected, decision: Decision, places: Mapping[str, int], needs: Mapping[str, int]) -> int:
    """Return whether one can work with somebody somewhere, as it is and in each world, as bits."""
    if person.is_overdue or decision.person in person.keep_apart or not set(person.needs) <= set(needs):
        return 0
    somewhere = 0
    for slug in person.stations:
        station, here = decision.program.stations.get(slug), places.get(slug, 0)
        for need in person.needs:
            if station and decision.program.needs[need].applies_at(station):
                here &= needs[need]
        somewhere |= here
    return somewhere


def _step(atom: Atom, decisions: Iterable[Decision], wants: dict[str, tuple[Atom, ...]], gained: int) -> Step:
    opens = tuple(_opened(atom, decisions))
    raised = {one.station for one in opens}
    wanting = (slug for slug, atoms in wants.items() if atom in atoms and slug not in raised)
    nearer = tuple(sorted(wanting, key=lambda slug: len(wants[slug])))
    return Step(atom, opens, nearer, len(wants[nearer[0]]) - 1 if nearer else 0, gained)


def _opened(atom: Atom, decisions: Iterable[Decision]) -> Iterator[Opened]:
    for one in decisions:
        after = level_with(one.program, _ladder(one), _holding(one, atom))
        if after > one.level:
            yield Opened(one.station, one.level, after)


def _holding(decision: Decision, extra: Atom) -> Holds:
    return lambda atom: decision.holdings.holds(atom) or covers((extra,), atom)


def level_with(program: Program, ladder: Ladder, holds: Holds) -> Level:
    """Return the level on a ladder for somebody who holds what `holds` says: 0 without the requirement of entry."""
    if not is_met(program.entry, holds):
        return Level.NOT_YET
    level = Level.NOT_YET
    for place, rung in enumerate(ladder.rungs, 1):
        if not is_met(rung, holds):
            break
        level = Level(place)
    return level


def _effort(atom: Atom) -> int:
    if isinstance(atom, Item):
        return EFFORT.get(atom.name.partition("/")[0], EFFORT_OF_HOURS)
    return EFFORT_OF_SESSIONS if isinstance(atom, Sessions) else EFFORT_OF_HOURS


def ends_of(decision: Decision, last_day: date) -> tuple[str, ...]:
    """Return the items that are held through a day and not beyond, of those that a decision rests on.

    Those of the requirement of entry and of the rungs up to its level, in their order. Empty where the level falls on
    the day after for another reason: a stand-down begins, or another edition of the program takes effect.
    """
    rungs = _ladder(decision).rungs[: decision.level]
    history = decision.holdings.history
    items = [atom.name for atom in atoms_of(all_of(decision.program.entry, *rungs)) if isinstance(atom, Item)]
    next_day = last_day + timedelta(days=1)
    return tuple(item for item in items if history.span_on(item, last_day) and not history.span_on(item, next_day))


def home_of(roles: Iterable[str], homes: Sequence[tuple[str, str]]) -> str | None:
    """Return where the first role that somebody has leads, in the order of `homes` (role, page); None for none."""
    having = set(roles)
    return next((page for role, page in homes if role in having), None)
