"""A certificate on paper: who signs it, Letter and A4, the variant to keep; and what a check says of its findings."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result

from mentor_training.certificates.attachments import attached_credential
from mentor_training.certificates.commands.certifying import certificates
from mentor_training.certificates.pdf import sheet_of
from mentor_training.certificates.tables import Certificate
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.tables import Person
from mentor_training.web.pdf_pages import are_drawn_alike, pages_changed, paper_size
from tests.builders import SETTINGS, World, make_world
from tests.certificates.holders import INSTRUCTOR, add_people, issued
from tests.outside.test_prints import codes_on
from tests.small_program import CERTIFICATES, small_files

SIGNER = "Wilhelmina Quarrie, program coordinator"


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(certificates, list(words), obj=world.instance)


def saved(pdf: pikepdf.Pdf) -> bytes:
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def look(world: World, folder: Path, data: bytes) -> Result:
    (folder / "given").write_bytes(data)
    return run(world, "verify", str(folder / "given"))


def page(world: World, by: Actor, signer: str = "") -> str:
    """Issue a certificate, and return what its PDF is drawn from."""
    add_people(world)
    if signer:
        files = small_files() | {"program/certificates.toml": f'{CERTIFICATES}signed_by = "{signer}"\n'}
        world.publish(files, date(2026, 10, 1), 2)
    number, _ = issued(world, by)
    with world.reading() as db:
        row = db.get_one(Certificate, number)
        return sheet_of(row, db.get(Person, row.issued_by), "http://127.0.0.1:8765").body


def test_the_one_whom_the_program_names_signs_it(world: World) -> None:
    """Frozen with the rest, under the line, for the program; who issued it stands on the second page."""
    body = page(world, INSTRUCTOR, SIGNER)
    assert f"{SIGNER}<br>for Small program" in body
    first, _, second = body.partition('class="annex"')
    assert "Hadrian" not in first
    assert "Hadrian Mossop (i-01)" in second


def test_one_issued_by_a_command_names_no_console(world: World) -> None:
    """No person of the program issued it, and a machine signs nothing: the line asks for name and office."""
    body = page(world, CONSOLE)
    assert "console" not in body
    assert "Name and office<br>for Small program" in body
    assert "Entered by" not in body


@pytest.mark.parametrize(("paper", "sides"), [("letter", (792, 612)), ("a4", (841.9, 595.3))])
def test_letter_and_a4_are_written_archival_too_and_are_whole(
    world: World, tmp_path: Path, paper: str, sides: tuple[float, float], caplog: pytest.LogCaptureFixture
) -> None:
    """By an option; both hold one credential, carry a QR code that a camera reads, and are compared on their own paper.

    The renderer claims what it is told to and only logs what is missing, so that its log is looked at, too.
    """
    add_people(world)
    issued(world)
    done = run(world, "export", "C-2026-0001", "--output", str(tmp_path), "--archival", "--size", paper)
    assert done.exit_code == 0, done.output
    assert [one.getMessage() for one in caplog.records if one.levelname in ("ERROR", "CRITICAL")] == []
    file = tmp_path / "C-2026-0001-archival.pdf"
    data = file.read_bytes()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages) == 2
        assert [float(one) for one in pdf.pages[0].mediabox][2:] == pytest.approx(sides, abs=0.1)
    assert paper_size(data) == paper
    assert attached_credential(data).startswith(b'{"@context"')
    assert codes_on(data, tmp_path, 110) == [done.output.split()[1]]
    told = run(world, "verify", str(file))
    assert (told.exit_code, told.output.splitlines()[-1]) == (0, "whole: nothing in it was changed"), told.output


def test_a_plain_pdf_is_checked_by_what_is_printed_on_it(world: World, tmp_path: Path) -> None:
    """It carries no credential; the refusal says what to do instead."""
    add_people(world)
    issued(world)
    run(world, "export", "C-2026-0001", "--output", str(tmp_path))
    told = run(world, "verify", str(tmp_path / "C-2026-0001.pdf"))
    assert "by the number and the code that are printed on it" in str(told.exception)


def test_the_instances_paper_is_taken_where_nobody_asks(tmp_path: Path) -> None:
    """A program in a country of A4 says so once."""
    world = make_world(tmp_path / "instance", settings=SETTINGS + 'paper = "a4"\n')
    world.publish()
    add_people(world)
    issued(world)
    assert run(world, "export", "C-2026-0001", "--output", str(tmp_path)).exit_code == 0
    assert paper_size((tmp_path / "C-2026-0001.pdf").read_bytes()) == "a4"
    world.instance.database.close()


def test_pages_added_are_told_and_another_renderers_are_not_compared(world: World, tmp_path: Path) -> None:
    """Another edition of the renderer, or of the form, may draw the same in other words.

    Since a file says itself by what it was made, its pages are then not called whole: what has to be on them is said.
    """
    add_people(world)
    issued(world)
    assert run(world, "export", "C-2026-0001", "--output", str(tmp_path), "--archival").exit_code == 0
    whole = (tmp_path / "C-2026-0001-archival.pdf").read_bytes()
    with pikepdf.open(io.BytesIO(whole)) as pdf:
        pdf.add_blank_page()
        assert "pages, and the certificate" in pages_changed(saved(pdf), whole, "certificate")[0]
        for name in ("/Producer", "/Creator"):
            before, pdf.docinfo[name] = str(pdf.docinfo[name]), "Some other edition"
            assert not are_drawn_alike(saved(pdf), whole)
            told = look(world, tmp_path, saved(pdf))
            assert told.exit_code == 0
            assert "Its pages were not compared: another edition" in told.output
            assert "They have to say: Balance lane mentor, issued to Odalys Brannagh, 2026-10-16," in told.output
            assert "whole: nothing in it was changed" not in told.output
            pdf.docinfo[name] = before
        assert are_drawn_alike(saved(pdf), whole)
