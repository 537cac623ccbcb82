"""How far coming sessions are covered, by block and station, and why where they are not; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.planning.gaps import Gap
from mentor_training.planning.rules import Floor, Placed
from mentor_training.planning.sheets import IN_SHORT

PLANNED, NO_PLAN, NO_PROGRAM = "planned", "no_plan", "no_program"
STATES = {
    PLANNED: "planned",
    NO_PLAN: "no plan yet",
    NO_PROGRAM: "no edition of the program is in force that day",
}


@dataclass(frozen=True)
class BlockCoverage:
    """One block of a session: how many participants are expected, how many have their mentors and where, and why not.

    `at` counts the covered by station; `open` counts the others by reason, the most frequent first.
    """

    block: BlockSpan
    expected: int
    at: Mapping[str, int]
    open: tuple[tuple[str, int], ...] = ()

    @property
    def covered(self) -> int:
        """Return how many have their mentors."""
        return sum(self.at.values())

    @property
    def lacking(self) -> int:
        """Return how many have not."""
        return self.expected - self.covered


@dataclass(frozen=True)
class SessionCoverage:
    """One session's blocks; without a plan nobody is covered, and nothing is said about why."""

    session: SessionFact
    state: str
    blocks: tuple[BlockCoverage, ...]

    @property
    def expected(self) -> int:
        """Return its participant-blocks."""
        return sum(one.expected for one in self.blocks)

    @property
    def covered(self) -> int:
        """Return how many of them have their mentors."""
        return sum(one.covered for one in self.blocks)


def not_covered(session: SessionFact, state: str, missed: Collection[tuple[int, str]] = ()) -> SessionCoverage:
    """Return a session of which there is no plan, or no program: every participant-block waits but those `missed`."""
    blocks = (BlockCoverage(block, _expected(session, block, missed), {}) for block in session.blocks)
    return SessionCoverage(session, state, tuple(blocks))


def _expected(session: SessionFact, block: BlockSpan, missed: Collection[tuple[int, str]]) -> int:
    return sum((block.number, who) not in missed for who in session.participants)


def coverage_of(session: SessionFact, floor: Floor, placed: Collection[Placed], gaps: Iterable[Gap]) -> SessionCoverage:
    """Return how far a planned session is covered; a participant with too few mentors counts as not covered."""
    by_block: dict[int, list[Gap]] = {}
    for gap in gaps:
        by_block.setdefault(gap.block, []).append(gap)
    blocks = (_block(block, floor, placed, by_block.get(block.number, [])) for block in session.blocks)
    return SessionCoverage(session, PLANNED, tuple(blocks))


def _block(block: BlockSpan, floor: Floor, placed: Collection[Placed], gaps: Sequence[Gap]) -> BlockCoverage:
    short = {gap.participant for gap in gaps}
    there = {who for at, who in floor.attended if at == block.number}
    where = {
        one.participant: one.station
        for one in placed
        if one.block == block.number and one.participant in there and one.participant not in short
    }
    reasons = Counter(IN_SHORT[gap.cause] for gap in gaps)
    return BlockCoverage(block, len(there), Counter(where.values()), tuple(reasons.most_common()))


def in_words(found: Sequence[SessionCoverage]) -> str:
    """Say what the picture shows, for those who do not see it."""
    planned = [one for one in found if one.state == PLANNED]
    covered, expected = sum(one.covered for one in planned), sum(one.expected for one in planned)
    said = f"{_sessions(len(found))}, a row for each block, a column for each station. "
    if planned:
        said += f"Where there is a plan, {covered} of {expected} participant-blocks have their mentors. "
    others = [one for one in found if one.state != PLANNED]
    if others:
        names = ", ".join(one.session.code for one in others)
        said += f"Without a plan: {names}. "
    return said + "The table gives every figure."


def _sessions(count: int) -> str:
    return "1 session" if count == 1 else f"{count} sessions"
