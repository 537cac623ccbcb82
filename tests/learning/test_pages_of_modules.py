"""Reading modules, through HTTP."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from tests.builders import FRIDAY, World
from tests.learning.taking import RIGHT, completed, read_all, take
from tests.sign_in import Visitor, forms_of
from tests.small_program import QUIZ, SAFETY, small_files

Sign = Callable[[str], Visitor]

READ = "/learn/safety/read/{}"
CALL = "/learn/safety/caution/call"


def recording(page: str) -> list[str]:
    """Return where the forms of a page lead that record something."""
    return [address for address, data in forms_of(page) if "once" in data]


def test_a_volunteer_reads_a_module_section_by_section(world: World, visitor: Sign) -> None:
    """It opens at the first section, each button leads to the next, and at the end stands what is left."""
    world.add_person("v-001")
    reader = visitor("v-001")
    assert "Not begun" in reader.get("/learn").text
    for section, following in (("opening", READ.format("hands")), ("hands", READ.format("exits"))):
        assert reader.get("/learn/safety").location == READ.format(section)
        assert reader.send(READ.format(section), READ.format(section)).location == following
    assert reader.send(READ.format("exits"), READ.format("exits")).location == "/learn/safety/end"
    end = reader.get("/learn/safety/end").text
    assert "3 of 3 sections read, 0 of 1 cautions acknowledged, quiz not passed yet" in " ".join(end.split())
    assert "If you ask yourself whether to call, call." in end


def test_the_place_is_kept_and_the_module_opens_at_the_first_section_not_read(world: World, visitor: Sign) -> None:
    """After signing out and in again on another device, too."""
    world.add_person("v-001")
    visitor("v-001").send(READ.format("opening"), READ.format("opening"))
    assert visitor("v-001").get("/learn/safety").location == READ.format("hands")


def test_a_caution_is_acknowledged_where_it_stands(world: World, visitor: Sign) -> None:
    """By its own button, once; the page says so afterwards and leads back to the place."""
    world.add_person("v-001")
    reader = visitor("v-001")
    page = reader.get(READ.format("hands")).text
    assert page.index("Wash for 20 seconds") < page.index('id="caution-call"')
    answer = reader.fill(page, CALL)
    assert answer.location == READ.format("hands") + "#caution-call"
    after = reader.get(READ.format("hands")).text
    assert "You have acknowledged this." in after
    assert CALL not in recording(after)


def test_a_page_of_an_earlier_edition_notes_nothing_of_the_next_one(world: World, visitor: Sign) -> None:
    """Who left a page open while a new edition came out has not read what that edition says."""
    world.add_person("v-001")
    reader = visitor("v-001")
    page = reader.get(READ.format("hands")).text
    files = {"modules/safety.md": SAFETY, "quizzes/safety.yaml": QUIZ}
    newer = {path: text.replace("edition: 1", "edition: 2") for path, text in files.items()}
    world.publish(small_files() | newer, FRIDAY, 2)
    for action in (READ.format("hands"), CALL):
        answer = reader.fill(page, action)
        assert (answer.status_code, "Safety has come out in edition 2" in answer.text) == (422, True)
    then = " ".join(reader.get("/learn/safety/end").text.split())
    assert "0 of 3 sections read, 0 of 1 cautions acknowledged" in then
    assert reader.fill(reader.get(READ.format("hands")).text, READ.format("hands")).status_code == 303


def test_every_page_of_a_module_shows_what_it_gives_way_to_and_its_sources(world: World, visitor: Sign) -> None:
    """The standing deferral on each page; a source with its number and mark where it is cited, and at the end."""
    world.add_person("v-001")
    reader = visitor("v-001")
    for page in (READ.format("hands"), READ.format("exits"), "/learn/safety/end", "/learn/safety/whole", "/learn"):
        assert "gives way to the participant" in reader.get(page).text
    for page in (READ.format("hands"), "/learn/safety/end", "/learn/safety/whole"):
        text = reader.get(page).text
        assert re.search(r'id="source-1".*CDC, Handwashing.*Read in the source itself', text, re.DOTALL)
    assert "CDC, Handwashing" not in reader.get(READ.format("exits")).text
    assert 'href="#source-1"' in reader.get(READ.format("hands")).text


def test_the_whole_module_stands_on_one_page(world: World, visitor: Sign) -> None:
    """For printing: every section, every caution, and nothing to press in them."""
    world.add_person("v-001")
    text = visitor("v-001").get("/learn/safety/whole").text
    for part in ("Why it matters.", "Wash for 20 seconds", "Walk every exit once.", "If you ask yourself whether"):
        assert part in text
    assert recording(text) == []


def test_the_list_says_since_when_and_until_when_a_module_is_complete(world: World, visitor: Sign) -> None:
    """Every yes says until when."""
    world.add_person("v-001")
    read_all(world, "v-001")
    take(world, "v-001", RIGHT)
    text = " ".join(visitor("v-001").get("/learn").text.split())
    assert "1 of 1 modules are complete" in text
    shown = re.sub(r"<[^>]*>", "", text)
    assert "Complete since Fri 16 Oct 2026, good through Sat 16 Oct 2027" in shown


def test_reading_the_last_section_completes_a_module_whose_quiz_is_passed(world: World, visitor: Sign) -> None:
    """And says so."""
    world.add_person("v-001")
    take(world, "v-001", RIGHT)
    reader = visitor("v-001")
    reader.send(READ.format("hands"), CALL)
    for section in ("opening", "hands", "exits"):
        reader.send(READ.format(section), READ.format(section))
    assert [fact.item for fact in completed(world, "v-001")] == ["module/safety@1"]
    assert "Safety: complete." in reader.get("/learn/safety/end").text


def test_the_other_roles_read_and_nothing_is_noted(world: World, visitor: Sign) -> None:
    """An observer, a course instructor and the coordinator see the text, with no button that records anything."""
    for code, role in (("o-01", "observer"), ("i-01", "course-instructor"), ("c-01", "coordinator")):
        world.add_person(code, role)
        reader = visitor(code)
        assert reader.get("/learn/safety").location == READ.format("opening")
        for page in ("/learn", READ.format("hands"), "/learn/safety/end", "/learn/safety/whole"):
            answer = reader.get(page)
            assert answer.status_code == 200
            assert recording(answer.text) == []
        assert reader.get("/quiz/safety").status_code == 403
        token = next(data["csrf_token"] for _, data in forms_of(reader.get("/learn").text) if "csrf_token" in data)
        assert reader.client.post(READ.format("hands"), data={"csrf_token": token}).status_code == 403


def test_another_day_can_be_looked_at_but_not_worked_on(world: World, visitor: Sign) -> None:
    """The text of the edition in force then, and no button that would note anything under today's."""
    later = SAFETY.replace("for 20 seconds", "for 40 seconds")
    world.publish(small_files() | {"modules/safety.md": later}, FRIDAY, 2)
    world.add_person("v-001")
    reader = visitor("v-001")
    assert "Wash for 40 seconds" in reader.get(READ.format("hands")).text
    then = reader.get(READ.format("hands") + "?on=2026-09-01").text
    assert "Wash for 20 seconds" in then
    assert recording(then) == []


def test_what_is_not_there_is_not_found(world: World, visitor: Sign) -> None:
    """A module, a section, a quiz that the program in force does not have."""
    world.add_person("v-001")
    reader = visitor("v-001")
    for page in ("/learn/roof", "/learn/safety/read/roof", "/learn/roof/end", "/learn/roof/whole", "/quiz/roof"):
        assert reader.get(page).status_code == 404


def test_before_any_edition_is_in_force_the_page_says_what_to_do(world: World, visitor: Sign) -> None:
    """There is nothing to read on a day before the first edition took effect."""
    world.add_person("v-001")
    answer = visitor("v-001").get(f"/learn?on={date(2026, 7, 1)}")
    assert answer.status_code == 422
    assert "publishes one first" in answer.text
