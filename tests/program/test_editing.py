"""The program's files in the browser: read, checked, changed, replaced, made and removed."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from mentor_training.journal.tables import JournalEntry
from tests.builders import World
from tests.program.conftest import Put
from tests.sign_in import Visitor
from tests.small_program import PROGRAM, SAFETY, STATIONS

EDIT = "/program/files/edit/"
REMOVE = "/program/files/remove/"
Enter = Callable[[str], Visitor]


@pytest.fixture
def coordinator(world: World, visitor: Enter, put: Put) -> Visitor:
    """Give the coordinator, signed in; the small program's files lie on the disk."""
    world.add_person("c-01", "coordinator")
    return visitor("c-01")


def on_disk(world: World, path: str) -> Path:
    """Return where a file lies."""
    return world.instance.settings.folder / path


def journaled(world: World) -> list[tuple[str, dict[str, str | None]]]:
    """Return what the journal says of files."""
    with world.reading() as db:
        rows = db.scalars(select(JournalEntry).where(JournalEntry.kind == "program-file").order_by(JournalEntry.number))
        return [(row.subject, json.loads(row.record)) for row in rows]


def sealed(text: str) -> str:
    return "sha256:" + hashlib.sha256(text.encode()).hexdigest()


def test_every_file_is_listed_with_what_is_found_in_it_and_since_the_last_edition(
    coordinator: Visitor, put: Put
) -> None:
    """Those that nobody can read too, and the one that is missing."""
    put({"program/program.toml": PROGRAM.replace("entry", "entri"), "modules/odd.yml": "a: 1\n"})
    page = coordinator.get("/program/files").text
    rows = page.split('id="files-table"')[1].split("</table>")[0]
    for path in ("program/program.toml", "program/skills/guarding.md", "quizzes/safety.yaml", "modules/odd.yml"):
        assert f'href="/program/files/edit/{path}"' in rows
    assert "1 fault" in rows
    assert "changed" in rows
    assert "added" in rows
    assert 'href="/program/files/edit/program/program.toml#line-2"' in page


def test_a_file_is_shown_with_a_number_beside_each_line_and_the_findings_line_marked(
    coordinator: Visitor, put: Put
) -> None:
    """And what stands on it, quoted beside the finding."""
    put({"program/stations.toml": STATIONS.replace("capacity = 4", "capacty = 4")})
    page = coordinator.get(EDIT + "program/stations.toml").text
    assert '<a href="#line-5">Line 5</a>, fault: unknown key <code>capacty</code>' in page
    assert '<span id="line-5" class="marked fault">5</span>' in page
    assert '<code class="quoted">capacty = 4</code>' in page
    assert '<span id="line-4">4</span>' in page


def test_a_change_is_written_whole_journaled_and_counts_for_nobody_yet(world: World, coordinator: Visitor) -> None:
    """Line ends become plain, one stands at the end; the journal holds the hashes and not the text."""
    text = PROGRAM.replace("Small", "Smaller").replace("\n", "\r\n").rstrip()
    answer = coordinator.send(EDIT + "program/program.toml", EDIT + "program/program.toml", text=text, then="write")
    assert (answer.status_code, answer.location) == (303, EDIT + "program/program.toml")
    expected = PROGRAM.replace("Small", "Smaller")
    assert on_disk(world, "program/program.toml").read_bytes() == expected.encode()
    assert journaled(world) == [
        (
            "program/program.toml",
            {"path": "program/program.toml", "before": sealed(PROGRAM), "after": sealed(expected)},
        )
    ]
    assert "Small program" in coordinator.get("/program").text
    assert list(on_disk(world, "program").glob(".*")) == []


def test_a_text_can_be_checked_without_being_written(world: World, coordinator: Visitor) -> None:
    """Its findings show, what was typed is kept, the disk stays as it was."""
    text = PROGRAM.replace("entry", "entri")
    answer = coordinator.send(EDIT + "program/program.toml", EDIT + "program/program.toml", text=text, then="check")
    assert answer.status_code == 200
    assert "Checked and not written yet: 1 fault in this file." in answer.text
    assert "entri = " in answer.text
    assert on_disk(world, "program/program.toml").read_text() == PROGRAM
    assert journaled(world) == []


def test_a_file_with_a_fault_may_be_written_and_says_so(world: World, coordinator: Visitor) -> None:
    """It keeps the program from being published, and nothing else."""
    address = EDIT + "program/program.toml"
    assert coordinator.send(address, address, text="name = 3\n", then="write").status_code == 303
    assert "1 fault in this file" in coordinator.get(address).text
    assert "stands in the way of publishing" in coordinator.get("/program/files").text


