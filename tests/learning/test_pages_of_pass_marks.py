"""Setting a pass mark by judges, through HTTP: the form, what is wrong in it, what stands, the way into the file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from html import unescape

import pytest
from werkzeug.test import TestResponse

from tests.builders import World
from tests.learning.taking import words
from tests.learning.test_judging import DANA, ITEMS, LEE, asked, judged, stored
from tests.sign_in import Visitor, forms_of
from tests.small_program import QUIZ, small_files

Sign = Callable[[str], Visitor]
PAGE = "/items/safety/pass-mark"
LINES = (
    'pass_mark: 0.80\npass_mark_source: "Angoff 1971, set on 2026-10-16 by 2 judges: Dana Reyes, Lee"'
)  # fmt: skip


@pytest.fixture
def coordinator(world: World, visitor: Sign) -> Visitor:
    """Give the coordinator, signed in."""
    world.add_person("c-01", "coordinator")
    return visitor("c-01")


def column(judge: int, name: str, *percents: object) -> dict[str, object]:
    """Return what is typed for one judge."""
    cells = zip(ITEMS, percents, strict=True)
    return {f"judge-{judge}": name, **{f"share-{judge}-{item}": str(percent) for item, percent in cells}}


TWO = column(1, DANA.judge, *DANA.percents) | column(3, LEE.judge, *LEE.percents)


def send(visitor: Visitor, typed: Mapping[str, object]) -> TestResponse:
    return visitor.send(PAGE, PAGE, **typed)


def wrong(answer: TestResponse) -> list[str]:
    """Return what the summary of errors says, line by line."""
    assert answer.status_code == 422
    summary = answer.text.split('id="error-summary"')[1].split("</div>")[0]
    return [words(one) for one in re.findall(r"<li>(.*?)</li>", summary)]


def test_what_judges_say_is_recorded_and_shown(world: World, coordinator: Visitor) -> None:
    """An empty column between two judges is none; the page goes on to what stands now."""
    answer = send(coordinator, TWO)
    assert (answer.status_code, answer.location) == (303, PAGE)
    assert asked(world)[0].sheets == (DANA, LEE)
    assert asked(world)[0].row.recorded_by == "c-01"
    said = words(coordinator.get(PAGE).text)
    assert "What 2 judges said is recorded." in said
    assert "2 judges propose 80%; the quiz file says 80%." in said
    assert "Each judge Dana Reyes 79%, Lee 81%" in said
    assert "Spread of the judges 1.4 points Standard error 1.0 points" in said
    assert "grey-and-sweating 80% 90% 85% 7.1 points" in said
    assert "The judges are furthest apart on grey-and-sweating, clean-hands, in-order, how-long, door." in said


def test_the_page_says_which_two_lines_to_write_until_the_file_says_so(world: World, coordinator: Visitor) -> None:
    """Ready to be copied; once an edition with them is published, they are no longer asked for."""
    send(coordinator, TWO)
    page = coordinator.get(PAGE)
    assert LINES in unescape(page.text)
    assert 'href="/program/files"' in page.text
    files = small_files() | {"quizzes/safety.yaml": QUIZ.replace("draw: 5", f"draw: 5\n{LINES}")}
    world.publish(files, number=2)
    said = words(coordinator.get(PAGE).text)
    assert "In the quiz file 80%, Angoff 1971, set on 2026-10-16 by 2 judges: Dana Reyes, Lee" in said
    assert "The quiz file says so already" in said
    assert "Write these two lines" not in said


def test_one_judge_has_no_spread_and_the_page_says_so(coordinator: Visitor) -> None:
    """Nor a standard error."""
    send(coordinator, column(1, DANA.judge, *DANA.percents))
    said = words(coordinator.get(PAGE).text)
    assert "1 judge proposes 79%" in said
    assert said.count("not defined it takes two judges") == 2
    assert "One judge alone agrees with everybody; ask more of them." in said


def test_every_wrong_cell_is_named_with_what_would_be_right(world: World, coordinator: Visitor) -> None:
    """Judge and item, in the order of the page; the summary leads to each cell and takes the focus."""
    typed = column(1, "Dana Reyes", 80, "7o", 95, "", 101) | column(2, "", 1, 2, 3, 4, "0.5") | {"judge-4": "Lee"}
    answer = send(coordinator, typed)
    assert wrong(answer) == [
        "Judge 2: Write who judged.",
        "Judge 4: Write a percent of this judge for each item below, or take the name out.",
        "Judge 1 (Dana Reyes), item clean-hands: “7o” is no whole percent; write 0 to 100.",
        "Judge 1 (Dana Reyes), item how-long: Nothing yet; write 0 to 100.",
        "Judge 1 (Dana Reyes), item door: “101” is no whole percent; write 0 to 100.",
        "Judge 2, item door: “0.5” is no whole percent; write 0 to 100.",
    ]
    assert 'href="#share-1-clean-hands"' in answer.text
    assert re.search(r'id="error-summary" tabindex="-1" autofocus', answer.text)
    assert re.search(r'<input[^>]*aria-describedby="share-1-door-wrong"[^>]*aria-invalid="true"', answer.text)
    assert stored(world) == (0, 0, 0)


def test_everything_that_was_typed_is_kept(coordinator: Visitor) -> None:
    """What is wrong as well as what is right, so that it can be put right and sent."""
    typed = TWO | {"share-1-door": "a lot", "day": "2026-10-03"}
    answer = send(coordinator, typed)
    (form,) = [values for address, values in forms_of(answer.text) if address == PAGE]
    assert {name: [str(value)] for name, value in typed.items()}.items() <= form.items()
    assert coordinator.fill(answer.text, PAGE, **{"share-1-door": "90"}).status_code == 303


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, ["Judge 1: Nothing is written yet: name a judge, and write a percent for each item."]),
        (TWO | {"day": ""}, ["Day on which they judged: Write the day on which they judged."]),
        (TWO | {"day": "2026-10-17"},
         ["Day on which they judged: That day is still to come; write the day on which they judged."]),
        (TWO | {"day": "soon"},
         ["Day on which they judged: 'soon' is not a day. Write one as year-month-day, such as 2026-10-17."]),
        (TWO | {"judge-3": "dana reyes"},
         [f"Judge {at}: This name stands here twice; tell the two apart." for at in (1, 3)]),
        (TWO | {"judge-3": "L" * 121}, ["Judge 3: Keep it to 120 characters."]),
        (TWO | {"judge-3": " \u2028 "}, ["Judge 3: Write who judged."]),
    ],
)  # fmt: skip
def test_what_else_can_be_wrong(
    world: World, coordinator: Visitor, typed: Mapping[str, object], said: list[str]
) -> None:
    """Each beside its field, and nothing is stored."""
    assert wrong(send(coordinator, typed)) == said
    assert stored(world) == (0, 0, 0)


@pytest.mark.parametrize("edition", ["", "7", "one", "٧"])
def test_a_page_that_shows_other_items_is_not_taken(world: World, coordinator: Visitor, edition: str) -> None:
    """The form comes back about the items of now, with what was typed, and can be sent."""
    answer = send(coordinator, TWO | {"edition": edition})
    assert wrong(answer)[0].startswith("The items have changed while this page was open")
    assert stored(world) == (0, 0, 0)
    assert coordinator.fill(answer.text, PAGE).status_code == 303


def test_the_same_page_sent_twice_counts_once(world: World, coordinator: Visitor) -> None:
    """A double press is no second record, and neither is the same filled in again on a page opened anew."""
    page = coordinator.get(PAGE).text
    for _ in range(2):
        assert coordinator.fill(page, PAGE, **TWO).location == PAGE
    assert stored(world) == (1, 2, 1)
    assert wrong(send(coordinator, TWO)) == [
        "Exactly this stands already: the same judges, shares and day. Nothing more was recorded."
    ]
    assert stored(world) == (1, 2, 1)


def test_a_form_without_its_token_is_refused(world: World, coordinator: Visitor) -> None:
    """Another site cannot send it."""
    assert coordinator.client.post(PAGE, data=TWO).status_code == 400
    assert stored(world) == (0, 0, 0)


def test_a_correction_stands_and_what_stood_before_stays_listed(world: World, coordinator: Visitor) -> None:
    """With its judges, its figures and who recorded it."""
    judged(world, DANA, LEE)
    world.clock.forward(hours=1)
    send(coordinator, column(1, "A parent", 70, 70, 70, 70, 70))
    said = words(coordinator.get(PAGE).text)
    assert "1 judge proposes 70%" in said
    before = said.split("Recorded earlier, the newest first")[1]
    assert "Fri 16 Oct 2026 Dana Reyes, Lee 1 80% 1.4 points 1.0 points Fri 16 Oct 2026, 12:00 console" in before


def test_an_item_in_two_versions_is_judged_once_and_shows_both(world: World, coordinator: Visitor) -> None:
    """With what can be chosen in each, so that nobody has to look it up."""
    again = "  - slug: wash-again\n    version_of: how-long\n    kind: read_measure\n    text: And with gel?\n"
    again += "    value: 30\n    unit: s\n    units: [s, min]\n"
    world.publish(small_files() | {"quizzes/safety.yaml": QUIZ + again}, number=2)
    page = coordinator.get(PAGE)
    assert "how-long Version 1. How long do you wash? What can be chosen in how-long, version 1" in words(page.text)
    assert "Version 2. And with gel?" in words(page.text)
    assert "Give water and look again later. (unsafe)" in words(page.text)
    assert 'name="share-1-how-long"' in page.text
    assert 'name="share-1-wash-again"' not in page.text


def test_items_that_read_otherwise_than_when_they_were_judged_are_to_be_judged_again(
    world: World, coordinator: Visitor
) -> None:
    """The page says so until they are; an edition with the same items changes nothing."""
    judged(world, DANA, LEE)
    asks = "The items read otherwise now than when they were judged."
    assert asks not in words(coordinator.get(PAGE).text)
    world.publish(small_files() | {"quizzes/safety.yaml": QUIZ.replace("A door opens.", "A door is open.")}, number=2)
    assert asks in words(coordinator.get(PAGE).text)
    send(coordinator, TWO)
    assert asks not in words(coordinator.get(PAGE).text)


def test_the_page_shows_another_day_as_it_was(world: World, coordinator: Visitor) -> None:
    """Nothing had been judged then."""
    judged(world, DANA, LEE)
    assert "no judges have been asked yet" in words(coordinator.get(f"{PAGE}?on=2026-10-15").text)


@pytest.mark.parametrize("role", ["volunteer", "observer"])
def test_it_opens_to_nobody_else(world: World, visitor: Sign, role: str) -> None:
    """Neither the page nor the form; nor do they see a way to it."""
    world.add_person("x-01", role)
    other = visitor("x-01")
    (token, *_) = [values["csrf_token"] for _, values in forms_of(other.get("/program").text) if "csrf_token" in values]
    assert other.get(PAGE).status_code == 403
    assert other.client.post(PAGE, data={**TWO, "csrf_token": token}).status_code == 403
    assert "pass-mark" not in other.get("/program").text
    assert stored(world) == (0, 0, 0)


@pytest.mark.parametrize("role", ["course-instructor", "coordinator"])
def test_it_opens_to_those_who_set_pass_marks(world: World, visitor: Sign, role: str) -> None:
    """Who find the way to it with the program's modules."""
    world.add_person("x-01", role)
    one = visitor("x-01")
    assert f'href="{PAGE}"' in one.get("/program").text
    assert send(one, TWO).status_code == 303
    assert asked(world)[0].row.recorded_by == "x-01"


def test_the_pages_about_items_say_the_pass_mark_and_its_source(world: World, visitor: Sign) -> None:
    """And lead to where it is set; the list says the mark alone."""
    world.add_person("i-01", "course-instructor")
    instructor = visitor("i-01")
    assert "Pass mark: 80%, of which the file names no source" in words(instructor.get("/items/safety").text)
    world.publish(
        small_files() | {"quizzes/safety.yaml": QUIZ.replace("draw: 5", 'pass_mark: 0.84\npass_mark_source: "By lot"')},
        number=2,
    )
    page = instructor.get("/items/safety")
    assert "Pass mark: 84%, By lot." in words(page.text)
    assert f'href="{PAGE}"' in page.text
    listed = instructor.get("/items").text
    assert re.search(rf'<a href="{PAGE}"[^>]*>84%</a>', listed)
    assert 'href="/items/safety"' in instructor.get(PAGE).text


def test_an_unknown_quiz_has_no_pass_mark(coordinator: Visitor) -> None:
    """It is not found."""
    assert coordinator.get("/items/swimming/pass-mark").status_code == 404
