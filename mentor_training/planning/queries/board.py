"""A session's floor as people read it: stations down, blocks across, and in each cell who is with whom."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.participants.queries import first_names
from mentor_training.people.queries import names
from mentor_training.planning.queries.attending import attending
from mentor_training.planning.queries.closed import since_in_words
from mentor_training.planning.queries.coming import Stay
from mentor_training.planning.queries.plan import Plan, fallen_of
from mentor_training.planning.queries.shadows import Shadowing
from mentor_training.planning.rules import DUTY, LEAD, Placed, leads_lacking
from mentor_training.planning.tables import Closing
from mentor_training.program.catalog import Program, Station


@dataclass(frozen=True)
class Worker:
    """A volunteer in a cell: the level as it stands, the placement's number, and what is said against it now."""

    code: str
    name: str
    level: int
    placement: int | None
    reasons: tuple[str, ...] = ()
    cannot_come: bool = False


@dataclass(frozen=True)
class Pair:
    """A participant in a cell and who is with them."""

    code: str
    first_name: str
    mentors: tuple[Worker, ...]


@dataclass(frozen=True)
class Cell:
    """One station in one block; `closed` says since when and by whom it is closed, where it is.

    `shadows` watch there: nothing counts them, and they touch nobody.
    """

    block: int
    leads: tuple[Worker, ...]
    pairs: tuple[Pair, ...]
    on_duty: tuple[Worker, ...]
    lacking: int = 0
    closed: str = ""
    shadows: tuple[Worker, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Say whether nobody is placed at a station that is not closed; who only watches is not placed."""
        return not (self.leads or self.lacking or self.pairs or self.on_duty or self.closed)


@dataclass(frozen=True)
class Row:
    """One station through all blocks."""

    slug: str
    title: str
    caution: str
    is_duty: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Entry:
    """What a board is made of: a placement with its number, level and what is said against it."""

    placed: Placed
    placement: int | None = None
    reasons: tuple[str, ...] = ()
    cannot_come: bool = False


@dataclass(frozen=True)
class Board:
    """The floor of a session, open or as it ran."""

    blocks: tuple[BlockSpan, ...]
    rows: tuple[Row, ...]
    covered: int
    wanted: int
    entries: tuple[Entry, ...] = field(repr=False, default=())

    def cells_in(self, block: int) -> list[tuple[Row, Cell]]:
        """Return one block's cells, with their stations."""
        return [(row, cell) for row in self.rows for cell in row.cells if cell.block == block]


def board_of(plan: Plan, uncovered: int) -> Board:
    """Return the board of an open session; `uncovered` is the number of its gaps."""
    reasons = {fallen.standing.id: fallen.reasons for fallen in fallen_of(plan)}
    away = plan.floor.unavailable
    entries = [
        Entry(now, one.id, reasons.get(one.id, ()), (now.block, now.mentor) in away)
        for one, now in zip(plan.standing, plan.placed, strict=True)
    ]
    lacking = leads_lacking(plan.floor, plan.counted)
    wanted = len(plan.floor.attended)
    board = _board(plan.session, plan.program, entries, plan.floor.names, lacking, (wanted - uncovered, wanted))
    return _with_closed(board, plan.floor.closed)


def frozen_board(db: Session, session: SessionFact, program: Program, closing: Closing) -> Board:
    """Return the board of a closed session as it was frozen, with the levels of that moment."""
    names = names_of_all(db)
    entries = [
        Entry(
            Placed(one["block"], one["station"], one["mentor"], one["role"], one["participant"], one["level"]),
            None,
            tuple(one["lacking"]),
        )
        for one in closing.floor["placements"]
    ]
    covered = len({(one.placed.block, one.placed.participant) for one in entries if one.placed.participant})
    missed = {place for place in attending(db, session, closing.closed_at).missed if place[1] in session.participants}
    wanted = len(session.blocks) * len(session.participants) - len(missed)
    board = _board(session, program, entries, names, {}, (covered, wanted))
    watching = (Shadowing(**one) for one in closing.floor.get("shadows", []))
    return with_shadows(_with_closed(board, _closed_as_frozen(session, closing, names)), watching, names)


def with_shadows(board: Board, shadows: Iterable[Shadowing], names: Mapping[str, str]) -> Board:
    """Return a board with those who shadow, each with what is said against it; at a station without a row nobody."""
    there: dict[tuple[int, str], list[Worker]] = {}
    for one in shadows:
        who = Worker(one.person, names.get(one.person, ""), 0, None, tuple(one.reasons))
        there.setdefault((one.block, one.station), []).append(who)
    rows = (
        replace(
            row, cells=tuple(replace(cell, shadows=tuple(there.get((cell.block, row.slug), ()))) for cell in row.cells)
        )
        for row in board.rows
    )
    return replace(board, rows=tuple(rows)) if there else board


def _with_closed(board: Board, closed: Mapping[tuple[int, str], str]) -> Board:
    rows = (
        replace(row, cells=tuple(replace(cell, closed=closed.get((cell.block, row.slug), "")) for cell in row.cells))
        for row in board.rows
    )
    return replace(board, rows=tuple(rows)) if closed else board


def _closed_as_frozen(
    session: SessionFact, closing: Closing, names: Mapping[str, str]
) -> dict[tuple[int, str], str]:  # fmt: skip
    """Return where stations were closed; a floor that was frozen before they were remembered says nothing of it."""
    told = closing.floor.get("closed", [])
    return {
        (one["block"], one["station"]): since_in_words(session, one["from_block"], one["by"], one["reason"], names)
        for one in told
    }


def names_of_all(db: Session) -> dict[str, str]:
    """Return how people call each volunteer, observer and participant, by code."""
    return first_names(db) | names(db)


def stays_in(closing: Closing) -> tuple[Stay, ...]:
    """Return who came to a closed session, as it was frozen."""
    return tuple(
        Stay(
            one["kind"], one["code"], datetime.fromisoformat(one["came_at"]), datetime.fromisoformat(one["left_at"]),
            one["flag"],
        )
        for one in closing.floor["came"]
    )  # fmt: skip


def _board(
    session: SessionFact, program: Program, entries: Collection[Entry], names: Mapping[str, str],
    lacking: Mapping[tuple[int, str], int], counts: tuple[int, int],
) -> Board:  # fmt: skip
    used = [one.placed.station for one in entries if one.placed.station not in session.stations]
    rows = (
        _row(slug, program.stations.get(slug), session, entries, names, lacking)
        for slug in dict.fromkeys((*session.stations, *used))
    )
    covered, wanted = counts
    return Board(session.blocks, tuple(rows), covered, wanted, tuple(entries))


def _row(
    slug: str, station: Station | None, session: SessionFact, entries: Iterable[Entry], names: Mapping[str, str],
    lacking: Mapping[tuple[int, str], int],
) -> Row:  # fmt: skip
    here = [one for one in entries if one.placed.station == slug]
    cells = tuple(
        _cell(
            block.number,
            [one for one in here if one.placed.block == block.number],
            names,
            lacking.get((block.number, slug), 0),
        )
        for block in session.blocks
    )
    if station is None:
        return Row(slug, slug, "", False, cells)
    return Row(slug, station.title, station.caution.strip(), station.is_duty, cells)


def _cell(block: int, here: list[Entry], names: Mapping[str, str], lacking: int) -> Cell:
    partners = dict.fromkeys(one.placed.participant for one in here if one.placed.participant)
    return Cell(
        block,
        _workers((one for one in here if one.placed.role == LEAD), names),
        tuple(
            Pair(code, names.get(code, code), _workers((one for one in here if one.placed.participant == code), names))
            for code in partners
        ),
        _workers((one for one in here if one.placed.role == DUTY), names),
        lacking,
    )


def _workers(entries: Iterable[Entry], names: Mapping[str, str]) -> tuple[Worker, ...]:
    return tuple(
        Worker(
            one.placed.mentor, names.get(one.placed.mentor, ""), one.placed.level, one.placement, one.reasons,
            one.cannot_come,
        )
        for one in entries
    )  # fmt: skip
