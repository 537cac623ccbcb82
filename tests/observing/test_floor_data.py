"""What a phone keeps of the floor: who and what is in it, what is not, and how much it is."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from mentor_training.application import create_app
from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import actor_of, person_for
from mentor_training.program.catalog import USUAL_REMARKS
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, add_session, see_on
from tests.sign_in import Visitor
from tests.small_program import GUARDING, small_files

LARGEST = 300_000


def floor_json(visitor: Visitor) -> dict[str, Any]:
    """Fetch what the page keeps."""
    answer = visitor.get("/observe/floor.json")
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.get_json()
    return found


def test_it_holds_todays_people_the_skills_the_stations_and_the_participants(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Name and code of a volunteer, the criteria with the critical ones said, first name and code of a participant."""
    floor.add_person("v-002", name="Not Expected")
    floor.add_participant("p-01", needs="fall-risk", keep_apart="v-001")
    floor.add_participant("p-02")
    add_session(floor, "s-01", FRIDAY, volunteers="v-001", observers="o-01", participants="p-01")
    found = floor_json(visitor("o-01"))
    assert [(one["code"], one["name"]) for one in found["people"]] == [("v-001", "Odalys Brannagh")]
    assert found["participants"] == [["p-01", "Name01"]]
    assert found["skills"]["guarding"]["criteria"][1:3] == [
        ["Slightly behind and to the side.", True],
        ["Steps with the person.", False],
    ]
    assert [slug for slug, _ in found["stations"]] == ["balance-lane", "target-games", "arrival-desk"]
    assert (found["day"], found["edition"], found["zone"]) == ("2026-10-16", 1, "America/New_York")
    assert found["observer"] == {"code": "o-01", "name": "Person o-01"}
    assert found["calibrated"]
    assert found["skills"]["guarding"]["entitled"]


