"""A critical edition is seen by everybody whom it concerns: who must go through a module again, and by when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from tests.builders import FRIDAY, World
from tests.sign_in import Visitor
from tests.small_program import QUIZ, SAFETY, small_files

Sign = Callable[[str], Visitor]


def second_edition() -> dict[str, str]:
    text = SAFETY.replace("edition: 1\n", "edition: 2\nmust_retake: true\n")
    text += "\n## Noise {#noise}\n\nListen before you speak.\n"
    return small_files() | {"modules/safety.md": text, "quizzes/safety.yaml": QUIZ.replace("edition: 1", "edition: 2")}


@pytest.fixture
def term(world: World) -> World:
    """Give a program whose second edition, in force since five days, has to be retaken; one volunteer did the first."""
    world.add_person("c-01", "coordinator")
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    world.add_person("i-02", "course-instructor", sections="KIN-372-B")
    world.add_person("o-01", "observer")
    world.add_person("v-001", name="Ada Quillon", sections="KIN-372-A")
    world.add_person("v-002", name="Bo Tarrant", sections="KIN-372-A")
    world.hold("v-001", "module/safety@1")
    world.publish(second_edition(), effective=FRIDAY - timedelta(days=5), number=2)
    return world


def test_the_volunteer_sees_it_on_the_path_among_the_modules_and_in_the_module(term: World, visitor: Sign) -> None:
    """With the day, and with what is different; each section says so itself."""
    one = visitor("v-001")
    for address in ("/", "/learn", "/learn/safety/end"):
        page = one.get(address)
        while page.status_code in (302, 303):
            page = one.get(page.headers["Location"])
        assert "Edition 2 changed something that matters: go through it again by" in page.text, address
        assert "Sun 25 Oct 2026" in page.text
    end = one.get("/learn/safety/end").text
    assert "What changed since edition 1" in end
    assert 'New: <a href="/learn/safety/read/noise">Noise</a>' in end
    assert "New since edition 1, which you completed." in one.get("/learn/safety/read/noise").text
    assert "since edition 1" not in one.get("/learn/safety/read/hands").text


def test_who_never_completed_it_is_told_nothing_of_it(term: World, visitor: Sign) -> None:
    """They read the newest edition as anybody does."""
    other = visitor("v-002")
    assert "changed something that matters" not in other.get("/learn").text
    assert "What changed since" not in other.get("/learn/safety/end").text


def test_the_coordinator_and_the_instructor_of_the_section_see_who_has_to(term: World, visitor: Sign) -> None:
    """On a page of its own and as CSV; the coordinator among what waits; who answers for others does not."""
    for code in ("c-01", "i-01"):
        page = visitor(code).get("/retakes").text
        assert "1 volunteer has a module to go through again" in page
        assert "Ada Quillon" in page
        assert "Bo Tarrant" not in page
    assert "Nobody has a module to go through again" in visitor("i-02").get("/retakes").text
    assert "Ada Quillon, Safety, by" in visitor("c-01").get("/today").text
    rows = visitor("i-01").get("/retakes.csv").text.splitlines()
    assert rows[1].replace('"', "") == "v-001,Ada Quillon,KIN-372-A,safety,1,2,2026-10-11,2026-10-25,no"


def test_nobody_else_sees_it(term: World, visitor: Sign) -> None:
    """Not an observer, and not a volunteer."""
    for code in ("o-01", "v-001"):
        assert visitor(code).get("/retakes").status_code == 403


def test_once_the_grace_is_over_it_is_said_plainly(term: World, visitor: Sign) -> None:
    """The module does not count any more, and everybody reads so."""
    later = date(2026, 10, 26).isoformat()
    assert "the time is up, and the module does not count" in visitor("c-01").get(f"/retakes?on={later}").text
    assert "edition 1 does not count any more" in visitor("v-001").get(f"/learn?on={later}").text


def test_who_has_gone_through_it_again_is_not_asked_any_more(term: World, visitor: Sign) -> None:
    """Nor told what changed."""
    term.hold("v-001", "module/safety@2", first_day=FRIDAY)
    assert "Nobody has a module to go through again" in visitor("c-01").get("/retakes").text
    assert "changed something that matters" not in visitor("v-001").get("/learn").text
    assert "What changed since" not in visitor("v-001").get("/learn/safety/end").text
