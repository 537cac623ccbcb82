"""A series, a copy and the calendar file on the command line."""

from __future__ import annotations

from dataclasses import replace

import click
import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar

from mentor_training.calendar.commands import calendar, copy, series
from mentor_training.calendar.queries import sessions
from mentor_training.errors import Refused
from tests.builders import World
from tests.calendar.test_actions import SESSION, store

WANTED = ("--like", "s-11", "--on", "tu,SA", "--from", "2026-10-19", "--until", "2026-10-31")


@pytest.fixture
def world(world: World) -> World:
    """Give a world with one session in it."""
    store(world, SESSION)
    return world


def run(world: World, command: click.Command, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(command, list(words), obj=world.instance, input=typed)


def codes(world: World) -> list[str]:
    with world.reading() as db:
        return [one.code for one in sessions(db)]


def test_a_series_is_printed_then_asked_about_then_stored(world: World) -> None:
    """Without a yes nothing is stored."""
    no = run(world, series, *WANTED, "--leave-out", "2026-10-27", "--leave-out", "2026-10-28", typed="n\n")
    assert (no.exit_code, codes(world)) == (1, ["s-11"])
    assert "s-14     Sat 31 Oct 2026  09:30-11:15  Week 8" in no.output
    assert "2026-10-28: there would have been no session anyway" in no.output
    yes = run(world, series, *WANTED, "--yes")
    assert (yes.exit_code, codes(world)) == (0, ["s-11", "s-12", "s-13", "s-14", "s-15"])
    assert "4 sessions stored, s-12 to s-15" in yes.output


def test_a_series_at_the_same_time_as_another_session_says_so(world: World) -> None:
    """It is stored all the same when it is wanted."""
    day = SESSION.day.isoformat()
    answer = run(world, series, "--like", "s-11", "--on", "SA", "--from", day, "--count", "1", "--title", "#", "--yes")
    assert "s-12: at the same time there is s-11 already, Week 6" in answer.output
    with world.reading() as db:
        assert {one.title for one in sessions(db)} == {"Week 6", "1"}


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--count", "3"), "one of the two"),
        (("--every", "0"), "from 1 to 26"),
        (("--code", "autumn"), "ends in a number"),
        (("--title", "x" * 201), "is too long"),
    ],
)
def test_a_series_with_something_wrong_is_refused(world: World, words: tuple[str, ...], reason: str) -> None:
    """With every reason, before anything is asked."""
    answer = run(world, series, *WANTED, *words)
    assert isinstance(answer.exception, Refused)
    assert reason in str(answer.exception)
    assert codes(world) == ["s-11"]


def test_a_day_of_the_week_that_is_none_is_wrong_usage(world: World) -> None:
    """The known ones are named."""
    answer = run(world, series, "--like", "s-11", "--on", "SAT", "--from", "2026-10-19", "--count", "3")
    assert answer.exit_code == 2
    assert "'SAT' is no day of the week; known are MO, TU" in answer.stderr


def test_a_session_is_copied_with_the_next_code(world: World) -> None:
    """All but code and day is the same; a code that is taken is refused."""
    assert "s-12 stored, on 2026-10-24" in run(world, copy, "s-11", "2026-10-24").output
    with world.reading() as db:
        one, two = sessions(db)
    assert two == replace(one, code="s-12", day=two.day)
    assert isinstance(run(world, copy, "s-11", "2026-10-24", "--code", "s-12").exception, Refused)
    assert isinstance(run(world, copy, "s-11", "2026-10-24", "--code", "s 12").exception, Refused)


def test_the_calendar_holds_every_session(world: World) -> None:
    """As a file that a calendar program reads."""
    run(world, series, *WANTED, "--yes")
    text = run(world, calendar).output
    assert len(list(Calendar.from_ical(text).events)) == 5
