"""All certificates of a section or of a kind as files: by a command into a folder, by a page as one ZIP."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.certificates.class_files import Wanted, ask_for_files, make_files, write_files, zip_of
from mentor_training.certificates.class_issue import ask_for_class
from mentor_training.certificates.commands.certifying import certificates
from mentor_training.certificates.pdf import Sheet
from mentor_training.errors import NotFound, PdfUnavailable, Refused
from mentor_training.jobs.actions import take
from mentor_training.jobs.work import Work
from tests.builders import FRIDAY, NOON, World
from tests.certificates.holders import COORDINATOR, INSTRUCTOR, KIND, add_people
from tests.jobs.working import work_off
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
FILES, FIRST, SECOND = "/certificates/files", "C-2026-0001", "C-2026-0002"


@pytest.fixture
def class_of(world: World) -> World:
    """Give a class in which two have a certificate, and a third in another section."""
    add_people(world)
    world.hold("v-002", "skill/guarding")
    world.add_person("v-003", name="Maren Oduvane", sections="KIN-372-B")
    world.hold("v-003", "module/safety", "skill/guarding")
    for code in ("v-001", "v-002", "v-003"):
        done = run(world, "issue", code, KIND, "--output", str(world.instance.settings.folder / "made"))
        assert done.exit_code == 0, done.output
    return world


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(certificates, list(words), obj=world.instance)


def ask(world: World, wanted: Wanted) -> int:
    with world.writing() as db:
        return ask_for_files(db, NOON, COORDINATOR, wanted, FRIDAY).number


def begun(world: World) -> Work:
    """Return a job that a worker has taken and not yet done."""
    with world.writing() as db:
        taken = take(db, datetime.now(UTC), "w", ["class-files"])
    assert taken
    return Work(world.instance, taken)


def test_a_section_is_written_into_a_folder_and_said_whose_each_is(class_of: World, tmp_path: Path) -> None:
    """Each file is the same as the single one, to the byte; asked again, none is drawn a second time."""
    out = tmp_path / "out"
    done = run(class_of, "export", "--section", "KIN-372-A", "--folder", str(out))
    assert done.exit_code == 0, done.output
    assert done.output == f"2 certificates are in {out}; certificates.csv there says whose each is\n"
    assert sorted(one.name for one in out.iterdir()) == [f"{FIRST}.pdf", f"{SECOND}.pdf", "certificates.csv"]
    single = class_of.instance.settings.folder / "made" / f"{SECOND}.pdf"
    assert (out / f"{SECOND}.pdf").read_bytes() == single.read_bytes()
    assert '"C-2026-0002.pdf","C-2026-0002","v-002","Teodor' in (out / "certificates.csv").read_text(encoding="utf-8")
    before = {one.name: one.stat().st_ino for one in out.glob("*.pdf")}
    (out / f"{FIRST}.pdf").write_bytes(b"%PDF-1.7 torn")
    assert run(class_of, "export", "--section", "KIN-372-A", "--folder", str(out)).exit_code == 0
    after = {one.name: one.stat().st_ino for one in out.glob("*.pdf")}
    assert (after[f"{SECOND}.pdf"], after[f"{FIRST}.pdf"] != before[f"{FIRST}.pdf"]) == (before[f"{SECOND}.pdf"], True)


@given(st.text(), st.binary(max_size=40))
def test_what_tells_a_file_from_every_other_is_read_back_from_it_as_it_was_written(title: str, more: bytes) -> None:
    """A PDF's reader takes some bytes of a string for the end of a line (ISO 32000-1, 7.3.4.2): none is used."""
    assert Sheet("C-2026-0001", title, "<p>Shown.</p>", "letter", more).mark.isalnum()


def test_a_kind_is_written_by_two_processes_as_by_one(class_of: World, tmp_path: Path) -> None:
    """Of all sections; to be kept, with each credential; to the byte."""
    for number in ("1", "2"):
        done = run(
            class_of, "export", "--kind", KIND, "--output", str(tmp_path / number), "--archival", "--processes", number
        )
        assert done.exit_code == 0, done.output
    one, two = (sorted((path.name, path.read_bytes()) for path in (tmp_path / n).iterdir()) for n in ("1", "2"))
    assert one == two
    assert [name for name, _ in one] == [f"C-2026-000{n}-archival.pdf" for n in (1, 2, 3)] + ["certificates.csv"]
    with pikepdf.open(io.BytesIO(one[0][1])) as pdf:
        assert list(pdf.attachments) == [f"{FIRST}.json"]


def test_what_cannot_be_meant_is_said(class_of: World, tmp_path: Path) -> None:
    """A number and a section, nothing at all, a section that nobody is in, a kind of which none is valid."""
    to = ("--output", str(tmp_path / "out"))
    assert run(class_of, "export", FIRST, "--section", "KIN-372-A", *to).exit_code == 2
    assert run(class_of, "export", *to).exit_code == 2
    assert "section KIN-372-Q" in str(run(class_of, "export", "--section", "KIN-372-Q", *to).exception)
    assert "nothing to write" in str(run(class_of, "export", "--kind", "no-such", *to).exception)
    assert not (tmp_path / "out").exists()


