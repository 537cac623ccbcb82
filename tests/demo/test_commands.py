"""The command `demo`: what it prints, what it refuses, what it serves, and what it does without Pango."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
from datetime import UTC, date, datetime
from http.client import HTTPConnection
from pathlib import Path

import pytest
from click.testing import CliRunner

from mentor_training.application import PLACES, create_app
from mentor_training.certificates.queries import verify
from mentor_training.cli import main
from mentor_training.clock import RunningClock
from mentor_training.database.instance import Instance, open_instance
from mentor_training.demo import telling
from mentor_training.demo.summary import summarize
from mentor_training.errors import PdfUnavailable
from mentor_training.journal.actions import write
from mentor_training.journal.queries import head
from tests.demo.conftest import Told, run_demo
from tests.sign_in import Visitor

MORNING = datetime(2026, 10, 17, 12, 40, tzinfo=UTC)  # 08:40 in New York
STATIONS = ("Pool deck", "Resistance corner", "Balance lane", "Target games", "Rhythm floor", "Quiet room")
DUTIES = ("duty: Arrival", "duty: Screening", "duty: Transfer", "duty: Guiding")


def test_the_summary_counts_volunteers_by_level_at_every_station_and_duty(told: Told) -> None:
    """Ten lines, each adding up to the 52 volunteers."""
    assert "Clearance on Sat 17 Oct 2026, 52 volunteers, edition 2" in told.output
    for title in (*STATIONS, *DUTIES):
        line = next(line for line in told.output.splitlines() if line.strip().startswith(title))
        counts = [int(cell) for cell in re.findall(r"(?<= )\d+", line[38:])]
        assert sum(counts) == 52, line


def test_the_summary_names_one_participant_without_a_mentor_and_why(told: Told) -> None:
    """The first name, the code, the blocks, the reason."""
    assert re.search(
        r"Without a mentor in session s-11: Linnea \(p-23\), blocks 1, 2, 3, 4\n  .*card is overdue", told.output
    )


def test_the_summary_shows_the_hours_of_the_section(told: Told) -> None:
    """Nineteen volunteers, and their sum: the lines add up to it, in hundredths of an hour, to a rounding of each."""
    lines = re.findall(
        r"^  (v-\d{3}) .*?(\d+\.\d\d) +(\d+\.\d\d) +(\d+\.\d\d) +(\d+\.\d\d) +(\d+\.\d\d)$", told.output, re.MULTILINE
    )
    total = re.search(r"all together +(\S+) +(\S+) +(\S+) +(\S+) +(\S+)", told.output)
    assert total
    assert [line[0] for line in lines] == [f"v-{number:03}" for number in range(1, 20)]
    for place in range(5):
        added = sum(float(line[place + 1]) for line in lines)
        assert added == pytest.approx(float(total[place + 1]), abs=19 * 0.005 + 0.005)
    assert float(total[1]) > 100


def test_the_summary_names_the_papers_it_made_and_they_are_there(told: Told) -> None:
    """A statement as CSVs, workbook and PDF, a certificate as PDF, and the address at which anybody checks it."""
    paths = [Path(found) for found in re.findall(r"(?:statement|certificate) [\w-]+: (\S+)", told.output)]
    assert sorted(path.suffix for path in paths) == [".csv", ".csv", ".pdf", ".pdf", ".xlsx"]
    assert all(path.is_file() for path in paths)
    assert {path.read_bytes()[:5] for path in paths if path.suffix == ".pdf"} == {b"%PDF-"}
    assert {path.parent for path in paths} == {told.folder / "papers-made"}


def test_the_certificate_it_made_is_valid(told: Told, demo: Instance) -> None:
    """By the number and the code in the address that was printed."""
    found = re.search(r"/verify/([\w-]+)/([\w-]+)", told.output)
    assert found
    with demo.database.reading() as db:
        assert verify(db, found[1], found[2], demo.today()) == "valid"
        assert verify(db, found[1], "0" * 16, demo.today()) == "unknown"


def test_in_a_pipe_there_is_no_progress_bar(told: Told) -> None:
    """Nothing but the summary, and nothing about progress among the errors."""
    assert "Telling the story" not in told.errors + told.output
    assert "\r" not in told.errors + told.output


def test_on_a_terminal_there_is_one(tmp_path: Path) -> None:
    """It counts the days of the story, and is full when the story is told."""
    code = f"""
from datetime import date
import mentor_training.demo.commands as told
from mentor_training.cli import main
told.make_demo = lambda folder, port, day_told: [day_told(date(2026, month, 10)) for month in (8, 9, 10)]
told.open_instance = lambda folder: exit(0)
main(["demo", "--folder", {str(tmp_path / "demo")!r}])
"""
    ours, theirs = os.openpty()
    done = subprocess.run([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=theirs, check=False, timeout=60)
    os.close(theirs)
    shown = os.read(ours, 65536).decode()
    os.close(ours)
    assert done.returncode == 0, shown
    assert "Telling the story" in shown
    assert re.search(r"\b46%", shown)  # 32 of 69 days
    assert "100%" in shown


def test_a_demo_that_is_there_is_left_as_it_is(told: Told, folder: Path) -> None:
    """Run again it says the same and records nothing."""
    before = open_instance(folder)
    with before.database.reading() as db:
        was = head(db)
    before.database.close()
    done = run_demo("--folder", folder, "--no-serve")
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[:12] == told.output.splitlines()[:12]
    after = open_instance(folder)
    with after.database.reading() as db:
        assert head(db) == was
    after.database.close()


def test_another_folder_with_something_in_it_is_refused(tmp_path: Path) -> None:
    """Wrong usage, exit status 2, and nothing in it is touched."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "note.txt").write_text("mine")
    done = CliRunner().invoke(main, ["demo", "--folder", str(tmp_path / "mine"), "--no-serve"])
    assert done.exit_code == 2
    assert "is not empty and holds no demo" in done.output
    assert [path.name for path in tmp_path.rglob("*")] == ["mine", "note.txt"]


