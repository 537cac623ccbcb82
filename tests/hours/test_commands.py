"""Hours on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from mentor_training.cli import Commands
from mentor_training.errors import NotFound, PdfUnavailable, Refused
from mentor_training.hours import pdf as hours_pdf
from mentor_training.hours.commands import hours
from tests.builders import World
from tests.hours.term import add_people, approved, serve


@pytest.fixture
def term(world: World) -> World:
    return add_people(world)


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(hours, list(words), obj=world.instance)


def test_a_statement_is_written_as_csv_and_pdf_and_its_sums_are_printed(term: World, tmp_path: Path) -> None:
    """Paths and sums on standard output, what is left out on standard error; through today, where no day is named."""
    approved(term, "v-001", *[97] * 12)
    serve(term, "v-002", 60)
    done = run(term, "statement", "KIN-372-A", "--output", str(tmp_path / "out"))
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines() == [
        "ST-2026-0001  direct  1164 min  19.40 h  stated 19.50 h",
        str(tmp_path / "out" / "ST-2026-0001.csv"),
        str(tmp_path / "out" / "ST-2026-0001-lines.csv"),
        str(tmp_path / "out" / "ST-2026-0001.xlsx"),
        str(tmp_path / "out" / "ST-2026-0001.pdf"),
    ]
    assert done.stderr.strip() == (
        "Through 2026-10-16 1 entry waits for approval and would not be on it: Teodor Łęcki (v-002) 1; approved later, "
        "they come on the next one"
    )
    assert (tmp_path / "out" / "ST-2026-0001.pdf").read_bytes().startswith(b"%PDF-")


def test_a_statement_written_again_is_the_same_to_the_byte(term: World, tmp_path: Path) -> None:
    """CSV and PDF alike, on one machine."""
    approved(term, "v-001", 97, 60)
    run(term, "statement", "KIN-372-A", "--through", "2026-10-01", "--output", str(tmp_path / "one"))
    assert run(term, "export", "ST-2026-0001", "--output", str(tmp_path / "two")).exit_code == 0
    for name in ("ST-2026-0001.csv", "ST-2026-0001-lines.csv", "ST-2026-0001.xlsx", "ST-2026-0001.pdf"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_statement_of_a_section_with_unapproved_entries_can_be_held_back(term: World, tmp_path: Path) -> None:
    """It is said whose they are, and nothing is made; without any it is."""
    approved(term, "v-001", 97)
    serve(term, "v-002", 60)
    held = run(term, "statement", "KIN-372-A", "--if-all-approved", "--output", str(tmp_path))
    assert isinstance(held.exception, Refused)
    assert "Teodor Łęcki (v-002) 1. Approve them first" in str(held.exception)
    assert list(tmp_path.glob("ST-*")) == []
    early = run(
        term, "statement", "KIN-372-A", "--if-all-approved", "--through", "2026-10-01", "--output", str(tmp_path)
    )
    assert early.exit_code == 0, early.output


def test_without_pango_the_csv_is_written_and_the_pdf_is_asked_for_later(
    term: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The statement stands; the error is one line that says what to install."""

    def no_pango(*_words: object, **_more: object) -> bytes:
        raise PdfUnavailable("Pango is missing")

    monkeypatch.setattr(hours_pdf, "render_pdf", no_pango)
    approved(term, "v-001", 97)
    done = run(term, "statement", "KIN-372-A", "--output", str(tmp_path))
    assert isinstance(done.exception, PdfUnavailable)
    assert sorted(path.name for path in tmp_path.glob("ST-*")) == [
        "ST-2026-0001-lines.csv", "ST-2026-0001.csv", "ST-2026-0001.xlsx",
    ]  # fmt: skip
    monkeypatch.undo()
    assert run(term, "export", "ST-2026-0001", "--output", str(tmp_path)).exit_code == 0


def test_a_refusal_is_status_1_and_something_unknown_status_2(term: World, tmp_path: Path) -> None:
    """In words on standard error, and no file."""
    nothing = run(term, "statement", "KIN-372-A", "--output", str(tmp_path / "out"))
    assert isinstance(nothing.exception, Refused)
    assert isinstance(run(term, "export", "ST-1", "--output", str(tmp_path / "out")).exception, NotFound)
    assert isinstance(run(term, "show", "KIN-999").exception, NotFound)
    assert run(term, "statement", "KIN-372-A", "--through", "soon", "--output", str(tmp_path)).exit_code == 2
    assert not (tmp_path / "out").exists()


def test_the_edge_turns_a_missing_library_into_one_line_and_status_1() -> None:
    """No traceback, and nothing about the inside of the program."""

    @click.group(cls=Commands)
    def edge() -> None:
        """Stand in for the whole command line."""

    @edge.command("print-it")
    def print_it() -> None:
        raise PdfUnavailable("Pango is missing. To add it: sudo apt-get install libpango-1.0-0")

    done = CliRunner().invoke(edge, ["print-it"])
    assert (done.exit_code, done.stdout) == (1, "")
    assert done.stderr == "Pango is missing. To add it: sudo apt-get install libpango-1.0-0\n"


def test_the_hours_of_a_section_are_shown_by_volunteer_and_category(term: World) -> None:
    """As a table, as CSV and as JSON in minutes; as of a day."""
    approved(term, "v-001", 97, 60)
    shown = json.loads(run(term, "show", "KIN-372-A", "--on", "2026-09-01", "--format", "json").output)
    assert (shown["on"], shown["section"], shown["known_at"]) == ("2026-09-01", "KIN-372-A", "2026-10-16T16:00:00Z")
    assert {
        "volunteer": "v-001", "category": "direct", "required": 600, "approved": 97, "waiting": 0, "over_a_cap": 0,
        "missing": 503,
    } in shown["minutes"]  # fmt: skip
    assert "v-001,direct,600,157,0,0,443" in run(term, "show", "KIN-372-A", "--format", "csv").output
    title, head = run(term, "show", "KIN-372-A").output.splitlines()[:2]
    assert title == "Minutes of section KIN-372-A through 2026-10-16, by volunteer and category"
    assert "over a cap" in head
    assert "missing" in head
