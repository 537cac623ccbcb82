"""A statement of 50,000 lines as CSV and as a workbook, each against the bare writer over the same rows.

As CSV three times: the same rows; from entries, with clock times and texts made safe, as happens once when a statement
is made (no bound is set for that); and given out again as it was frozen. The references are a bare csv writer into a
file and a bare XlsxWriter in constant memory, both over rows ready-made. In the processor's time, the best of several.
The memory that giving the CSV out takes at its peak is printed beside it. Run it with
`python -m tests.benchmarks.stating`.
"""

from __future__ import annotations

import csv
import tracemalloc
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import xlsxwriter

from mentor_training.hours.exports import lines_csv
from mentor_training.hours.frozen import hash_of, lines_of
from mentor_training.hours.lines import pieces_of, rows_of
from mentor_training.hours.rules import Entry, Rounding
from mentor_training.hours.spreadsheet import line_cells, statement_xlsx
from mentor_training.hours.stated import Heading, body_of, stated_sums
from mentor_training.hours.tables import Statement, StatementPiece
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, best, run
from tests.builders import FRIDAY, NOON, World, make_world

LINES, CSV_BOUND, XLSX_BOUND = 50_000, 1.5, 1.3
NUMBER = "ST-2026-0001"


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured; at a small size with a fiftieth of the lines."""
    with TemporaryDirectory() as folder:
        world = make_world(Path(folder) / "instance")
        entries = made(LINES if size == Size() else LINES // 50)
        zone = world.instance.settings.zone
        freeze(world, entries)
        rows = list(rows_of(NUMBER, entries, NAMES, {}, zone))
        out = Path(folder) / "out"
        bare = best(lambda: write_bare(out, rows))
        ours = best(lambda: write(out, (one.encode() for one in pieces_of(rows))))
        yield Result(f"{len(rows):,} lines as CSV", ours, "bare csv writer", bare, CSV_BOUND)
        first = best(lambda: hash_of(pieces_of(rows_of(NUMBER, entries, NAMES, {}, zone))))
        yield Result("the same, from entries, once, when it is made", first, "bare csv writer", bare)
        with world.reading() as db:
            frozen = best(lambda: write(out, lines_csv(db, NUMBER)))
            peak = peak_of(lambda: write(out, lines_csv(db, NUMBER)))
            note = f"{peak / 1e6:.1f} MB at the peak, of {out.stat().st_size / 1e6:.1f} MB"
            yield Result("the same, as it was frozen", frozen, "bare csv writer", bare, CSV_BOUND, note)
            row = db.get_one(Statement, NUMBER)
            cells = [line_cells(one) for one in lines_of(db, row)]
            book = best(lambda: statement_xlsx(db, row, zone), times=3)
        reference = best(lambda: bare_book(out, cells), times=3)
        yield Result("the same, as a workbook", book, "bare XlsxWriter", reference, XLSX_BOUND)
        world.instance.database.close()


NAMES = {f"v-{number:03d}": f"Odalys Brannagh {number}" for number in range(500)}


def made(lines: int) -> list[Entry]:
    """Return entries of five hundred volunteers."""
    came = datetime.fromisoformat("2026-09-01T13:30:00+00:00")
    return [
        Entry(
            number, f"v-{number % 500:03d}", "direct", date(2026, 9, 1) + timedelta(days=number % 40), 97, came,
            came + timedelta(minutes=97), about=f"s-{number % 40:02d}", approved_by="i-01",
        )
        for number in range(1, lines + 1)
    ]  # fmt: skip


def freeze(world: World, entries: Sequence[Entry]) -> None:
    """Store a statement of these entries as the act does, without the log that it would come from."""
    zone, rounding = world.instance.settings.zone, Rounding()
    pieces = tuple(pieces_of(rows_of(NUMBER, entries, NAMES, {}, zone)))
    heading = Heading(NUMBER, "KIN-372-A", "KIN-372", FRIDAY, rounding)
    body = body_of(heading, stated_sums(entries, NAMES, rounding, zone))
    told = {"section": "KIN-372-A", "course": "KIN-372", "made_at": NOON, "made_by": "i-01", "through": FRIDAY}
    with world.writing() as db:
        hashes = {"hash": "0" * 64, "journal_head": "0" * 64, "lines_hash": hash_of(pieces)}
        db.add(Statement(number=NUMBER, rule="", body=body, **told, **hashes))
        db.flush()
        db.add_all(StatementPiece(statement=NUMBER, place=place, text=text) for place, text in enumerate(pieces))


def write(path: Path, pieces: Iterable[bytes]) -> None:
    """Write pieces to a file as they come."""
    with path.open("wb") as out:
        out.writelines(pieces)


def write_bare(path: Path, rows: Iterable[Sequence[object]]) -> None:
    """Write rows by the csv library alone."""
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)


def bare_book(path: Path, rows: Iterable[Sequence[object]]) -> None:
    """Write rows by XlsxWriter alone, in constant memory."""
    options = {"constant_memory": True, "default_date_format": "yyyy-mm-dd"}
    with xlsxwriter.Workbook(path, options) as book:
        sheet = book.add_worksheet()
        for number, cells in enumerate(rows):
            sheet.write_row(number, 0, cells)


def peak_of(act: Callable[[], object]) -> int:
    """Return the most memory that an act holds at once, in bytes."""
    tracemalloc.start()
    act()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


if __name__ == "__main__":
    run(measured)
