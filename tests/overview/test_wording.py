"""What the next step is called, and what it promises."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from mentor_training.learning.rules.holds import Hold, Permission, Tried
from mentor_training.overview.queries.path import Path, path_of
from mentor_training.overview.rules import Opened, Step
from mentor_training.overview.wording import first_to_do, promise, to_do
from mentor_training.program.catalog import Level
from mentor_training.program.requirements import Hours, Item, Sessions
from tests.builders import FRIDAY, NOON, World

SAFETY = Item("module/safety")


def path_in(world: World) -> Path:
    """Return the path of a newcomer."""
    world.add_person("v-001")
    with world.reading() as db:
        return path_of(db, "v-001", FRIDAY, NOON, ZoneInfo("America/New_York"), NOON)


def with_safety_read(path: Path, permission: Permission) -> Path:
    """Return a path whose one module is read, its quiz standing as given."""
    (progress,) = path.modules
    read = frozenset(section.slug for section in progress.module.sections)
    done = replace(progress, read=read, acknowledged=frozenset(one.slug for one in progress.module.cautions))
    return replace(path, modules=(done,), quizzes={"safety": permission})


@pytest.mark.parametrize(
    ("permission", "text", "not_now"),
    [
        (Permission(), "Take the quiz on Safety", False),
        (Permission(open=Tried(NOON)), "Finish the quiz on Safety; your answers are kept", False),
        (Permission(hold=Hold(NOON, 3)), "Talk with an observer about the quiz on Safety; then it can be tried", False),
        (Permission(from_moment=NOON), "Read the module Safety again before the next try at its quiz", True),
    ],
)
def test_a_module_that_is_read_leads_to_its_quiz(
    world: World, permission: Permission, text: str, not_now: bool
) -> None:
    """Begun, held, or cooling down, each said as it is."""
    found = to_do(with_safety_read(path_in(world), permission), SAFETY)
    assert found.text.startswith(text)
    assert (found.endpoint, found.values, found.not_now) == ("learning.quiz", {"slug": "safety"}, not_now)


def test_what_is_in_ones_own_hands_comes_before_what_is_not(world: World) -> None:
    """The quiz cools down until midnight, so the paper is the next step although both would open as much."""
    path = with_safety_read(path_in(world), Permission(from_moment=NOON + timedelta(hours=12)))
    found = first_to_do(path)
    assert found is not None
    assert found[1].text == "Put on file: Background check"


def test_where_nothing_is_in_ones_own_hands_the_first_is_named_with_its_moment(world: World) -> None:
    """It says from when on it can be done."""
    later = NOON + timedelta(hours=12)
    path = with_safety_read(path_in(world), Permission(from_moment=later))
    path = replace(path, steps=tuple(step for step in path.steps if step.atom == SAFETY))
    found = first_to_do(path)
    assert found is not None
    assert (found[1].not_now, found[1].later) == (True, later)


def test_hours_and_sessions_are_said_with_what_is_there(world: World) -> None:
    """And lead to the own log, and to the own sessions."""
    path = path_in(world)
    assert to_do(path, Hours("direct", 10)).text == "Serve 10 approved hours of direct (0 so far)"
    assert to_do(path, Sessions(3)).text == "Come to 3 sessions (0 so far)"
    assert [to_do(path, one).endpoint for one in (Hours("direct", 10), Sessions(3))] == [
        "hours.own",
        "planning.pairing",
    ]


def test_a_thing_the_program_no_longer_knows_is_said_by_its_name(world: World) -> None:
    """Never a crash: an item of which no page exists leads to why."""
    found = to_do(path_in(world), Item("skill/forgotten"))
    assert (found.text, found.endpoint) == ("Get skill/forgotten", "clearance.volunteer")


@pytest.mark.parametrize(
    ("opens", "nearer", "beside", "words"),
    [
        ("n1", "", 0, "This alone opens Balance lane."),
        ("n1 n2", "", 0, "This alone opens Balance lane and Target games."),
        ("n1 r2", "", 0, "This alone opens Balance lane and raises Target games to lead."),
        ("r3", "", 0, "This alone raises Arrival desk to lead."),
        ("", "1", 1, "With one other thing it opens the next level of Balance lane."),
        (
            "",
            "2 1",
            4,
            "it opens the next level of Target games; one more station or duty wants it too.",
        ),
        ("", "1 2 3", 2, "opens the next level of Balance lane; 2 more stations and duties want it too."),
    ],
)
def test_a_promise_says_what_opens_and_what_comes_nearer(
    world: World, opens: str, nearer: str, beside: int, words: str
) -> None:
    """New ones, raised ones, and the nearest of those that want more."""
    path = path_in(world)
    slugs = dict(zip("123", path.program.stations, strict=True))
    opened = tuple(
        Opened(slugs[one[1]], Level.NOT_YET if one[0] == "n" else Level.INDEPENDENT, Level.LEAD)
        for one in opens.split()
    )
    step = Step(SAFETY, opened, tuple(slugs[one] for one in nearer.split()), beside)
    assert words in promise(step, path.program)


def test_many_names_are_counted_and_not_listed(world: World) -> None:
    """Three are named; the rest is a number."""
    path = path_in(world)
    stations = {f"s{number}": station for number, station in enumerate(list(path.program.stations.values()) * 2)}
    opened = tuple(Opened(slug, Level.NOT_YET, Level.LEAD) for slug in stations)
    said = promise(Step(SAFETY, opened, ()), replace(path.program, stations=stations))
    assert said == "This alone opens Balance lane, Target games, Arrival desk and 3 more."
