"""A session's floor as paper and walls show it: open or as it ran, in short names, without anybody's needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.participants.queries import first_names
from mentor_training.people.queries import people
from mentor_training.planning.closed import Spell
from mentor_training.planning.gaps import Gap
from mentor_training.planning.queries.board import Board, Cell, Row, Worker, board_of, frozen_board, with_shadows
from mentor_training.planning.queries.closed import closed_spells, frozen_spells
from mentor_training.planning.queries.plan import closing_of, gaps_of, plan_for
from mentor_training.planning.queries.shadows import shadows_in
from mentor_training.planning.sheets import OpenFor, open_for, short_names, size_of
from mentor_training.planning.wall import Crew, Moment, Spot, moment_of_session
from mentor_training.program.catalog import Program
from mentor_training.program.queries import require_edition

# So many lines of pairs, with heads and leads, leave room for a station's cautions on the same page in full size.
ROOM_OF_A_STATION = 14


@dataclass(frozen=True)
class Shown:
    """A floor to be printed: its board, what is open and why, and how everybody is called in short.

    `closed_at` is None while it is open; `not_open` are the places of the program where nothing is on that day,
    `spells` say when one of the session is closed and why.
    """

    session: SessionFact
    program: Program
    board: Board
    open: tuple[OpenFor, ...]
    closed_at: datetime | None
    names: dict[str, str]
    spells: tuple[Spell, ...] = ()

    @property
    def size(self) -> str:
        """Return how large the letters are, so that it stays on one sheet where it can."""
        rows = [max((_lines(cell) for cell in row.cells), default=1) for row in self.board.rows]
        return size_of([*rows, *(1 for _ in (*self.open, *self.spells))])

    @property
    def shut(self) -> tuple[tuple[str, str], ...]:
        """Return the titles of the session's stations that are closed, each with when and why."""
        blocks, titles = [one.number for one in self.session.blocks], {row.slug: row.title for row in self.board.rows}
        return tuple((titles.get(one.station, one.station), one.in_words(blocks)) for one in self.spells)

    @property
    def has_shadows(self) -> bool:
        """Say whether anybody watches only."""
        return any(cell.shadows for row in self.board.rows for cell in row.cells)

    @property
    def has_empty(self) -> bool:
        """Say whether nobody is placed somewhere."""
        return any(cell.is_empty for row in self.board.rows for cell in row.cells)

    @property
    def not_open(self) -> tuple[str, ...]:
        """Return the titles of the program's places that are not open in this session."""
        known = self.program.stations.items()
        return tuple(one.title for slug, one in known if slug not in self.session.stations and not one.is_duty)

    def is_close(self, row: Row) -> bool:
        """Say whether a station has so many lines that its page has to be set close."""
        return sum(_lines(cell) + 2 for cell in row.cells) > ROOM_OF_A_STATION

    def row(self, slug: str) -> Row | None:
        """Return one station's row."""
        return next((row for row in self.board.rows if row.slug == slug), None)


def floor_shown(db: Session, code: str, known_at: datetime) -> Shown:
    """Return a session's floor as it is planned and cleared at a moment, or as it ran where it is closed."""
    session, closing = session_for(db, code), closing_of(db, code)
    names = _names(db, session)
    if closing:
        program = require_edition(db, session.day, closing.closed_at).program
        board = frozen_board(db, session, program, closing)
        return Shown(session, program, board, (), closing.closed_at, names, frozen_spells(session, closing))
    plan = plan_for(db, code, known_at)
    plan.gate.load_everybody()
    plan.gate.load_participants()
    found: tuple[Gap, ...] = gaps_of(plan)
    board = with_shadows(board_of(plan, len(found)), shadows_in(db, plan), plan.floor.names)
    spells = closed_spells(db, session, known_at)
    return Shown(session, plan.program, board, open_for(found, lambda one: names.get(one, one)), None, names, spells)


def _names(db: Session, session: SessionFact) -> dict[str, str]:
    """Call volunteers and participants in short, each kind by itself, and only those of the session."""
    placed = first_names(db)
    participants = {code: name for code, name in placed.items() if code in session.participants}
    rows = {row.code: row.name for row in people(db) if row.code in session.volunteers}
    return short_names(participants) | short_names(rows)


def _lines(cell: Cell) -> int:
    """Return how many lines a cell takes with two pairs beside one another."""
    wide = sum(1 + (len(pair.mentors) - 1) // 2 for pair in cell.pairs)
    return bool(cell.leads or cell.lacking) + (wide + 1) // 2 + len(cell.on_duty) + bool(cell.shadows)


def wall_of(shown: Shown, day: date, at: time) -> tuple[Moment, tuple[Spot, ...]]:
    """Return what a wall shows of a floor at a time: places first, then duties, with who is there now and next."""
    moment = moment_of_session(shown.session, day, at)
    spots = (
        Spot(row.title, row.is_duty, _crew(shown, row, moment.now), _crew(shown, row, moment.next))
        for row in shown.board.rows
    )
    return moment, tuple(sorted(spots, key=lambda spot: spot.is_duty))


def _crew(shown: Shown, row: Row, block: BlockSpan | None) -> Crew | None:
    if block is None:
        return None
    is_planned = any(_is_manned(cell) for _, cell in shown.board.cells_in(block.number))
    cell = next(cell for cell in row.cells if cell.block == block.number)
    mentors = [one for pair in cell.pairs for one in pair.mentors] + list(cell.on_duty)
    with_somebody = sum(any(_holds(one) for one in pair.mentors) for pair in cell.pairs)
    if cell.closed:
        return Crew(is_planned=is_planned, is_closed=True)
    return Crew(
        _called(shown, cell.leads), _called(shown, mentors), with_somebody, bool(cell.lacking), is_planned,
        shadows=tuple(sorted({shown.names.get(one.code, one.code) for one in cell.shadows if not one.reasons})),
    )  # fmt: skip


def _is_manned(cell: Cell) -> bool:
    return bool(cell.leads or cell.pairs or cell.on_duty)


def _holds(one: Worker) -> bool:
    """Say whether somebody who is placed is cleared still: a wall sends nobody where they may not work."""
    return one.level > 0 and not one.reasons


def _called(shown: Shown, workers: Iterable[Worker]) -> tuple[str, ...]:
    return tuple(sorted({shown.names.get(one.code, one.code) for one in workers if _holds(one)}))
