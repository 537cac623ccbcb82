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


def test_a_copy_is_called_after_its_own_day_of_the_week(world: World) -> None:
    """A title of one's own is taken as it is."""
    store(world, replace(SESSION, code="s-12", title="Week 6, Saturday morning"))
    assert "s-13 stored, on 2026-10-20: Week 6, Tuesday morning" in run(world, copy, "s-12", "2026-10-20").output
    own = run(world, copy, "s-12", "2026-10-20", "--title", "Saturday on a Tuesday")
    assert "s-14 stored, on 2026-10-20: Saturday on a Tuesday" in own.output


def test_a_series_that_is_called_after_another_day_says_so_and_what_would_be_right(world: World) -> None:
    """Before it is asked about; it may be wanted so."""
    store(world, replace(SESSION, code="s-12", title="Week 6, Saturday morning"))
    words = ("--like", "s-12", "--on", "tu", "--from", "2026-10-19", "--count", "2")
    answer = run(world, series, *words, typed="n\n")
    assert "“Week 7, Saturday morning” is on a Tuesday, and 1 more is so; --title" in answer.output
    assert "Tuesday morning" in answer.output
    assert "is on a" not in run(world, series, *words, "--title", "Week #, Tuesday morning", typed="n\n").output


@pytest.mark.parametrize(
    "words",
    [
        (copy, "s-11", "2026-07-04"),
        (series, "--like", "s-11", "--on", "SA", "--from", "2026-07-04", "--count", "2", "--yes"),
    ],
)
def test_a_session_before_the_first_edition_is_refused(
    world: World, words: tuple[click.Command, *tuple[str, ...]]
) -> None:
    """It could be neither planned nor closed; the day of the first edition is said."""
    answer = run(world, *words)
    assert isinstance(answer.exception, Refused)
    assert "On Sat 4 Jul 2026 no edition of the program is in force: the first takes effect on" in str(answer.exception)
    assert codes(world) == ["s-11"]