def test_of_a_participant_nothing_is_kept_but_first_name_and_code(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """No need, no caution, no card, nobody to keep apart, no level."""
    floor.add_participant("p-01", needs="fall-risk", keep_apart="p-02")
    add_session(floor, "s-01", FRIDAY, volunteers="v-001", observers="o-01", participants="p-01")
    found = floor_json(visitor("o-01"))
    text = json.dumps(found)
    assert not any(word in text for word in ("fall-risk", "Fall risk", "arm's reach", "Walk beside", "p-02"))
    assert sorted(found) == [
        "calibrated", "day", "edition", "late_after_days", "marks", "now", "observer", "participants", "people",
        "reasons", "remarks", "skills", "stations", "title", "zone",
    ]  # fmt: skip


def test_short_remarks_go_along_once_and_with_a_skill_only_where_it_has_its_own(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """They are pressed without a network too."""
    own = GUARDING.replace("slug:", "remarks:\n  - Too far to reach\nslug:", 1)
    world.publish({**small_files(), "program/skills/guarding.md": own}, number=2)
    add_observer(world, "o-01")
    found = floor_json(visitor("o-01"))
    assert found["remarks"] == list(USUAL_REMARKS)
    assert found["skills"]["guarding"]["remarks"] == ["Too far to reach"]
    assert "remarks" not in found["skills"]["leading"]


def test_names_go_along_from_two_days_before_a_session_on(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Its volunteers may be looked at earlier, so that the page can be opened where there is a network."""
    floor.add_participant("p-01")
    add_session(floor, "s-01", FRIDAY + timedelta(days=3), "v-001", "o-01", participants="p-01")
    found = floor_json(visitor("o-01"))
    assert (found["day"], len(found["people"]), found["participants"]) == ("2026-10-19", 1, [])
    floor.clock.forward(days=1)
    assert floor_json(visitor("o-01"))["participants"] == [["p-01", "Name01"]]


def test_earlier_observers_marks_are_not_in_it_at_all(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Neither marks nor ways nor remarks nor who observed; only how much is missing."""
    before = FRIDAY - timedelta(days=4)
    see_on(floor, before, "o-01", "v-001", "done another-way done done", remark="Watch the left foot")
    found = floor_json(visitor("o-02"))
    person = json.dumps(found["people"])
    assert not any(word in person for word in ("as agreed", "left foot", "another-way", "o-01", "done"))
    assert found["people"][0]["skills"] == [
        ["guarding", "1 more met observation (1 of 2 so far)", 0],
        ["leading", "", 0],
    ]


def test_of_equals_what_is_nearest_to_a_sign_off_stands_first(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Where nothing hangs on a skill yet: begun before not begun."""
    floor.add_person("v-000", name="Aaron Early")
    see_on(floor, FRIDAY - timedelta(days=4), "o-01", "v-001")
    found = floor_json(visitor("o-01"))
    assert [one["code"] for one in found["people"]] == ["v-001", "v-000"]


def test_what_opens_or_ends_most_stands_first_with_its_reason(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Each reason goes along once; whoever one may not observe stands at the end whatever hangs on it."""
    for code in ("v-002", "v-003", "v-004"):
        floor.add_person(code)
    for code in ("v-001", "v-002", "v-003", "v-004"):
        floor.hold(code, "module/safety", "paper/background-check")
    floor.hold("v-002", "skill/guarding")
    floor.hold("v-003", "skill/guarding", last_day=FRIDAY + timedelta(days=7))
    with floor.writing() as db:
        set_conflicts(db, floor.clock.now(), actor_of(person_for(db, "c-01")), "o-01", ("v-004",))
    floor.add_participant("p-01", needs="fall-risk")
    add_session(floor, "s-01", FRIDAY, "v-001;v-002;v-003;v-004", "o-01", participants="p-01")
    found = floor_json(visitor("o-01"))
    assert [one["code"] for one in found["people"]] == ["v-003", "v-001", "v-002", "v-004"]
    reasons = ["ends Fri 23 Oct 2026, and with it Balance lane and 1 participant",
               "opens 1 participant; raises Balance lane to independent"]  # fmt: skip
    assert found["reasons"] == reasons
    assert found["people"][0]["skills"][0] == ["guarding", "Signed off Tue 1 Sep 2026", 0, 0]
    assert found["people"][1]["skills"] == [["guarding", "", 0, 1], ["leading", "", 0]]
    assert found["people"][2]["skills"] == [["leading", "", 0], ["guarding", "Signed off Tue 1 Sep 2026", 1]]


def test_whom_one_may_not_observe_and_who_pauses_is_said(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """So that nothing is marked that will not be taken; of a stand-down only what it is from."""
    floor.add_person("v-002")
    with floor.writing() as db:
        set_conflicts(db, floor.clock.now(), actor_of(person_for(db, "c-01")), "o-01", ("v-002",))
        pause(
            db, floor.clock.now(), CONSOLE, "v-001", STOOD_DOWN, "balance-lane", FRIDAY, None, "Left it unattended."
        )  # fmt: skip
    people = {one["code"]: one for one in floor_json(visitor("o-01"))["people"]}
    assert "conflict list" in people["v-002"]["objections"][0]
    assert people["v-001"]["stood_down"] == ["from Balance lane"]
    assert "unattended" not in json.dumps(people)


def test_it_is_for_observers_only(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Neither the volunteer nor the coordinator records observations."""
    for code in ("v-001", "c-01"):
        assert visitor(code).get("/observe/floor.json").status_code == 403


def test_sixty_volunteers_and_twenty_skills_are_at_most_300_kb_with_the_page_and_all_it_needs(world: World) -> None:
    """Everything a phone fetches to be ready: data, page, scripts, styles and typeface, uncompressed."""
    names = [f"skill-number-{number:02}-of-twenty" for number in range(20)]
    criteria = "\n".join(f"  - text: {'The mentor stands where the other can reach them ' * 2}{n}." for n in range(8))
    skills = {f"program/skills/{name}.md": skill_text(name, criteria) for name in names}
    world.publish({**small_files(), **skills}, number=2)
    for number in range(60):
        world.add_person(f"v-{number:03}", name=f"Wilhelmina Featherstonehaugh {number}")
        for name in names[:6]:
            world.hold(f"v-{number:03}", f"skill/{name}")
    add_observer(world, "o-01")
    for number in range(40):
        world.add_participant(f"p-{number:02}")
    everybody = ";".join(f"v-{number:03}" for number in range(60))
    add_session(
        world, "s-01", FRIDAY, everybody, "o-01", participants=";".join(f"p-{number:02}" for number in range(40))
    )
    app = create_app(world.instance, testing=True)
    visitor = Visitor(app.test_client()).sign_in("o-01")
    data = len(visitor.get("/observe/floor.json").data)
    page = sum(size_of(visitor, address) for address in shell_of(visitor)["kept"])
    print(f"floor data {data / 1000:.0f} kB, the page with all it needs {page / 1000:.0f} kB")  # noqa: T201
    assert data + page <= LARGEST


def size_of(visitor: Visitor, address: str) -> int:
    """Return how many bytes are fetched from an address, uncompressed."""
    with visitor.get(address) as answer:
        assert answer.status_code == 200, address
        return len(answer.data)


def skill_text(name: str, criteria: str) -> str:
    """Write a skill of eight long criteria."""
    head, tail = GUARDING.split("criteria:\n")[0], GUARDING.split("sign_off:")[1]
    head = head.replace("slug: guarding", f"slug: {name}").replace("Guarding a balance task", f"Skill of {name}")
    return f"{head}criteria:\n{criteria}\nsign_off:{tail}"


def shell_of(visitor: Visitor) -> dict[str, Any]:
    """Return what the service worker is told to keep."""
    answer = visitor.get("/observe/floor/worker.js")
    assert answer.headers["Service-Worker-Allowed"] == "/observe/floor"
    match = re.match(r"const SHELL = (\{.*\});", answer.text)
    assert match
    found: dict[str, Any] = json.loads(match[1])
    return found


@pytest.fixture
def copied(floor: World, tmp_path: Path) -> Flask:
    """Give the application with its own copy of the static files, to change one of them."""
    app = create_app(floor.instance, testing=True)
    shutil.copytree(Path(app.static_folder or ""), tmp_path / "static")
    app.static_folder = str(tmp_path / "static")
    return app


def test_what_is_kept_is_all_there_and_named_by_its_content(copied: Flask) -> None:
    """The page, its scripts and styles and the typeface; a changed letter in any of them makes another version."""
    visitor = Visitor(copied.test_client()).sign_in("o-01")
    first = shell_of(visitor)
    assert {"/observe/floor", "/static/floor/floor.js", "/static/ink.css", "/static/floor.css"} <= set(first["kept"])
    assert any(address.endswith(".woff2") for address in first["kept"])
    for address in first["kept"]:
        assert size_of(visitor, address) > 0
    assert shell_of(visitor)["version"] == first["version"]
    path = Path(copied.static_folder or "") / "floor" / "queue.js"
    path.write_text(path.read_text(encoding="utf-8") + "\n// changed\n", encoding="utf-8")
    assert shell_of(visitor)["version"] != first["version"]


def test_the_page_that_is_kept_names_nobody(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """It is the same for every observer, with no name, no token and no message for one of them."""
    pages = [visitor(code).get("/observe/floor").text for code in ("o-01", "o-02")]
    assert pages[0] == pages[1]
    assert "csrf_token" not in pages[0]
