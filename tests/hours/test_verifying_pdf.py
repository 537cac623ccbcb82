"""What `statements verify` says of a PDF that came back, whole and tampered with, and that a print stays as it was."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pikepdf
import pytest

from mentor_training.database.instance import open_instance
from mentor_training.errors import PdfUnavailable, Refused
from mentor_training.hours import checking_pdf
from mentor_training.hours.pdf import statement_pdf
from mentor_training.hours.queries import statement_for
from mentor_training.hours.spreadsheet import statement_xlsx
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import person_for
from mentor_training.web.pdf import fill
from mentor_training.web.pdf_pages import words_on_pages
from tests.builders import NOON, World
from tests.hours.term import (
    book_of,
    sums_of,
    two_statements,
    verify,
)


@pytest.fixture
def term(world: World) -> World:
    return two_statements(world)


def pdf_of(world: World, number: str = "ST-2026-0001", size: str = "letter") -> bytes:
    with world.reading() as db:
        settings = world.instance.settings
        return statement_pdf(db, statement_for(db, CONSOLE, number), settings.title, settings.zone, size)


def changed(content: bytes, change: Callable[[pikepdf.Pdf], object]) -> bytes:
    """Return a PDF after something was done to it, as another program would save it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(content)) as pdf:
        change(pdf)
        pdf.save(out)
    return out.getvalue()


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_a_pdf_is_found_to_match_by_its_pages_and_the_files_in_it(term: World, tmp_path: Path, size: str) -> None:
    """To the byte on either size of paper, word by word where it was saved anew."""
    content = pdf_of(term, size=size)
    assert "ST-2026-0001, PDF: it matches to the byte" in verify(term, tmp_path, "x.pdf", content).output
    again = verify(term, tmp_path, "x.pdf", changed(content, lambda pdf: len(pdf.pages)))
    assert (again.exit_code, "it matches in every word" in again.output) == (0, True), again.output


def test_a_changed_figure_on_a_page_is_named(term: World, tmp_path: Path) -> None:
    """Whoever puts the glyphs of 2.50 in another order makes 5.20 of it."""
    content = pdf_of(term)
    place = words_on_pages(content)[0].index("2.50")

    def write_over(pdf: pikepdf.Pdf) -> None:
        told = list(pikepdf.parse_content_stream(pdf.pages[0]))
        ends = [at for at, one in enumerate(told) if str(one.operator) == "ET"]
        within = range(ends[place - 1], ends[place])
        at = next(at for at in within if str(told[at].operator) == "TJ")
        figure = told[at].operands[0]
        assert isinstance(figure, pikepdf.Array)
        glyphs = b"".join(bytes(one) for one in figure if isinstance(one, pikepdf.String))
        swapped = pikepdf.String(glyphs[4:6] + glyphs[2:4] + glyphs[:2] + glyphs[6:])
        told[at] = pikepdf.ContentStreamInstruction([pikepdf.Array([swapped])], pikepdf.Operator("TJ"))
        pdf.pages[0].Contents = pdf.make_stream(pikepdf.unparse_content_stream(told))

    done = verify(term, tmp_path, "x.pdf", changed(content, write_over))
    assert done.exit_code == 1
    assert "page 1: the file says '5.20', the statement '2.50'" in done.output


def test_what_is_laid_over_a_page_is_named_by_the_page(term: World, tmp_path: Path) -> None:
    """A white box over a figure leaves every word as it was; the page is drawn otherwise all the same."""
    box = b"q 1 1 1 rg 300 300 200 80 re f Q"
    done = verify(
        term, tmp_path, "x.pdf",
        changed(pdf_of(term), lambda pdf: pdf.pages[0].contents_add(box)),
    )  # fmt: skip
    assert done.exit_code == 1
    assert "Page 1 does not show what the statement says." in done.output


def test_a_page_more_or_fewer_is_told(term: World, tmp_path: Path) -> None:
    """With both numbers."""
    done = verify(term, tmp_path, "x.pdf", changed(pdf_of(term), lambda pdf: pdf.pages.__delitem__(1)))
    assert "it has 1 pages, and the statement 2" in done.output


