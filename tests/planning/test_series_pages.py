"""A series of sessions and a copy of one, through HTTP."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from werkzeug.test import TestResponse

from mentor_training.calendar.queries import session_for, sessions
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import put, session
from tests.planning.test_sessions import save
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
ADDRESS = "/sessions/series"
TERM = {"day": "2026-10-19", "until": "2026-12-01", "left_out": "2026-11-26 to 2026-11-28\n2026-11-03", "code": "s-12"}


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    return visitor("c-01")


def codes(world: World) -> list[str]:
    with world.reading() as db:
        return [one.code for one in sessions(db)]


def show(coordinator: Visitor, **values: object) -> TestResponse:
    """Fill in the form and ask to be shown the sessions."""
    return coordinator.send(ADDRESS, ADDRESS, **TERM | values)


def seal(page: str) -> str:
    return page.partition('name="shown" value="')[2][:64]


def test_a_series_is_shown_whole_before_any_of_it_is_stored(floor: World, coordinator: Visitor) -> None:
    """Day of the week, title and code are proposed from the last session; holidays and the idle ones are told apart."""
    shown = show(coordinator)
    assert shown.status_code == 200
    assert codes(floor) == ["s-11"]
    words = (
        "5 sessions, from", "Week 7, Saturday morning", "s-16", "Sat 21 Nov 2026", "Left out: <time", "Sat 28 Nov 2026",
        "no session anyway on", "Tue 3 Nov 2026", "Store these 5 sessions",
    )  # fmt: skip
    assert [one for one in words if one not in shown.text] == []


def test_what_was_shown_is_stored_whole(floor: World, coordinator: Visitor) -> None:
    """Everybody and everything of the last session is in each, and the list says so."""
    shown = show(coordinator)
    stored = coordinator.fill(shown.text, ADDRESS, shown=seal(shown.text))
    assert stored.status_code == 303
    assert codes(floor) == ["s-11", "s-12", "s-13", "s-14", "s-15", "s-16"]
    with floor.reading() as db:
        last = session_for(db, "s-16")
    assert last == replace(session(), code="s-16", title="Week 11, Saturday morning", day=date(2026, 11, 21))
    assert "5 sessions stored, s-12 to s-16." in coordinator.get("/sessions").text


def test_what_is_no_longer_as_it_was_shown_is_shown_again_and_not_stored(floor: World, coordinator: Visitor) -> None:
    """Another coordinator took a code in between."""
    shown = show(coordinator)
    save(floor, session("s-13", date(2026, 10, 20)))
    again = coordinator.fill(shown.text, ADDRESS, shown=seal(shown.text))
    assert again.status_code == 200
    assert "Something has changed since they were shown" in again.text
    assert codes(floor) == ["s-11", "s-13"]
    assert coordinator.fill(again.text, ADDRESS, shown=seal(again.text)).status_code == 303
    assert set(codes(floor)) == {"s-11", "s-12", "s-13", "s-14", "s-15", "s-16", "s-17"}


def test_what_is_on_at_the_same_time_and_what_is_past_is_pointed_out(floor: World, coordinator: Visitor) -> None:
    """Neither is refused: two sessions at once happen, and a past one is entered late."""
    shown = show(coordinator, day="2026-10-10")
    assert "At the same time there is already" in shown.text
    assert "1 of them is before today" in shown.text


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"left_out": "2026-11-31"}, "Line 1: &#39;2026-11-31&#39; is no day"),
        ({"until": ""}, "one of the two"),
        ({"count": "3"}, "one of the two"),
        ({"until": "2026-10-01"}, "before the first day"),
        ({"until": "2999-01-01"}, "more than 200 days"),
        ({"day": "9999-12-31", "until": "", "count": "2"}, "not in the years 1900 to 2199"),
        ({"day": ""}, "Write the first day."),
        ({"day": "soon"}, "is not a day"),
        ({"weekdays": []}, "at least one day of the week"),
        ({"weekdays": ["9"]}, "weekdays"),
        ({"every": "x"}, "is not a whole number"),
        ({"every": "0"}, "from 1 to 26"),
        ({"code": "autumn"}, "ends in a number"),
        ({"code": "s 1"}, "Write letters and digits"),
        ({"title": "#" * 200, "number": "1000"}, "is too long"),
        ({"number": "-1"}, "from 0 to 100000"),
        ({"blocks": "09:00-09:10"}, "lies outside the session"),
        ({"starts": "12:00"}, "is not after the start"),
    ],
)
def test_a_series_with_something_wrong_keeps_what_was_typed(
    floor: World, coordinator: Visitor, values: dict[str, object], words: str
) -> None:
    """The error is told in words, the title is still there, nothing is stored or offered to be."""
    answer = show(coordinator, **{"title": "A title of its own #"} | values)
    assert answer.status_code == 422
    assert words in answer.text
    assert "title" in values or "A title of its own #" in answer.text
    assert seal(answer.text) == ""
    assert codes(floor) == ["s-11"]


def test_everything_that_is_wrong_is_told_at_once(coordinator: Visitor) -> None:
    """Not one thing after the other."""
    answer = show(coordinator, left_out="soon", code="autumn", blocks="09:00-09:10", every="0")
    words = ("Line 1", "ends in a number", "lies outside", "from 1 to 26")
    assert [one for one in words if one not in answer.text] == []


def test_the_first_series_of_a_program_begins_with_its_first_code(world: World, visitor: Sign) -> None:
    """Where there is no session to be like."""
    world.add_person("c-01", "coordinator")
    shown = visitor("c-01").send(
        ADDRESS, ADDRESS, day="2026-10-19", weekdays=["1", "5"], count="3", title="#", counts="sessions",
        starts="09:30", ends="11:15", blocks="4",
    )  # fmt: skip
    assert shown.status_code == 200
    assert [one for one in ("s-01", "s-03", "Tue 27 Oct 2026") if one not in shown.text] == []


def test_a_session_is_copied_to_another_day_without_its_plan(floor: World, coordinator: Visitor) -> None:
    """Code and title are proposed; who is placed stays behind."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    page = coordinator.get("/sessions/s-11").text
    assert "/sessions/s-11/copy" in page
    copied = coordinator.send("/sessions/s-11/copy", "/sessions/s-11/copy", day="2026-10-24")
    assert (copied.status_code, copied.location) == (303, "/sessions/s-12")
    with floor.reading() as db:
        expected = replace(session(), code="s-12", title="Week 7, Saturday morning", day=date(2026, 10, 24))
        assert session_for(db, "s-12") == expected
        assert not standing_in(db, "s-12")


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"code": "s-11"}, "s-11 is there already"),
        ({"day": ""}, "Write the day."),
        ({"day": "9999-12-31"}, "9999-12-31 is not in the years"),
        ({"title": ""}, "Write a title."),
    ],
)
def test_a_copy_with_something_wrong_is_not_stored(
    floor: World, coordinator: Visitor, values: dict[str, str], words: str
) -> None:
    """It is told, and nothing is stored."""
    answer = coordinator.send("/sessions/s-11/copy", "/sessions/s-11/copy", **{"day": "2026-10-24"} | values)
    assert answer.status_code == 422
    assert words in answer.text
    assert codes(floor) == ["s-11"]


