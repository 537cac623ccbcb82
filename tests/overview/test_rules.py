"""What a volunteer should do next: the one missing thing that opens most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given

from mentor_training.clearance.decision import Decision
from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.rules import decide
from mentor_training.evidence.facts import Fact
from mentor_training.overview.rules import Step, home_of, next_steps
from mentor_training.program.catalog import Ladder, Level, Program, Station
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.reading import read_program
from mentor_training.program.requirements import Hours, Item, Sessions, all_of, any_of
from tests.clearance import random_programs
from tests.small_program import small_files

ON = date(2026, 10, 17)
MOMENT = datetime(2026, 8, 1, tzinfo=UTC)
KINDS = {"module": "completed", "skill": "signed-off", "paper": "on-file"}


def fact(item: str, number: int = 1, on: date = ON) -> Fact:
    """Return the record by which an item is held from a day on."""
    return Fact(f"r-{number:04d}", "v-001", KINDS[item.partition("/")[0]], item, on, None, MOMENT)


def decisions(program: Program, *items: str, others: Sequence[Fact] = ()) -> tuple[Decision, ...]:
    """Return the decisions at every station about somebody who holds these items."""
    edition = PublishedProgram(1, date(2026, 8, 1), MOMENT, "1", program, True)
    facts = [*(fact(item, number, date(2026, 9, 1)) for number, item in enumerate(items, 1)), *others]
    dossier = Dossier("v-001", facts, (edition,))
    return tuple(decide(dossier, slug, None, ON) for slug in program.stations)


def small_program() -> Program:
    program, findings = read_program(small_files())
    assert program is not None, findings
    return program


def in_words(steps: Sequence[Step]) -> list[tuple[object, list[str]]]:
    """Return each step with the stations it opens."""
    return [(step.atom, [one.station for one in step.opens]) for step in steps]


def test_the_step_that_opens_most_comes_first() -> None:
    """The background check alone opens all three; observed guarding would open none while it is missing."""
    first, *rest = next_steps(decisions(small_program(), "module/safety"))
    assert first.atom == Item("paper/background-check")
    assert [(one.station, one.before, one.after) for one in first.opens] == [
        ("balance-lane", Level.NOT_YET, Level.SUPERVISED),
        ("target-games", Level.NOT_YET, Level.INDEPENDENT),
        ("arrival-desk", Level.NOT_YET, Level.INDEPENDENT),
    ]
    assert all(not step.opens for step in rest)


def test_where_no_single_step_opens_anything_the_one_that_brings_most_nearer_comes_first() -> None:
    """At the very beginning two things are missing everywhere; the module can be begun today."""
    first, second, *_ = next_steps(decisions(small_program()))
    assert (first.atom, first.opens, first.beside) == (Item("module/safety"), (), 1)
    assert first.nearer == ("balance-lane", "target-games", "arrival-desk")
    assert second.atom == Item("paper/background-check")


def test_of_equal_steps_the_one_with_less_effort_comes_first() -> None:
    """Both would raise one station: a skill that is seen before three sessions that have to pass."""
    steps = next_steps(decisions(small_program(), "module/safety", "paper/background-check"))
    assert in_words(steps)[:2] == [(Item("skill/guarding"), ["balance-lane"]), (Sessions(3), ["target-games"])]


def test_what_changes_nothing_by_itself_is_left_out() -> None:
    """Leading and ten hours are wanted for a rung that is two rungs up."""
    steps = next_steps(decisions(small_program(), "module/safety", "paper/background-check"))
    assert Item("skill/leading") not in [step.atom for step in steps]


def test_nothing_is_left_to_do_at_the_top() -> None:
    """Whoever has climbed every ladder gets no step."""
    program = replace(small_program(), stations={"a": Station("a", "A", Ladder((Item("module/safety"),)))})
    assert next_steps(decisions(program, "module/safety", "paper/background-check")) == ()


def test_one_step_can_raise_a_station_by_several_levels() -> None:
    """What was missing only at the bottom brings one up to where everything else is there already."""
    ladder = Ladder((Item("module/safety"), Item("skill/guarding"), Item("skill/leading")))
    program = replace(small_program(), entry=Item("paper/background-check"), stations={"a": Station("a", "A", ladder)})
    (step,) = next_steps(decisions(program, "paper/background-check", "skill/guarding", "skill/leading"))
    assert (step.opens[0].before, step.opens[0].after) == (Level.NOT_YET, Level.LEAD)


def test_ten_hours_are_five_hours_too() -> None:
    """A step counts for every lower number of the same thing."""
    ladders = {"a": Ladder((Hours("direct", 10),)), "b": Ladder((Hours("direct", 5),))}
    stations = {slug: Station(slug, slug, ladder) for slug, ladder in ladders.items()}
    program = replace(small_program(), entry=Item("paper/background-check"), stations=stations)
    steps = next_steps(decisions(program, "paper/background-check"))
    assert in_words(steps) == [(Hours("direct", 10), ["a", "b"]), (Hours("direct", 5), ["b"])]


@pytest.mark.parametrize(
    ("kind", "scope", "opened"),
    [
        ("stood-down", "", []),
        ("restricted", "activity/throwing", ["balance-lane", "arrival-desk"]),
        ("stood-down", "balance-lane", ["target-games", "arrival-desk"]),
    ],
)
def test_a_pause_is_raised_by_no_step(kind: str, scope: str, opened: list[str]) -> None:
    """Nothing that can be learned lifts a stand-down or a restriction; the other stations are counted."""
    pause = Fact("r-0009", "v-001", kind, scope, date(2026, 10, 1), None, MOMENT)
    steps = next_steps(decisions(small_program(), "module/safety", others=[pause]))
    assert [one.station for step in steps[:1] for one in step.opens] == opened


def test_a_choice_offers_each_of_its_items() -> None:
    """Either would do, so both are steps, the module first."""
    station = Station("a", "A", Ladder((any_of(Item("skill/guarding"), Item("module/safety")),)))
    program = replace(small_program(), entry=all_of(Item("paper/background-check")), stations={"a": station})
    found = in_words(next_steps(decisions(program, "paper/background-check")))
    assert (Item("skill/guarding"), ["a"]) in found


@given(random_programs.editions(), random_programs.histories(), random_programs.days)
def test_getting_the_thing_opens_just_what_was_promised(
    editions: tuple[PublishedProgram, ...], facts: tuple[Fact, ...], on: date
) -> None:
    """Once it is held and all is decided anew, each item raises just the stations that its step names, as promised."""
    edition = in_force(editions, on)
    if edition is None:
        return
    person = facts[0].person if facts else "v-001"
    before = [decide(Dossier(person, facts, editions), slug, None, on) for slug in edition.program.stations]
    for step in next_steps(before):
        if not isinstance(step.atom, Item):
            continue
        got = replace(fact(step.atom.name, 999, on), code="r-9999", person=person)
        dossier = Dossier(person, (*facts, got), editions)
        holdings = dossier.holdings(on)
        # A random program may ask for an edition of a module that another of its editions ended long ago.
        if holdings and holdings.holds(step.atom):
            after = {slug: decide(dossier, slug, None, on).level for slug in edition.program.stations}
            raised = {one.station: after[one.station] for one in before if after[one.station] > one.level}
            assert raised == {one.station: one.after for one in step.opens}


@pytest.mark.parametrize(
    ("roles", "page"),
    [
        (["volunteer"], "path"),
        (["observer"], "observe"),
        (["volunteer", "observer"], "observe"),
        (["coordinator", "observer"], "today"),
        ([], None),
    ],
)
def test_everybody_is_led_to_the_page_they_come_for(roles: list[str], page: str | None) -> None:
    """With several roles, to that of the first in the list."""
    homes = (("coordinator", "today"), ("observer", "observe"), ("volunteer", "path"))
    assert home_of(roles, homes) == page