def test_a_class_is_taken_away_as_one_zip(class_of: World, visitor: Visit) -> None:
    """Asked for on a page, made in the background, counted; only what is one's own, and nothing that was revoked."""
    teacher = visitor("i-01")
    led = teacher.send(FILES, FILES, section="", kind=KIND, size="letter")
    assert led.status_code == 303
    assert "Writing the files of lane-mentor certificates" in teacher.get(led.location).text
    assert work_off(class_of) == 1
    told = teacher.get(teacher.get(led.location).location)
    assert "2 certificates are in one ZIP" in told.text
    given = teacher.get(f"{FILES}/1.zip")
    assert (given.status_code, given.content_type) == (200, "application/zip")
    with zipfile.ZipFile(io.BytesIO(given.data)) as made:
        assert made.testzip() is None
        assert made.namelist() == ["certificates.csv", f"{FIRST}.pdf", f"{SECOND}.pdf"]
    given.close()
    assert visitor("i-02").get(f"{FILES}/1.zip").status_code == 404
    assert visitor("v-001").get(FILES).status_code == 403
    run(class_of, "revoke", SECOND, "--reason", "Shown by mistake.")
    refused = teacher.get(f"{FILES}/1.zip")
    assert refused.status_code == 422
    assert "was revoked" in refused.text
    assert teacher.send(FILES, FILES, section="KIN-372-B", kind="", size="letter").status_code == 422


def test_a_stopped_job_goes_on_where_it_was(class_of: World, visitor: Visit) -> None:
    """What is drawn stays; asked again, the rest is drawn, and the ZIP is whole; the pieces are gone then."""
    ask(class_of, Wanted(kind=KIND))
    work = begun(class_of)
    work.stop_wished.set()
    assert make_files(work) == {"stopped": True, "numbers": [], "files": 1, "of": 3}
    (piece,) = (class_of.instance.settings.folder / "class-files").rglob("*.pdf")
    before = piece.read_bytes()
    work.stop_wished.clear()
    made = make_files(work)
    assert made["numbers"] == [FIRST, SECOND, "C-2026-0003"]
    path = zip_of(class_of.instance.settings, work.taken.ticket.number)
    with zipfile.ZipFile(path) as opened:
        assert opened.read(f"{FIRST}.pdf") == before
    assert path.stat().st_mode & 0o077 == 0
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_files_are_deleted_once_their_job_is_cleared(class_of: World) -> None:
    """After 14 days and one more, when the next are made; they hold names."""
    ask(class_of, Wanted(kind=KIND))
    assert work_off(class_of) == 1
    path = zip_of(class_of.instance.settings, 1)
    old = (datetime.now(UTC) - timedelta(days=16)).timestamp()
    os.utime(path, (old, old))
    ask(class_of, Wanted(section="KIN-372-B"))
    assert work_off(class_of) == 1
    assert [one.name for one in path.parent.iterdir()] == ["job-2.zip"]


def test_a_machine_without_pango_says_so_and_is_not_asked_thrice(
    class_of: World, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    """It is no fault of the program, and trying again would change nothing."""

    def lacking(*_: object, **__: object) -> None:
        raise PdfUnavailable("Pango, which PDFs need, is missing")

    ask(class_of, Wanted(kind=KIND))
    monkeypatch.setattr("mentor_training.certificates.pdf.render_pdf", lacking)
    with pytest.raises(Refused, match="Pango"):
        make_files(begun(class_of))


def test_one_revoked_on_the_way_is_left_out(class_of: World, tmp_path: Path) -> None:
    """Between the list and its turn."""
    made = write_files(class_of.instance, [FIRST, SECOND], Wanted(), tmp_path / "out", 1)
    assert next(made) == FIRST
    run(class_of, "revoke", SECOND, "--reason", "Shown by mistake.")
    assert list(made) == []


def test_killed_in_the_middle_its_processes_end_and_the_next_run_does_the_rest(
    class_of: World, tmp_path: Path
) -> None:  # fmt: skip
    """By a signal that nothing can catch: no file is torn, no process stays behind."""
    folder, out = class_of.instance.settings.folder, tmp_path / "out"
    command = [sys.executable, "-m", "mentor_training", "--instance", str(folder)]
    words = ["certificates", "export", "--kind", KIND, "--output", str(out), "--processes", "2"]
    with subprocess.Popen([*command, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        while not list(out.glob("*.pdf")) and running.poll() is None:
            signal.sigtimedwait([], 0.05)
        running.kill()
        # The pipe ends when the last process that holds it has: those that rendered are gone, too.
        running.communicate(timeout=60)
    assert all(one.read_bytes().rstrip().endswith(b"%%EOF") for one in out.glob("*.pdf"))
    assert run(class_of, "export", "--kind", KIND, "--output", str(out)).exit_code == 0
    assert len(list(out.glob("*.pdf"))) == 3


def test_a_class_is_issued_in_one_section_alone(world: World, visitor: Visit) -> None:
    """By a button a section where those who are ready are in more than one, or by an option."""
    add_people(world)
    world.add_person("v-003", name="Maren Oduvane", sections="KIN-372-B")
    world.hold("v-003", "module/safety", "skill/guarding")
    visit = visitor("c-01")
    page = visit.get("/certificates/issuing").text
    assert "Issue Balance lane mentor to the 1 of KIN-372-B" in page
    led = visit.send("/certificates/issuing", f"/certificates/issuing/{KIND}/class", section="KIN-372-B")
    assert led.status_code == 303
    assert work_off(world) == 1
    told = visit.get(visit.get(led.location).location).text
    assert "1 was issued" in told
    assert "Maren Oduvane" in told
    assert run(world, "issue-class", KIND, "--section", "KIN-372-A").output.startswith(
        f"job 2 issues {KIND} to everybody of KIN-372-A who is ready"
    )
    with world.reading() as db, pytest.raises(NotFound, match="section KIN-372-B"):
        ask_for_class(db, NOON, INSTRUCTOR, KIND, FRIDAY, "KIN-372-B")


def test_an_instructor_gets_no_files_of_another_section(class_of: World) -> None:
    """It is as though there were no such section."""
    with class_of.reading() as db, pytest.raises(NotFound, match="KIN-372-B"):
        ask_for_files(db, NOON, INSTRUCTOR, Wanted(section="KIN-372-B"), FRIDAY)