def test_a_demo_is_never_told_into_another_database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the environment names a database, the command stops before it has made anything."""
    monkeypatch.setenv("MENTOR_TRAINING_DATABASE", f"sqlite:///{tmp_path}/real.db")
    done = CliRunner().invoke(main, ["demo", "--folder", str(tmp_path / "demo"), "--no-serve"])
    assert done.exit_code == 2
    assert "names another database" in done.output
    assert list(tmp_path.iterdir()) == []


def test_a_telling_that_is_broken_off_leaves_nothing_behind(tmp_path: Path) -> None:
    """Neither the folder nor what was being made beside it."""

    def enough(_day: date) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        telling.make_demo(tmp_path / "demo", 8765, enough)
    assert list(tmp_path.iterdir()) == []


def test_the_clock_runs_on_from_the_end_of_the_story(demo: Instance) -> None:
    """It is set to 08:40 in New York on the demo day, and runs."""
    assert isinstance(demo.clock, RunningClock)
    assert demo.clock.start == MORNING
    assert demo.now() > MORNING


def test_the_clock_never_goes_back_behind_what_was_recorded(demo: Instance) -> None:
    """Opened again after something was recorded at ten, it is ten or later."""
    ten = MORNING.replace(hour=14)
    with demo.database.writing() as db:
        write(db, ten, "c-01", "looked", "p-01", {"at": "needs"})
    again = open_instance(demo.settings.folder)
    assert again.now() >= ten
    again.database.close()


def test_the_mark_of_a_demo_says_when_its_story_ends(told: Told) -> None:
    """demo.json holds the moment and nothing else."""
    assert json.loads((told.folder / "demo.json").read_text()) == {"now": MORNING.isoformat()}


@pytest.mark.parametrize("code", ["v-001", "o-01", "i-01", "c-01"])
def test_the_four_people_get_in_by_one_button_and_every_place_of_theirs_opens(demo: Instance, code: str) -> None:
    """The start page, and each page that their top line leads to."""
    app = create_app(demo, testing=True)
    visitor = Visitor(app.test_client())
    answer = visitor.send("/sign-in", f"/sign-in/demo/{code}")
    assert answer.status_code == 303
    start = visitor.client.get("/", follow_redirects=True)
    assert start.status_code == 200
    assert "demo" in start.text.lower()
    links = dict.fromkeys(re.findall(r'<a[^>]+href="(/[^"#]*)"', start.text))
    opened = [link for link in links if visitor.client.get(link, follow_redirects=True).status_code == 200]
    assert opened == list(links)
    assert len(opened) >= 3
    assert PLACES


def test_nobody_else_gets_in_by_a_button(demo: Instance) -> None:
    """Only the four people of the story."""
    visitor = Visitor(create_app(demo, testing=True).test_client())
    page = visitor.get("/sign-in").text
    assert page.count("/sign-in/demo/") == 4
    token = re.search(r'name="csrf_token"[^>]+value="([^"]+)"', page)
    assert token
    assert visitor.client.post("/sign-in/demo/v-002", data={"csrf_token": token[1]}).status_code == 404


def test_without_pango_it_says_what_to_install_and_goes_on(demo: Instance, monkeypatch: pytest.MonkeyPatch) -> None:
    """All but the PDFs is made, each of these is named with the line that helps, and the address stands at the end."""

    def lacking() -> None:
        raise PdfUnavailable("Pango is missing; install it with one line")

    monkeypatch.setattr("mentor_training.web.pdf._library", lacking)
    for old in (demo.settings.folder / "papers-made").iterdir():
        old.unlink()
    lines = list(summarize(demo, MORNING))
    assert sum("install it with one line" in line for line in lines) == 2
    assert "/verify/" in lines[-1]
    made = [path.suffix for path in (demo.settings.folder / "papers-made").iterdir()]
    assert sorted(made) == [".csv", ".csv", ".xlsx"]


def test_it_is_served_where_asked(folder: Path) -> None:
    """On 127.0.0.1 and the port given, with the sign-in page; interrupted, it ends cleanly."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    arguments = ["demo", "--folder", str(folder), "--port", str(port)]
    code = f"from mentor_training.cli import main; main({arguments!r})"
    server = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        assert server.stdout is not None
        assert any(f"http://127.0.0.1:{port}" in line and "served" in line for line in server.stdout)
        connection = HTTPConnection("127.0.0.1", port, timeout=20)
        connection.request("GET", "/sign-in")
        assert "Odalys Brannagh" in connection.getresponse().read().decode()
        connection.close()
    finally:
        server.send_signal(signal.SIGINT)
        server.communicate(timeout=20)
    assert server.returncode == 0