def test_a_stale_edit_is_refused_and_keeps_what_was_typed(world: World, coordinator: Visitor, put: Put) -> None:
    """What lies there now is shown against it; sent again after that, it is written."""
    address = EDIT + "program/program.toml"
    page = coordinator.get(address).text
    put({"program/program.toml": PROGRAM.replace("Small", "Somebody else's")})
    mine = PROGRAM.replace("Small", "My")
    refused = coordinator.fill(page, address, text=mine, then="write")
    assert refused.status_code == 422
    assert "This file has changed since the page was opened" in refused.text
    assert "name = &#34;My program&#34;" in refused.text
    assert "<del>-name = &#34;Somebody else&#39;s program&#34;</del>" in refused.text
    assert on_disk(world, "program/program.toml").read_text() == PROGRAM.replace("Small", "Somebody else's")
    assert coordinator.fill(page, address, text=mine, then="write").status_code == 422
    assert coordinator.fill(refused.text, address, then="write").status_code == 303
    assert on_disk(world, "program/program.toml").read_text() == mine


def test_an_upload_takes_the_place_of_the_file(world: World, coordinator: Visitor) -> None:
    """Whatever stands in the text field, a byte order mark left out."""
    new = SAFETY.replace("every exit", "each exit")
    address, file = EDIT + "modules/safety.md", (io.BytesIO(b"\xef\xbb\xbf" + new.encode()), "anything.md")
    assert coordinator.send(address, address, upload=file, then="write").status_code == 303
    assert on_disk(world, "modules/safety.md").read_text() == new


def test_an_upload_that_is_no_text_is_refused(world: World, coordinator: Visitor) -> None:
    """With the line; what stood there stays."""
    address, file = EDIT + "modules/safety.md", (io.BytesIO(b"one\ntwo\n\xff\xfe"), "picture.png")
    answer = coordinator.send(address, address, upload=file, then="write")
    assert answer.status_code == 422
    assert "not UTF-8 text (line 3)" in answer.text
    assert "Walk every exit once." in answer.text
    assert on_disk(world, "modules/safety.md").read_text() == SAFETY


def test_a_new_file_is_made_under_a_name_that_belongs_to_a_program(world: World, coordinator: Visitor) -> None:
    """It begins with the keys that its form asks for, and nobody makes it twice."""
    asked = coordinator.get("/program/files/new?path=program/skills/belt.md")
    assert (asked.status_code, asked.location) == (302, EDIT + "program/skills/belt.md")
    address = EDIT + "program/skills/belt.md"
    page = coordinator.get(address).text
    assert "This file is not there yet." in page
    assert "slug: belt" in page
    skill = "---\nslug: belt\ntitle: Belt\nrisk: ordinary\ncriteria:\n  - text: Closed.\n---\n"
    assert coordinator.fill(page, address, text=skill, then="write").status_code == 303
    assert on_disk(world, "program/skills/belt.md").read_text() == skill
    again = coordinator.fill(page, address, text=skill + "More.\n", then="write")
    assert again.status_code == 422
    assert "There is a file program/skills/belt.md already" in again.text


@pytest.mark.parametrize(
    "name",
    [
        "../settings.toml",
        "program/../settings.toml",
        "/etc/passwd",
        "settings.toml",
        "program/skills/../../keys/secret-key",
        "program/skills/Belt.md",
        "program/skills/a/b.md",
        "modules/a.txt",
        "modules/.md",
        "quizzes/a.yml",
        "program/station.toml",
        "data/mentor-training.db",
        "modules/" + "a" * 51 + ".md",
        "modules/a.md%0A",
    ],
)
def test_no_file_is_made_or_seen_outside_the_three_folders(world: World, coordinator: Visitor, name: str) -> None:
    """Nor under a name that nothing would read."""
    asked = coordinator.client.get("/program/files/new", query_string={"path": name})
    assert asked.status_code == 422
    assert "belongs to a program" in asked.text
    for page in (EDIT, REMOVE):
        assert coordinator.client.get(page + name).status_code in (404, 308)
    token = coordinator.get(EDIT + "program/program.toml").text.split('name="csrf_token" value="')[1].split('"')[0]
    sent = coordinator.client.post(EDIT + name, data={"text": "x", "seen": "", "then": "write", "csrf_token": token})
    assert sent.status_code in (404, 405, 308)
    assert journaled(world) == []