def test_a_series_on_another_day_offers_a_title_that_says_it_before_it_is_stored(
    floor: World, coordinator: Visitor
) -> None:
    """One press calls them so; as they were written they are stored as well."""
    shown = show(coordinator, weekdays=["1"])
    assert "“Week 7, Saturday morning” is on a Tuesday, and" in shown.text
    assert "Call them “Week #, Tuesday morning”" in shown.text
    called = coordinator.fill(shown.text, ADDRESS, title="Week #, Tuesday morning")
    assert "Week 7, Tuesday morning" in called.text
    assert "is on a Tuesday" not in called.text
    assert coordinator.fill(called.text, ADDRESS, shown=seal(called.text)).status_code == 303
    with floor.reading() as db:
        assert session_for(db, "s-12").title == "Week 7, Tuesday morning"


def test_a_copy_on_another_day_is_shown_once_more_with_a_title_that_says_it(floor: World, coordinator: Visitor) -> None:
    """Stored under it; or under the other, when it is written again."""
    page = "/sessions/s-11/copy"
    asked = coordinator.send(page, page, day="2026-10-20")
    assert asked.status_code == 200
    assert "Nothing is stored yet." in asked.text
    assert codes(floor) == ["s-11"]
    assert coordinator.fill(asked.text, page).status_code == 303
    with floor.reading() as db:
        assert session_for(db, "s-12").title == "Week 7, Tuesday morning"
    again = coordinator.send(page, page, day="2026-10-21", title="Saturday people")
    assert coordinator.fill(again.text, page, title="Saturday people").status_code == 303


@pytest.mark.parametrize("page", ["/sessions/new", "/sessions/s-11/edit", "/sessions/s-11/copy", "/sessions/series"])
def test_no_form_takes_a_day_before_the_first_edition(floor: World, coordinator: Visitor, page: str) -> None:
    """Such a session could be neither planned nor closed; a file may bring it, for what is long past."""
    more = {"code": "s-20", "title": "Summer"} if page == "/sessions/new" else {}
    more |= {"count": "2"} if page == "/sessions/series" else {}
    answer = coordinator.send(page, page, day="2026-07-04", **more)
    assert answer.status_code == 422
    assert "no edition of the program is in force: the first takes effect on" in answer.text
    assert codes(floor) == ["s-11"]
    with floor.reading() as db:
        assert session_for(db, "s-11").day == session().day
