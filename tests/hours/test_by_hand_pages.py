"""Hours entered by hand through HTTP: a volunteer's own, and a volunteer's by the instructor."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.hours.queries import entries_of
from tests.builders import World
from tests.hours.term import add_people, serve
from tests.sign_in import Visitor, flat

SECTION = "/hours/sections/KIN-372-A"
Visit = Callable[[str], Visitor]


@pytest.fixture
def term(world: World) -> World:
    return add_people(world)


def test_preparation_is_entered_by_hand_and_an_overlapping_hour_is_refused(term: World, visitor: Visit) -> None:
    """The refusal names both spans; what was typed stays in the form, and nothing is stored."""
    serve(term, "v-001", 60)
    me = visitor("v-001")
    typed = {"category": "preparation", "day": "2026-10-13", "starts": "10:00", "ends": "10:45", "reason": "Set-up"}
    answer = me.send("/hours/by-hand", "/hours/by-hand", **typed)
    assert answer.status_code == 422
    assert "2026-10-13 10:00 to 10:45 EDT, overlaps entry 1 (s-10, 2026-10-13 09:30 to 10:30 EDT)" in answer.text
    assert 'value="10:45"' in answer.text
    assert "The same time twice" in answer.text
    assert "10:00 to 10:30, 30 min" in flat(answer.text)
    assert "Let it begin at 10:30, when entry 1 ends" in flat(answer.text)
    assert "check-in and check-out, entered by" in answer.text
    assert "correct entry" not in answer.text
    assert "Set-up</textarea>" in answer.text
    assert me.fill(answer.text, "/hours/by-hand", **{**typed, "starts": "10:30"}).status_code == 303
    with term.reading() as db:
        assert [one.minutes for one in entries_of(db, ("v-001",))] == [60, 15]


def test_the_instructor_sees_both_side_by_side_and_is_led_to_the_one_that_is_there(term: World, visitor: Visit) -> None:
    """With all of its minutes taken away it is out of the way, and the form goes through."""
    serve(term, "v-001", 60)
    teacher = visitor("i-01")
    typed = {
        "person": "v-001", "category": "preparation", "day": "2026-10-13", "starts": "09:00", "ends": "09:45",
        "reason": "Set-up",
    }  # fmt: skip
    answer = teacher.send(SECTION + "/by-hand", SECTION + "/by-hand", **typed)
    assert answer.status_code == 422
    assert "preparation: Set-up" in answer.text
    assert "Let it end at 09:30, when entry 1 begins" in flat(answer.text)
    assert 'href="/hours/entries/1/adjust">correct entry 1' in answer.text
    teacher.send("/hours/entries/1/adjust", "/hours/entries/1/adjust", difference="-60", reason="Was not there.")
    assert teacher.fill(answer.text, SECTION + "/by-hand", **typed).status_code == 303


def test_a_form_by_hand_with_a_field_left_out_says_so_beside_it(term: World, visitor: Visit) -> None:
    """Every field has its own words."""
    answer = visitor("v-001").send("/hours/by-hand", "/hours/by-hand", day="soon")
    assert answer.status_code == 422
    for words in (
        "Choose which of the two it was",
        "Not a valid date value",
        "Write when it began",
        "Write what it was for",
    ):
        assert words in answer.text