def test_a_changed_file_in_a_pdf_is_named_by_row_and_column(term: World, tmp_path: Path) -> None:
    """And one that is missing, and one that was never there."""

    def tamper(pdf: pikepdf.Pdf) -> None:
        sums = pdf.attachments["ST-2026-0001.csv"].get_file().read_bytes()
        pdf.attachments["ST-2026-0001.csv"] = sums.replace(b",157,", b",175,")
        del pdf.attachments["ST-2026-0001-lines.csv"]
        pdf.attachments["more.csv"] = b"x"

    done = verify(term, tmp_path, "x.pdf", changed(pdf_of(term), tamper))
    assert done.exit_code == 1
    for said in (
        "attached ST-2026-0001.csv, row 2, column minutes: the file says '175', the statement '157'",
        "attached ST-2026-0001-lines.csv: it is missing in the file",
        "attached more.csv: the statement has no such file",
    ):
        assert said in done.output


def test_a_pdf_that_another_edition_drew_is_held_to_its_rows_and_hashes(
    term: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what it was made a file says itself: so it is told that not every word was compared."""
    body = fill

    def other_words(template: str, **values: object) -> str:
        return body(template, **values).replace("Hours stated, by volunteer", "By volunteer")

    monkeypatch.setattr("mentor_training.hours.pdf.fill", other_words)
    monkeypatch.setattr("mentor_training.hours.pdf.form_of", lambda *_: "form of last year")
    old = pdf_of(term)
    monkeypatch.setattr(
        "mentor_training.hours.pdf.fill", lambda name, **values: other_words(name, **values).replace(">2.62<", ">2.26<")
    )
    tampered = pdf_of(term)
    monkeypatch.undo()
    done = verify(term, tmp_path, "x.pdf", old)
    assert (done.exit_code, "another edition of the form" in done.output) == (0, True), done.output
    done = verify(term, tmp_path, "x.pdf", tampered)
    said = "pages: the row v-001, Odalys Brannagh, direct, 2, 157, 2.62, 2.50 is not on them as it was stated"
    assert (done.exit_code, said in done.output) == (1, True), done.output


def test_without_pango_a_pdf_is_held_to_its_rows_and_files(
    term: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading one needs no printing."""
    content = pdf_of(term)

    def no_pango(*_words: object, **_more: object) -> bytes:
        raise PdfUnavailable("Pango is missing")

    monkeypatch.setattr(checking_pdf, "statement_pdf", no_pango)
    done = verify(term, tmp_path, "x.pdf", content)
    assert (done.exit_code, "this machine cannot print" in done.output) == (0, True), done.output


def test_a_pdf_of_something_else_is_no_statement(term: World, tmp_path: Path) -> None:
    """Neither an empty one nor what only begins like one."""
    out = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(out)
    for content, said in ((out.getvalue(), "no number such as"), (b"%PDF-1.7 and no more", "cannot be read as a PDF")):
        done = verify(term, tmp_path, "x.pdf", content)
        assert isinstance(done.exception, Refused)
        assert said in str(done.exception)


# ---- what a print says stays ----


def test_a_print_made_again_after_names_time_and_address_of_the_program_changed_is_the_same(
    term: World,
) -> None:
    """Opened anew a year later, with an instructor of another name: every file is the same to the byte."""
    before = [pdf_of(term), book_of(term, "ST-2026-0001"), sums_of(term, "ST-2026-0001")]
    term.clock.moment = NOON + timedelta(days=400)
    with term.writing() as db:
        person_for(db, "i-01").name = "Hadrian Vantongeren"
    settings = term.instance.settings
    path = settings.folder / "settings.toml"
    text = path.read_text(encoding="utf-8")
    for old, new in ((settings.title, "Another title"), ("America/New_York", "Europe/Berlin")):
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    opened = open_instance(settings.folder, term.clock)
    with opened.database.reading() as db:
        row = statement_for(db, CONSOLE, "ST-2026-0001")
        title, zone = opened.settings.title, opened.settings.zone
        after = [statement_pdf(db, row, title, zone), statement_xlsx(db, row, zone), row.body.encode()]
    opened.database.close()
    assert title == "Another title"
    assert after == before
