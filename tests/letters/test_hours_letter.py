"""The letter of hours: from frozen statements alone, for the student and the coordinator, years later too."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner
from sqlalchemy import select, text

from mentor_training.application import create_app
from mentor_training.calendar.tables import Term
from mentor_training.certificates.rules import grouped
from mentor_training.cli import main
from mentor_training.errors import Refused
from mentor_training.hours.tables import Statement
from mentor_training.journal.queries import entries
from mentor_training.letters.queries.hours import hours_letter
from mentor_training.letters.tables import WrittenLetter
from mentor_training.letters.writing import write_letter
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import person_for
from tests.builders import FRIDAY, NOON, World
from tests.hours.term import add_people, approved, stated
from tests.letters.reading import words_on
from tests.outside.test_prints import codes_on
from tests.sign_in import Visitor
from tests.small_program import small_files

Visit = Callable[[str], Visitor]
PAGE = "/letters/hours/v-001"
LETTER = "/letters/L-2026-0001/letter.pdf"
YEARS_LATER = datetime(2031, 3, 4, 15, 0, tzinfo=UTC)


def write(visitor: Visitor, page: str = PAGE) -> Visitor:
    """Have a letter of today written on its page."""
    assert visitor.send(page, f"{page}/write").status_code == 303
    return visitor


@pytest.fixture
def term(world: World) -> World:
    """Give a world with one statement: 1164 minutes of one volunteer, 60 of another."""
    add_people(world)
    approved(world, "v-001", *(97,) * 12)
    approved(world, "v-002", 60)
    days = {"first_day": date(2026, 8, 24), "last_day": date(2026, 12, 18)}
    with world.writing() as db:
        db.add(
            Term(
                number=1, code="fall-2026", title="Fall 2026", **days, holidays=(), recorded_at=NOON, recorded_by="c-01"
            )
        )
    stated(world)
    return world


def test_a_letter_says_hours_by_term_and_category_with_the_statements_numbers(term: World, visitor: Visit) -> None:
    """1164 minutes are 19.40 hours, stated as 19.50; how to check it, and that it promises nothing, stand on it too."""
    answer = write(visitor("v-001")).get(LETTER)
    assert answer.content_type == "application/pdf"
    said = words_on(answer.data)
    assert "Odalys Brannagh (v-001) served as a student volunteer in Small program" in said
    assert "19.50 hours were approved" in said
    assert "Fall 2026 Direct 12 1164 19.40" in said
    assert "ST-2026-0001" in said
    assert "How to check this letter" in said
    assert "It grants no credit and no certification" in said
    with term.reading() as db:
        row = db.get(Statement, "ST-2026-0001")
        assert row
        assert row.hash in said.replace(" ", "")


def test_a_letter_is_tagged_and_names_its_language_and_title(term: World, visitor: Visit) -> None:
    """A screen reader meets headings and tables with heads."""
    with pikepdf.open(io.BytesIO(write(visitor("v-001")).get(LETTER).data)) as opened:
        assert len(opened.pages) == 1
        assert str(opened.Root.Lang).startswith("en")
        assert bool(opened.Root.MarkInfo.Marked)
        assert opened.open_metadata()["dc:title"] == "Letter of hours for Odalys Brannagh"
        tags = {
            str(one.S) for one in opened.objects if isinstance(one, pikepdf.Dictionary) and "/S" in one and "/P" in one
        }
    assert {"/H1", "/H2", "/Table", "/TH", "/TD"} <= tags


def test_the_letter_stays_the_same_when_the_programs_files_have_changed_and_the_student_has_left(
    term: World, visitor: Visit
) -> None:
    """An edition without the course and its sections, a new name, no role any more: what was stated stands."""
    before = write(visitor("c-01")).get(LETTER).data
    term.publish({path: one for path, one in small_files().items() if not path.endswith("courses.toml")}, number=2)
    with term.writing() as db:
        row = person_for(db, "v-001")
        row.name, row.roles, row.sections = "Odalys Brannagh-Reyes", (), ()
    term.clock.moment = YEARS_LATER
    coordinator = write(visitor("c-01"))
    assert coordinator.get(LETTER).data == before
    said = words_on(coordinator.get("/letters/L-2031-0001/letter.pdf").data)
    assert "L-2031-0001, Tue 4 Mar 2031" in said
    assert "Odalys Brannagh-Reyes (v-001)" in said
    assert "calls the same person Odalys Brannagh, the name at that time" in said
    assert "Fall 2026 Direct 12 1164 19.40" in said
    assert "Fall 2026 Direct 12 1164 19.40" in words_on(before)


def test_nobody_else_gets_a_letter(term: World, visitor: Visit) -> None:
    """Not another student, not the instructor; the coordinator finds everybody of whom something is stated."""
    write(visitor("v-001"))
    for other in ("v-002", "i-01"):
        assert visitor(other).get(LETTER).status_code == 403
        assert visitor(other).get(PAGE).status_code == 403
    page = visitor("c-01").get("/letters").text
    assert "Odalys Brannagh" in page
    assert "Teodor Łęcki" in page
    assert "Maren Oduvane" not in page
    assert "Teodor" not in visitor("v-001").get("/letters").text
    assert PAGE in visitor("v-001").get("/letters").text


def test_of_whom_nothing_is_stated_there_is_no_letter(term: World, visitor: Visit) -> None:
    """It says so, and no empty letter is signed."""
    page = visitor("v-020").get("/letters/hours/v-020").text
    assert "No statement says anything of you yet" in page
    assert "/letters/hours/v-020/write" not in page
    with term.writing() as db, pytest.raises(Refused, match="No statement says anything of Maren Oduvane"):
        write_letter(db, NOON, CONSOLE, "v-020", "Small program", FRIDAY)
    assert "No statement says anything of you yet" in visitor("v-020").get("/letters").text


def test_no_letter_rests_on_a_statement_that_was_rewritten(term: World) -> None:
    """Somebody took the guard off and changed a figure: the statement is named."""
    with term.writing() as db:
        db.execute(text("DROP TRIGGER statement_refuses_update"))
        db.execute(text("UPDATE statement SET body = replace(body, '1164', '9164')"))
    with term.reading() as db, pytest.raises(Refused, match="ST-2026-0001 is not what it was when it was frozen"):
        hours_letter(db, person_for(db, "v-001"))


def test_the_command_writes_the_same_letter_each_time_on_one_day(term: World, tmp_path: Path) -> None:
    """One number for one day, to the byte; written again years later as it was, though a new one has a new number."""
    command = ["--instance", str(term.instance.settings.folder), "letters"]
    found = []
    for name, words in (("one", ("hours", "v-001")), ("two", ("hours", "v-001")), ("three", ("export", "l 2026 0001"))):
        result = CliRunner().invoke(main, [*command, *words, "--output", str(tmp_path / name)])
        assert result.exit_code == 0, result.output
        found.append((tmp_path / name / Path(result.output.splitlines()[-1]).name).read_bytes())
    assert found[0] == found[1] == found[2]
    with term.reading() as db:
        assert len(db.scalars(select(WrittenLetter)).all()) == 1


def test_a_letter_is_checked_where_a_certificate_is_and_nothing_else_is_told(
    term: World, visitor: Visit, tmp_path: Path
) -> None:
    """Valid, or unknown for a wrong code and a number that there is not alike; typed in, by QR, by command."""
    student = write(visitor("v-001"))
    row = only_letter(term)
    stranger = create_app(term.instance, testing=True).test_client()
    typed = stranger.get("/verify", query_string={"number": "l2026 OOO1", "code": row.verification_code.lower()})
    address = f"/verify/L-2026-0001/{grouped(row.verification_code)}"
    assert typed.location.endswith(address)
    page = stranger.get(address)
    assert (page.status_code, "Letter L-2026-0001: valid" in page.text) == (200, True)
    assert "Odalys" not in page.text
    assert "v-001" not in page.text
    wrong = stranger.get("/verify/L-2026-0001/AAAA")
    missing = stranger.get("/verify/L-2026-0009/AAAA")
    assert (wrong.status_code, missing.status_code) == (404, 404)
    assert "Letter L-2026-0001: unknown" in wrong.text
    assert grouped(row.verification_code) in student.get(PAGE).text
    printed = student.get(LETTER).data
    assert grouped(row.verification_code) in words_on(printed)
    assert codes_on(printed, tmp_path, 150) == [f"{term.instance.settings.address}{address}"]
    command = ["--instance", str(term.instance.settings.folder), "letters", "verify", "L-2026-0001"]
    assert CliRunner().invoke(main, [*command, row.verification_code]).output == "valid\n"
    assert CliRunner().invoke(main, [*command, "AAAA"]).exit_code == 1


def test_a_letter_that_was_rewritten_is_unknown_and_not_given_out(term: World, visitor: Visit) -> None:
    """Somebody took the guard off and changed a figure."""
    coordinator = write(visitor("c-01"))
    row = only_letter(term)
    with term.writing() as db:
        db.execute(text("DROP TRIGGER hours_letter_refuses_update"))
        db.execute(text("UPDATE hours_letter SET body = replace(body, '1164', '9164')"))
    assert coordinator.get(LETTER).status_code == 422
    assert coordinator.get(f"/verify/{row.number}/{row.verification_code}").status_code == 404


def test_the_journal_has_a_letter_with_its_hash_and_no_name(term: World, visitor: Visit) -> None:
    """Number, person, statements, minutes, hash and the head it was written under."""
    write(visitor("v-001"))
    with term.reading() as db:
        (entry,) = entries(db, kind="hours-letter")
    assert (entry.who, entry.subject) == ("v-001", "L-2026-0001")
    assert only_letter(term).hash in entry.record
    assert "Odalys" not in entry.record


def only_letter(world: World) -> WrittenLetter:
    with world.reading() as db:
        (row,) = db.scalars(select(WrittenLetter)).all()
        return row
