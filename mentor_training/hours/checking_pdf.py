"""Holding a statement's PDF against what was frozen: what its pages say, and the files that it carries."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import tzinfo
from difflib import SequenceMatcher

from sqlalchemy.orm import Session

from mentor_training.errors import PdfUnavailable, Refused
from mentor_training.hours.checking import Checked, differences, ledger_faults, rows_in, statement_named
from mentor_training.hours.lines import LINE_COLUMNS
from mentor_training.hours.pdf import attached_to, statement_pdf
from mentor_training.hours.stated import COLUMNS, sums_in
from mentor_training.hours.tables import Statement
from mentor_training.web.pdf_pages import (
    are_drawn_alike,
    attached_files,
    pages_changed,
    paper_size,
    words_on_pages,
)

NUMBER = re.compile(r"ST-[0-9]{4}-[0-9]{4,}")
ELSEWHERE = (
    "; another edition of the form or of the renderer has drawn it, so that its files, rows, sums and hashes were "
    "compared, and not every word of its pages"
)
NO_PRINTING = "; this machine cannot print, so that its files, rows, sums and hashes were compared, and not every word"


def check_pdf(db: Session, content: bytes, program: str, zone: tzinfo) -> Checked:
    """Hold a statement's PDF against what was frozen under its number.

    Drawn alike, it is compared word by word, and then by all else that draws its pages; drawn by another edition, it
    has to show each row of the sums and each hash. By what it was made a file says itself, so that this is told.
    """
    try:
        pages, files, size = words_on_pages(content), attached_files(content), paper_size(content)
    except ValueError as error:
        raise Refused(f"This is no statement of hours: {error}.") from None
    row = statement_named(db, _number(pages, files))
    found = list(ledger_faults(db, row))
    # Earlier editions printed statements without any file in them.
    in_it = list(_file_faults(attached_to(db, row), files))
    try:
        wanted = statement_pdf(db, row, program, zone, size)
    except PdfUnavailable:
        return _by_rows(row, pages, found + in_it, NO_PRINTING)
    if not are_drawn_alike(content, wanted):
        return _by_rows(row, pages, found + in_it if files else found, ELSEWHERE)
    found += in_it
    found += word_faults(pages, words_on_pages(wanted)) or pages_changed(content, wanted, "statement")
    return Checked(row.number, "PDF", content == wanted, tuple(found), "word")


def _by_rows(row: Statement, pages: Sequence[Sequence[str]], found: Sequence[str], note: str) -> Checked:
    return Checked(row.number, "PDF", False, (*found, *row_faults(row, pages)), "row", note)


def _number(pages: Sequence[Sequence[str]], files: Mapping[str, bytes]) -> str:
    """Return the number that most of its pieces name, so that one changed place does not hide which statement it is."""
    said: Counter[str] = Counter(NUMBER.findall(" ".join((*files, *(piece for page in pages for piece in page)))))
    if not said:
        raise Refused("This is no statement of hours: no number such as ST-2026-0001 is on its pages.")
    return said.most_common(1)[0][0]


def _file_faults(kept: Mapping[str, bytes], files: Mapping[str, bytes]) -> Iterator[str]:
    for name in sorted(kept.keys() | files.keys()):
        where = f"attached {name}"
        if name not in files or name not in kept:
            yield f"{where}: {'it is missing in the file' if name not in files else 'the statement has no such file'}"
        elif files[name] != kept[name]:
            yield from _cell_faults(where, files[name], kept[name])


def _cell_faults(where: str, content: bytes, kept: bytes) -> Iterator[str]:
    try:
        rows = rows_in(content)
    except (UnicodeDecodeError, csv.Error) as error:
        yield f"{where}: it cannot be read as CSV in UTF-8 ({error})"
        return
    columns = LINE_COLUMNS if where.endswith("-lines.csv") else COLUMNS
    told = list(differences(f"{where}, ", columns, rows, rows_in(kept)))
    yield from told or (f"{where}: it says the same in other bytes",)


def word_faults(pages: Sequence[Sequence[str]], wanted: Sequence[Sequence[str]]) -> list[str]:
    """Say page by page which pieces of text are not those of the statement; both in the order of their drawing.

    Where lines are broken otherwise and the text is the same, nothing is said.
    """
    if _close(_all(pages)) == _close(_all(wanted)):
        return []
    if len(pages) != len(wanted):
        return [f"it has {len(pages)} pages, and the statement {len(wanted)}"]
    found = []
    for number, (here, there) in enumerate(zip(pages, wanted, strict=True), 1):
        for what, *span in SequenceMatcher(None, here, there, autojunk=False).get_opcodes():
            if what != "equal":
                mine, theirs = (" ".join(side) for side in (here[span[0] : span[1]], there[span[2] : span[3]]))
                found.append(f"page {number}: the file says {_said(mine)}, the statement {_said(theirs)}")
    return found


def _said(words: str) -> str:
    return repr(words) if words else "nothing"


def row_faults(row: Statement, pages: Sequence[Sequence[str]]) -> Iterator[str]:
    """Say which row of the sums, and which hash, does not stand on the pages as it was stated; spaces do not count."""
    shown = _close(_all(pages))
    for one in sums_in(row.body):
        cells = (one.person, one.name, one.category, one.entries, one.minutes, one.hours, one.stated)
        if _close("".join(map(str, cells))) not in shown:
            yield f"pages: the row {', '.join(map(str, cells))} is not on them as it was stated"
    for what, value in (("sums", row.hash), ("lines", row.lines_hash), ("journal head", row.journal_head)):
        if value not in shown:
            yield f"pages: the SHA-256 of the {what} is not {value}"


def _all(pages: Sequence[Sequence[str]]) -> str:
    return "".join(piece for page in pages for piece in page)


def _close(text: str) -> str:
    return "".join(text.split())
