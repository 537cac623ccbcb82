"""Every page bears a program whose files leave out what may be left out."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import select

from mentor_training.clearance.queries import gate_at
from mentor_training.observing.rules.results import NO_CRITERIA
from mentor_training.observing.tables import Observation
from mentor_training.program.catalog import Level
from mentor_training.program.reading import read_program
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer
from tests.sign_in import Visitor, forms_of

SKILL = "+++\nslug = 'guarding'\ntitle = 'Guarding'\nstandards = ['teaching', 'moving']\n+++\nStand close.\n"
MODULE = """\
---
slug: safety
title: Safety
sources: [Our own notes]
cautions: [Any no, hands off]
---
# Before you begin
Look around [source: our-own-notes].

## What's first?
Ask.

Underlined
----------
More.
"""
FILES = {
    "program/program.toml": 'name = "Plain"\n',
    "program/stations.toml": '[[station]]\nslug = "lane"\ntitle = "Lane"\ncapacity = 2\n'
    'practices = ["skill/guarding"]\nsupervised = "module/safety"\n'
    '[[station]]\nslug = "games"\ntitle = "Games"\ncapacity = 2\n'
    'supervised = "module/safety"\nindependent = "skill/guarding"\n',
    "program/needs.toml": '[[need]]\nslug = "near"\ntitle = "Near"\nsupervised = "module/safety"\n',
    "program/standards.toml": '[[framework]]\nslug = "f"\ntitle = "Frame"\nowner = "O"\n'
    '[[standard]]\nslug = "teaching"\ntitle = "Teaching"\n'
    '[[standard]]\nslug = "moving"\ntitle = "Moving"\nframework = "f"\n',
    "program/skills/guarding.md": SKILL,
    "modules/safety.md": MODULE,
}
FOR_EVERYBODY = (
    "/program",
    "/program/stations/lane",
    "/program/needs",
    "/program/skills",
    "/program/skills/guarding",
    "/program/standards",
    "/program/editions/1",
)
BY_ROLE = {
    "v-001": ("/path", "/path/skills", "/path/skills/guarding", "/learn", "/learn/safety/read/whats-first",
              "/learn/safety/whole"),
    "o-01": ("/observe", "/observe/v-001", "/observe/v-001/guarding", "/observe/v-001/guarding/sign-off"),
    "c-01": ("/today", "/clearance", "/clearance.csv", "/clearance/stations/lane", "/clearance/people/v-001",
             "/clearance/people/v-001/at/lane", "/clearance/people/v-001/at/games?participant=p-01",
             "/clearance/lapses"),
}  # fmt: skip


@pytest.fixture
def world(empty_world: World) -> World:
    """Give a world with such a program, a volunteer, an observer, the coordinator and a participant."""
    program, findings = read_program(FILES)
    assert program is not None, "\n".join(str(one) for one in findings)
    empty_world.publish(FILES)
    empty_world.add_person("v-001")
    add_observer(empty_world, "o-01")
    empty_world.add_person("c-01", "coordinator")
    empty_world.add_participant("p-01", needs="near", card=False)
    return empty_world


@pytest.mark.parametrize("code", BY_ROLE)
def test_every_page_opens(visitor: Callable[[str], Visitor], code: str) -> None:
    """Those about the program, and those of each role."""
    reader, addresses = visitor(code), (*FOR_EVERYBODY, *BY_ROLE[code])
    assert {one: reader.get(one).status_code for one in addresses} == dict.fromkeys(addresses, 200)


def test_a_standard_of_no_framework_is_shown_all_the_same(world: World, visitor: Callable[[str], Visitor]) -> None:
    """With the others of its kind, and at the skill that maps to it; so is one without a number."""
    reader = visitor("v-001")
    page = reader.get("/program/standards").text
    assert "Other standards" in page
    assert page.count(">Teaching <") == page.count(">Moving <") == 1
    assert page.count(">not given</th>") == 2
    assert "<dd>Teaching; Frame: Moving</dd>" in reader.get("/program/skills/guarding").text


def test_a_skill_without_criteria_says_that_nobody_can_be_observed_at_it(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """On its own page, and to the observer in the place of the form; a form sent all the same stores nothing."""
    observer = visitor("o-01")
    assert "This edition names no criteria" in observer.get("/program/skills/guarding").text
    page = observer.get("/observe/v-001/guarding").text
    assert NO_CRITERIA in page
    assert "Save the observation" not in page
    token = next(fields["csrf_token"] for _, fields in forms_of(page) if "csrf_token" in fields)
    given = {"csrf_token": token, "live": "live", "day": FRIDAY.isoformat(), "key": "k"}
    answer = observer.client.post("/observe/v-001/guarding", data=given)
    assert answer.status_code == 422
    assert NO_CRITERIA in answer.text
    with world.reading() as db:
        assert not list(db.scalars(select(Observation)))


@pytest.mark.parametrize(
    ("held", "station", "participant", "level"),
    [
        ((), "lane", None, Level.NOT_YET),
        (("module/safety",), "lane", None, Level.SUPERVISED),
        (("module/safety", "skill/guarding"), "lane", None, Level.SUPERVISED),
        (("module/safety",), "lane", "p-01", Level.SUPERVISED),
        (("module/safety", "skill/guarding"), "games", "p-01", Level.INDEPENDENT),
        (("skill/guarding",), "games", "p-01", Level.NOT_YET),
    ],
)
def test_a_ladder_that_ends_at_supervised_is_climbed_to_there(
    world: World, held: tuple[str, ...], station: str, participant: str | None, level: Level
) -> None:
    """A station's is the most anybody is there; a need's top rung caps nobody who has climbed it."""
    world.hold("v-001", *held)
    with world.reading() as db:
        assert gate_at(db, world.clock.now()).decide("v-001", station, participant, FRIDAY).level == level