def test_a_name_that_is_nearly_right_says_which_was_meant(coordinator: Visitor) -> None:
    """Stations and not station."""
    page = coordinator.get("/program/files/new?path=program/station.toml").text
    assert "Did you mean `program/stations.toml`?" in page


def test_a_link_is_not_followed_out_of_the_folder(world: World, coordinator: Visitor) -> None:
    """A file that is a link is neither shown nor written over."""
    secret = world.instance.settings.folder / "keys" / "secret-key"
    on_disk(world, "modules/linked.md").symlink_to(secret)
    answer = coordinator.get(EDIT + "modules/linked.md")
    assert answer.status_code == 422
    assert "is a link that leads elsewhere" in answer.text
    assert "5" * 64 not in answer.text


def test_a_file_is_removed_by_a_step_of_its_own_that_says_what_it_does(world: World, coordinator: Visitor) -> None:
    """Every fault that there would be without it, then the button; published editions keep theirs."""
    page = coordinator.get(REMOVE + "program/skills/guarding.md").text
    assert "Without it the program has" in page
    assert "unknown item <code>skill/guarding</code>" in page
    answer = coordinator.fill(page, REMOVE + "program/skills/guarding.md")
    assert (answer.status_code, answer.location) == (303, "/program/files")
    assert not on_disk(world, "program/skills/guarding.md").exists()
    assert journaled(world)[0][1]["after"] is None
    assert coordinator.get("/program/skills/guarding").status_code == 200
    assert "removed: program/skills/guarding.md" in coordinator.get("/program/files").text


def test_a_file_that_has_changed_meanwhile_is_not_removed(world: World, coordinator: Visitor, put: Put) -> None:
    """Somebody may just have mended it."""
    page = coordinator.get(REMOVE + "modules/safety.md").text
    put({"modules/safety.md": SAFETY + "\nMore.\n"})
    answer = coordinator.fill(page, REMOVE + "modules/safety.md")
    assert answer.status_code == 422
    assert "has changed since the page was opened" in answer.text
    assert on_disk(world, "modules/safety.md").exists()


def test_an_empty_text_is_no_way_to_remove_a_file(world: World, coordinator: Visitor) -> None:
    """It is refused, and says how."""
    address = EDIT + "program/papers.toml"
    answer = coordinator.send(address, address, text=" \n", then="write")
    assert answer.status_code == 422
    assert "removed by its own step" in answer.text
    assert on_disk(world, "program/papers.toml").read_text()


def test_a_file_that_is_no_text_can_be_replaced(world: World, coordinator: Visitor) -> None:
    """It is said what lies there, and what is written takes its place."""
    on_disk(world, "program/papers.toml").write_bytes(b"\xff\xfe\x00")
    address = EDIT + "program/papers.toml"
    page = coordinator.get(address).text
    assert "What lies there is not UTF-8 text" in page
    assert coordinator.fill(page, address, text='[[paper]]\nslug = "a"\ntitle = "A"\n', then="write").status_code == 303
    assert b'slug = "a"' in on_disk(world, "program/papers.toml").read_bytes()


def test_nothing_is_written_where_nothing_changed(world: World, coordinator: Visitor) -> None:
    """No journal entry either."""
    address = EDIT + "program/papers.toml"
    assert coordinator.send(address, address, then="write").status_code == 303
    assert "There was nothing to write." in coordinator.get(address).text
    assert journaled(world) == []


def test_only_the_coordinator_changes_files(world: World, visitor: Enter, coordinator: Visitor) -> None:
    """Not an observer, not a course instructor."""
    for code, role in (("o-01", "observer"), ("i-01", "course-instructor"), ("v-001", "volunteer")):
        world.add_person(code, role)
        for page in (EDIT, REMOVE):
            assert visitor(code).get(page + "program/program.toml").status_code == 403
        assert visitor(code).get("/program/files/new").status_code == 403


def test_an_edition_shows_its_differences_in_words_and_line_by_line(coordinator: Visitor, put: Put) -> None:
    """And the list of editions, and the files before they are published."""
    put({"program/stations.toml": STATIONS.replace("capacity = 4", "capacity = 5")})
    files = coordinator.get("/program/files").text
    assert "capacity: 5, was 4" in files
    assert coordinator.fill(files, "/program/files/publish", effective="2026-10-20").status_code == 303
    page = coordinator.get("/program/editions/2").text
    assert "Station <strong>Balance lane</strong> changed" in page
    assert "capacity: 5, was 4" in page
    assert "<del>-capacity = 4</del><ins>+capacity = 5</ins>" in page
    listing = coordinator.get("/program/editions").text
    assert "capacity: 5, was 4" in listing
    assert "The first one" in listing
