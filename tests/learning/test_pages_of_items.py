"""How quiz items do, for course instructors, through HTTP."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable

import pytest

from mentor_training.learning.questions import BankReport
from tests.builders import World
from tests.learning.taking import RIGHT, TWO_WRONG, UNSAFE, actor, take, words
from tests.learning.test_item_reports import asked, tried
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
A, B = "KIN-372-A", "KIN-372-B"


@pytest.fixture
def instructor(world: World, visitor: Sign) -> Visitor:
    """Give the instructor of section A, whose three volunteers took the quiz, as did one of section B."""
    tried(world, A, A, A, B)
    world.add_person("i-01", "course-instructor", sections=A)
    return visitor("i-01")


def rows(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def shown(world: World) -> BankReport:
    return asked(world, actor(world, "i-01"))


def test_the_list_says_how_many_items_are_to_be_looked_at(instructor: Visitor) -> None:
    """With the attempts of the own section behind it, and a way to each quiz."""
    page = instructor.get("/items")
    assert "1 item is to be looked at, by the first attempts of the volunteers of your sections." in words(page.text)
    assert "Safety 1 3 3 5 1" in words(page.text)
    assert 'href="/items/safety?edition=1"' in page.text


def test_an_item_that_is_chosen_unsafe_points_at_the_module_and_not_at_the_student(instructor: Visitor) -> None:
    """In words, with the number behind it and its interval, and a link to the section that it rests on."""
    page = instructor.get("/items/safety")
    said = words(page.text)
    assert "1 item of 5 is to be looked at, by 3 first attempts of 3 volunteers." in said
    assert "Look at the module. Something unsafe was chosen by 1 of 3 (33.3%; 95% interval 6% to 79%)." in said
    assert "At 5% or more the teaching is looked at, not the student." in said
    assert 'href="/learn/safety/read/exits"' in page.text
    assert "Look at the item. The best answer was found by 33.3% of 3." in said


def test_every_figure_stands_in_the_table_with_its_word(world: World, instructor: Visitor) -> None:
    """What is not defined says so; what everybody has right is not called poor without saying why."""
    said = words(instructor.get("/items/safety").text)
    assert "1 grey-and-sweating 3 0.33 33.3% 1.00 Very good" in said
    assert "2 clean-hands 3 1.00 100% 0.00 Poor (everybody right) not defined nothing unsafe to choose" in said
    assert "Behind it 3 attempts of 3 volunteers, 5 items each" in said
    assert "Give water and look again later. unsafe 1" in said
    kr20 = shown(world).figures.kr20
    assert kr20 is not None
    assert f"Reliability, KR-20 {kr20:.2f}".replace("-0.", "−0.") in said


def test_all_attempts_are_counted_where_asked_for(world: World, instructor: Visitor) -> None:
    """And the way back stands beside it; picture and CSV look at the same attempts."""
    world.clock.forward(hours=13)
    take(world, "v-003", RIGHT)
    page = instructor.get("/items/safety?attempts=all")
    assert "by 4 attempts of 3 volunteers" in words(page.text)
    assert "/items/safety/picture.svg?edition=1&amp;attempts=all" in page.text
    assert rows(instructor.get("/items/safety/items.csv?attempts=all").text)[1][1] == "4"
    assert "Counted are all closed attempts" in words(instructor.get("/items?attempts=all").text)


def test_the_table_as_csv_is_the_same(instructor: Visitor) -> None:
    """Safe to open in a spreadsheet; empty is what is not defined."""
    answer = instructor.get("/items/safety/items.csv?edition=1")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="items-safety-1.csv"'
    found = rows(answer.text)
    assert found[0][:5] == ["item", "people", "difficulty", "best", "discrimination"]
    assert found[1] == ["grey-and-sweating", "3", "0.333", "0.333", "1.000", "very good", found[1][6], "0.333",
                        "module and item"]  # fmt: skip
    assert found[2][6] == ""


def test_the_picture_is_svg_with_words_and_the_page_says_the_same(instructor: Visitor) -> None:
    """The text alternative is the picture's own description."""
    picture = instructor.get("/items/safety/picture.svg?edition=1")
    assert picture.content_type.startswith("image/svg+xml")
    assert picture.data == instructor.get("/items/safety/picture.svg?edition=1").data
    description = picture.text.split("<desc>")[1].split("</desc>")[0]
    page = instructor.get("/items/safety").text
    assert f'alt="{description}"' in page
    assert instructor.get("/items/safety/picture.svg?night=1&phone=1").data != picture.data


def test_the_day_looked_at_bounds_what_is_counted(world: World, instructor: Visitor) -> None:
    """Attempts of today do not count for yesterday."""
    world.clock.forward(hours=30)
    assert "by 3 first attempts" in words(instructor.get("/items/safety?on=2026-10-16").text)
    assert "by 0 first attempts" in words(instructor.get("/items/safety?on=2026-10-15").text)
    assert "No volunteer of your sections has closed an attempt" in instructor.get("/items/safety?on=2026-10-15").text


def test_nobody_is_named_and_nobody_ranked(world: World, visitor: Sign) -> None:
    """No name and no code of a volunteer stands on any of these pages."""
    for code, answers in (("v-101", RIGHT), ("v-102", TWO_WRONG), ("v-103", UNSAFE)):
        world.add_person(code, name=f"Odalys {code}", sections=A)
        take(world, code, answers)
    world.add_person("i-01", "course-instructor", sections=A)
    for address in ("/items", "/items/safety", "/items/safety/items.csv", "/items/safety/picture.svg"):
        text = visitor("i-01").get(address).text
        assert "Odalys" not in text
        assert "v-10" not in text


def test_an_unknown_quiz_or_edition_is_not_found(instructor: Visitor) -> None:
    """Not an empty page."""
    assert instructor.get("/items/swimming").status_code == 404
    assert instructor.get("/items/safety?edition=9").status_code == 404
    assert instructor.get("/items/safety/picture.svg?edition=9").status_code == 404


@pytest.mark.parametrize("role", ["volunteer", "observer", "coordinator"])
def test_only_course_instructors_open_it(world: World, visitor: Sign, role: str) -> None:
    """Least is the rule; nor does anybody else see a link to it."""
    world.add_person("x-01", role, sections=A)
    other = visitor("x-01")
    for address in ("/items", "/items/safety", "/items/safety/items.csv", "/items/safety/picture.svg"):
        assert other.get(address).status_code == 403
    assert "/items" not in other.get("/learn").text
    assert "/items" not in other.get("/learn/safety/end").text


def test_the_ways_to_it_stand_where_an_instructor_is(world: World, instructor: Visitor, visitor: Sign) -> None:
    """With the hours of a section, with several sections, with the modules, and where the quiz is named."""
    for address in (f"/hours/sections/{A}", "/learn"):
        assert 'href="/items"' in instructor.get(address).text
    assert 'href="/items/safety"' in instructor.get("/learn/safety/end").text
    world.add_person("i-02", "course-instructor", sections=f"{A};{B}")
    assert 'href="/items"' in visitor("i-02").get("/hours/sections").text
