"""The mid-term note: what it says to whom, on a page, on paper and by mail."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner

from mentor_training.cli import main
from mentor_training.letters.notes import KIND, Ending, Held, subject_of, text_of
from tests.builders import World
from tests.hours.term import INSTRUCTOR
from tests.letters.midterm import SECTION, middle, notes
from tests.letters.reading import words_on
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
PAGE = f"/letters/midterm/sections/{SECTION}"


@pytest.fixture
def term(world: World) -> World:
    """Give a section in the middle of its term."""
    return middle(world)


def test_a_note_says_what_stands_on_the_day(term: World) -> None:
    """Hours approved, waiting, planned, needed; what is held and until when; what ends before the last session."""
    note, other = notes(term)
    direct = next(one for one in note.hours if one.category == "direct")
    assert (direct.approved, direct.waiting, direct.planned) == (180, 60, 180)
    assert direct.needed == direct.required - 180
    assert Held("Safety", date(2027, 9, 1)) in note.modules
    assert [one.title for one in note.skills] == ["Guarding a balance task"]
    assert note.last_session == date(2026, 11, 21)
    assert note.beyond
    assert note.beyond.papers == (Ending("Background check", date(2026, 11, 1)),)
    assert other.beyond
    assert other.beyond.entry
    assert all(place.level == 0 for place in other.beyond.places)


def test_who_looks_after_a_section_gets_no_papers_and_no_levels(term: World) -> None:
    """DESIGN gives an instructor quiz results, hours and certificates of the section: the rest is not in the note."""
    (note,) = notes(term, INSTRUCTOR, "v-001")
    assert note.beyond is None
    assert note.modules
    assert note.hours


def test_the_student_finds_their_own_note_with_everything_and_nobody_elses(term: World, visitor: Visit) -> None:
    """As a page and as a PDF; reached from the letters, from one's account and from the way to the hours."""
    student = visitor("v-001")
    for page in ("/letters", "/me", "/hours/toward"):
        assert 'href="/letters/midterm"' in student.get(page).text
    page = student.get("/letters/midterm").text
    assert "Background check: Sun 1 Nov 2026" in page
    assert "what the next level takes" in page
    assert student.get(PAGE).status_code == 403
    assert student.get(f"{PAGE}/v-002").status_code == 403
    assert "Background check: Sun 1 Nov 2026" in words_on(student.get("/letters/midterm.pdf").data)


def test_an_instructor_sees_who_gets_one_and_each_note_before_it_is_sent(term: World, visitor: Visit) -> None:
    """With the mail word for word; only in the own section, and only its students."""
    instructor = visitor("i-01")
    listed = instructor.get(PAGE).text
    assert "Odalys Brannagh" in listed
    assert "Maren Oduvane" not in listed
    assert "has no `host`" in listed.replace("&#39;", "'")
    assert "Send 2 notes" not in listed
    shown = instructor.get(f"{PAGE}/v-001").text
    assert "The mail, word for word" in shown
    assert "Background check" not in shown
    assert instructor.get(f"{PAGE}/v-020").status_code == 404
    assert instructor.get("/letters/midterm/sections/KIN-372-B").status_code == 403
    assert instructor.get("/letters/midterm/sections").location.endswith(PAGE)


def test_a_section_is_printed_a_student_a_page_on_both_sizes_of_paper(
    term: World, visitor: Visit, caplog: pytest.LogCaptureFixture
) -> None:
    """Tagged, with title and language; the coordinator's print has papers too, the instructor's has not."""
    for size, width in (("letter", 612), ("a4", 595)):
        answer = visitor("i-01").get(f"{PAGE}/all.pdf?size={size}")
        with pikepdf.open(io.BytesIO(answer.data)) as opened:
            assert len(opened.pages) == 2
            assert round(float(opened.pages[0].mediabox[2])) == width
            assert bool(opened.Root.MarkInfo.Marked)
            assert str(opened.Root.Lang).startswith("en")
            assert opened.open_metadata()["dc:title"] == f"Mid-term note of {SECTION}"
            assert opened.open_metadata()["pdfuaid:part"] == "1"
            tags = [str(one.get("/S")) for one in opened.objects if isinstance(one, pikepdf.Dictionary)]
            assert (tags.count("/H1"), "/TH" in tags, "/H2" in tags) == (2, True, True)
        assert "Background check" not in words_on(answer.data)
    assert "Background check" in words_on(visitor("c-01").get(f"{PAGE}/all.pdf").data)
    # The renderer claims PDF/UA whatever it is given and only logs what is missing.
    assert [one.getMessage() for one in caplog.records if one.levelname in ("ERROR", "CRITICAL")] == []


def test_no_mail_of_a_note_says_anything_of_levels_papers_or_participants(term: World) -> None:
    """Hours, modules and skills in lines of 72 characters, and where the rest stands; the subject says none of it."""
    note, _ = notes(term)
    said = text_of("Small program", note, "https://movement.example")
    flat = " ".join(said.split())
    assert "Direct hours: 3.00 h of" in flat
    assert "1.00 h wait for approval, 3.00 h planned." in flat
    assert "https://movement.example/letters/midterm" in said
    assert "Background" not in said
    assert "Balance" not in said
    assert max(len(line) for line in said.splitlines()) <= 72
    assert subject_of("Small program", note) == "Small program: where you stand on Fri 16 Oct 2026"
    assert KIND == "midterm"


def test_the_commands_write_one_pdf_and_show_the_mails(term: World, tmp_path: Path) -> None:
    """A dry run stores nothing and needs no server; a section without students is named."""
    command = ["--instance", str(term.instance.settings.folder), "letters"]
    done = CliRunner().invoke(main, [*command, "midterm", SECTION, "--output", str(tmp_path / "out"), "--size", "a4"])
    assert done.exit_code == 0, done.output
    assert "Odalys Brannagh" in words_on((tmp_path / "out" / f"midterm-notes-{SECTION}.pdf").read_bytes())
    shown = CliRunner().invoke(main, [*command, "send-midterm", SECTION, "--dry-run"])
    assert "v-001 <v-001@marrowdale.example>" in shown.output
    assert shown.output.endswith("2 mails; nothing was sent or stored\n")
    assert CliRunner().invoke(main, [*command, "send-midterm", "NO-SUCH", "--dry-run"]).exit_code == 2
