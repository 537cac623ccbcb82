"""What the clock says of a session: what is now, next and later, who came late or left early, who moves; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed

BEFORE, RUNNING, BETWEEN, OVER = "before", "running", "between", "over"


@dataclass(frozen=True)
class Phase:
    """Where a session stands at a moment: `now` is None between two blocks, before the first and after the last."""

    state: str
    now: BlockSpan | None
    next: BlockSpan | None
    later: tuple[BlockSpan, ...]

    @property
    def shown(self) -> BlockSpan | None:
        """Return the block that one has to look at first: the one that runs, else the one that comes."""
        return self.now or self.next


def phase_of(session: SessionFact, clock: datetime) -> Phase:
    """Return which block runs, which is next and which come later; `clock` is the program's own local time.

    A block has its first minute and not its last: at 10:17 the block from 10:05 to 10:17 is over.
    """
    ahead = [one for one in session.blocks if (session.day, one.ends) > (clock.date(), clock.time())]
    if not ahead:
        return Phase(OVER, None, None, ())
    runs = (session.day, ahead[0].starts) <= (clock.date(), clock.time())
    now = ahead.pop(0) if runs else None
    following = ahead[0] if ahead else None
    has_begun = (session.day, session.blocks[0].starts) <= (clock.date(), clock.time())
    state = RUNNING if now else BETWEEN if has_begun else BEFORE
    return Phase(state, now, following, tuple(ahead[1:]))


def blocks_missed(session: SessionFact, came: datetime | None, left: datetime | None = None) -> tuple[int, ...]:
    """Return the blocks of which somebody was there for no minute; all of them for who did not come. Local times."""
    return tuple(
        one.number
        for one in session.blocks
        if came is None
        or (came.date(), came.time()) >= (session.day, one.ends)
        or (left is not None and (left.date(), left.time()) <= (session.day, one.starts))
    )


def is_late(session: SessionFact, came: datetime) -> bool:
    """Say whether somebody came after the first block had begun. A rule of this program; local time."""
    return bool(session.blocks) and (came.date(), came.time()) > (session.day, session.blocks[0].starts)


def is_early(session: SessionFact, left: datetime) -> bool:
    """Say whether somebody left before the last block was over. A rule of this program; local time."""
    return bool(session.blocks) and (left.date(), left.time()) < (session.day, session.blocks[-1].ends)


@dataclass(frozen=True)
class Move:
    """Somebody whose place is another in the next block; None stands for no place in that block."""

    who: str
    is_participant: bool
    before: Placed | None
    after: Placed | None


def moves(placed: Collection[Placed], now: int, following: int) -> tuple[Move, ...]:
    """Return who changes station, company or task from one block to the next: participants first, then volunteers."""
    return (*_moves(placed, now, following, True), *_moves(placed, now, following, False))


def _moves(placed: Collection[Placed], now: int, following: int, of_participants: bool) -> Iterable[Move]:
    def by_person(block: int) -> dict[str, Placed]:
        here = (one for one in placed if one.block == block)
        return {who: one for one in here if (who := one.participant if of_participants else one.mentor)}

    before, after = by_person(now), by_person(following)
    for who in sorted(before.keys() | after.keys()):
        one, other = before.get(who), after.get(who)
        if _place(one, of_participants) != _place(other, of_participants):
            yield Move(who, of_participants, one, other)


def _place(one: Placed | None, of_participant: bool) -> tuple[str | None, ...]:
    """Return what makes a place; whom a participant works with shows with the mentors, and moves only them."""
    if one is None:
        return ()
    return (one.station,) if of_participant else (one.station, one.role, one.participant)


@dataclass(frozen=True)
class Counted:
    """What is counted in a block, and what is not: leads, by duty who is on it, and shadows count for nobody."""

    participants: int
    mentors: int
    supervised: int
    leads: int
    on_duty: tuple[tuple[str, int], ...]


def counted_in(placed: Iterable[Placed], block: int) -> Counted:
    """Return what is counted in a block: mentors with their participants, of them the supervised; and the others."""
    here = [one for one in placed if one.block == block]
    mentors = [one for one in here if one.role == MENTOR]
    duties = [one.station for one in here if one.role == DUTY]
    return Counted(
        len({one.participant for one in mentors}),
        len(mentors),
        sum(one.level == 1 for one in mentors),
        sum(one.role == LEAD for one in here),
        tuple((slug, duties.count(slug)) for slug in dict.fromkeys(duties)),
    )
