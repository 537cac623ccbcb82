"""Rungs that nobody ever reaches, needs that keep everybody off, circles: each seeded slip at its line."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.program.definitions import SAFETY, found

STATIONS = "program/stations.toml"
NEEDS = "program/needs.toml"
LIVE = """\
---
slug: live
title: Seen live
risk: ordinary
criteria:
  - text: Stands close.
sign_off:
  observations: 2
  live_at_least: 2
---
"""
DRY = LIVE.replace("slug: live", "slug: dry").replace("  live_at_least: 2\n", "  participants: 0\n")
BASE = {"modules/safety.md": SAFETY, "program/skills/live.md": LIVE, "program/skills/dry.md": DRY}


def station(rungs: str, slug: str = "lane") -> str:
    """Return one station."""
    return f'[[station]]\nslug = "{slug}"\ntitle = "T"\ncapacity = 2\nactivities = ["standing"]\n{rungs}\n'


def need(rungs: str, activities: str = "") -> str:
    """Return one need."""
    return f'[[need]]\nslug = "near"\ntitle = "N"\n{activities}{rungs}\n'


def said(files: Mapping[str, str]) -> list[str]:
    """Return what is found in files beside a module and two skills, one of them seen live."""
    return found({**BASE, **files})


def test_a_program_in_which_everybody_can_get_everywhere_says_nothing() -> None:
    """A live skill is fine where somebody new can begin elsewhere; so are sessions and the direct hours they bring."""
    files = {
        STATIONS: station('independent = "module/safety"', "games") + station('independent = "skill/live"')
        + station('lead = { all = [{ sessions = 5 }, { hours = "direct", at_least = 40 }] }', "desk"),
        NEEDS: need('independent = "skill/live"', 'activities = ["standing"]\n'),
    }  # fmt: skip
    assert said(files) == []


def test_a_circle_is_found_where_every_station_asks_first_for_what_only_a_station_gives() -> None:
    """Each station at its first rung; a need beside them has a finding of its own."""
    files = {
        STATIONS: station('supervised = "skill/live"\nlead = "module/safety"')
        + station('independent = "skill/live"', "pool")
    }
    circle = (
        "here: `skill/live` is seen with participants only, and without such a skill nobody can begin at any station; "
        "ask for what can be had, or bring it in from elsewhere"
    )
    assert said(files) == [
        f"advice: {STATIONS}:6: nobody new can ever reach `supervised` {circle}",
        f"advice: {STATIONS}:13: nobody new can ever reach `independent` {circle}",
    ]


def test_a_rung_that_asks_for_more_training_than_there_is_can_never_be_met() -> None:
    """The module credits five minutes; a tenth of an hour is six."""
    rungs = 'independent = "module/safety"\nlead = {{ hours = "training", at_least = {hours} }}'
    enough = station(rungs.format(hours="0.08"))
    too_much = station(rungs.format(hours="0.1"))
    assert said({STATIONS: enough}) == []
    assert said({STATIONS: too_much}) == [
        (
            f"advice: {STATIONS}:7: nobody new can ever reach `lead` here: it asks for 0.1 hours of training, and all "
            "modules together credit 0.08; ask for what can be had, or bring it in from elsewhere"
        )
    ]


def test_a_choice_that_leaves_one_way_open_is_no_finding() -> None:
    """Forty hours of training, or the module."""
    rungs = 'independent = { any = [{ hours = "training", at_least = 40 }, "module/safety"] }'
    assert said({STATIONS: station(rungs)}) == []


@pytest.mark.parametrize(
    ("old", "new", "line", "what"),
    [
        ("observations: 2", "observations: 2\n  days: 3", 9, "`days` asks for 3 where `observations` is 2"),
        ("observations: 2", "observations: 2\n  fresh_days: 0", 9, "`fresh_days` is 0"),
    ],
)
def test_a_sign_off_that_can_never_be_is_a_fault_of_the_skill(old: str, new: str, line: int, what: str) -> None:
    """It keeps the program from being published, so that no rung has to be looked at."""
    files = {"program/skills/dry.md": DRY.replace(old, new), STATIONS: station('independent = "skill/dry"')}
    assert any(one.startswith(f"program/skills/dry.md:{line}: {what}") for one in said(files))
    assert not any(STATIONS in one for one in said(files))


def test_observations_that_are_stale_before_there_are_enough_of_them_are_found_and_so_is_the_rung() -> None:
    """Three days within a span of two can never be; what asks for the skill is said too."""
    skill = DRY.replace("observations: 2", "observations: 4\n  days: 3\n  fresh_days: 1")
    files = {"program/skills/dry.md": skill, STATIONS: station('independent = "skill/dry"')}
    assert said(files) == [
        (
            "advice: program/skills/dry.md:10: no observation may be older than 1 days, and they have to be on 3 days; "
            "raise `fresh_days`, or ask for fewer days"
        ),
        (
            f"advice: {STATIONS}:6: nobody new can ever reach `independent` here: the sign-off of `skill/dry` asks for "
            "what can never be; ask for what can be had, or bring it in from elsewhere"
        ),
    ]


def test_a_need_that_keeps_everybody_off_everywhere_is_found() -> None:
    """At the need itself, beside the rung; where it counts in one place only, that place is named."""
    stations = station('independent = "module/safety"') + station('independent = "module/safety"', "pool")
    never = 'independent = { hours = "training", at_least = 40 }'
    everywhere = said({STATIONS: stations, NEEDS: need(never)})
    assert everywhere[0] == (
        f"advice: {NEEDS}:1: nobody can ever work with a participant who has this need, at any station; "
        "ask first for what can be had, or name the activities in which it counts"
    )
    assert everywhere[1].startswith(f"advice: {NEEDS}:4: nobody new can ever reach `independent` here")
    other = station('independent = "module/safety"', "pool").replace("standing", "water")
    somewhere = said({STATIONS: station('independent = "module/safety"') + other,
                      NEEDS: need(never, 'activities = ["water"]\n')})  # fmt: skip
    assert "who has this need, at `pool`;" in somewhere[0]


def test_a_need_whose_top_alone_cannot_be_reached_keeps_nobody_off() -> None:
    """Its first rung can; only the higher one is said."""
    rungs = 'supervised = "module/safety"\nindependent = { hours = "training", at_least = 40 }'
    assert [
        one.split(":")[2] for one in said({STATIONS: station('independent = "module/safety"'), NEEDS: need(rungs)})
    ] == ["5"]


def test_where_nobody_new_can_even_enter_that_alone_is_said() -> None:
    """Not the same once more for every ladder."""
    program = 'name = "P"\nentry = "skill/live"\n'
    findings = said({"program/program.toml": program, STATIONS: station('independent = "module/safety"')})
    assert [one.split(":")[1].strip() for one in findings] == ["program/program.toml"]


def test_a_scenario_that_walks_in_a_circle_is_found() -> None:
    """A scene leads back to itself by way of another, with a line of its own."""
    quiz = """\
slug: safety
module: safety
edition: 1
scenarios:
  - slug: door
    kind: unfold
    text: A door opens.
    why: Offer.
    scenes:
      - slug: one
        text: One.
        choices:
          - text: Go.
            class: good
            to: two
      - slug: two
        text: Two.
        choices:
          - text: Back.
            class: recoverable
            to: one
          - text: End.
            class: good
"""
    assert any("the scenes lead back: one to two to one" in one for one in said({"quizzes/safety.yaml": quiz}))
