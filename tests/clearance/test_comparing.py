"""Who would gain and who would lose by the files on the disk: the page and the command, for stations and for needs."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from click.testing import CliRunner, Result

from mentor_training.cli import main
from mentor_training.program.reading import collect_files
from tests.builders import World
from tests.sign_in import Visitor
from tests.small_program import NEEDS, PAPERS, STATIONS, small_files

EFFECTIVE = ("--effective", "2999-01-01")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the coordinator; one volunteer holds all but leading, for good."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    return visitor("c-01")


def put(world: World, **changed: str) -> None:
    """Put the small program on the disk, with some files changed so that nothing of it ever ends."""
    files = small_files(program__papers_toml=PAPERS.replace("good_for_months = 24\n", ""), **changed)
    for path, text in files.items():
        file = world.instance.settings.folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text.replace("good_for_months: 12\n", ""), encoding="utf-8")


def run(world: World, *words: str) -> Result:
    """Run a command on the world's instance."""
    return CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), *words])


def lasting(world: World) -> None:
    """Publish an edition in which nothing ends, and give the volunteer all but leading."""
    put(world)
    settings = world.instance.settings
    world.publish(collect_files(settings.program, settings.modules, settings.quizzes)[0], number=2)
    world.hold("v-001", "paper/background-check", "module/safety@1", "skill/guarding")


def test_a_need_that_asks_for_more_is_named_with_who_loses_and_on_which_day(world: World, coordinator: Visitor) -> None:
    """Apart from the stations, which stay as they are."""
    lasting(world)
    put(world, program__needs_toml=NEEDS.replace('independent = "skill/guarding"', 'independent = "skill/leading"'))
    shown = json.loads(run(world, "compare", *EFFECTIVE, "--format", "json").stdout)
    assert shown == {
        "effective": "2999-01-01",
        "changes": [],
        "needs": [{"person": "v-001", "need": "fall-risk", "day": "2999-01-01", "before": 2, "after": 0}],
        "pairs": [],
    }
    said = run(world, "compare", *EFFECTIVE).output
    assert "0 volunteers would gain for some need, 1 would lose for some need" in said
    page = coordinator.get("/clearance/compare?effective=2999-01-01").text
    assert "Nobody's level at a station or duty would change." in page
    assert "0 volunteers would gain for some need, 1 would lose for some need" in page
    assert "Fall risk" in page.split('id="needs-table"')[1]
    assert "loses" in page


def test_a_station_that_asks_for_less_is_gained(world: World, coordinator: Visitor) -> None:
    """On the day the edition would take effect."""
    lasting(world)
    put(world, program__stations_toml=STATIONS.replace("lead = { sessions = 3 }", 'lead = "module/safety"'))
    shown = json.loads(run(world, "compare", *EFFECTIVE, "--format", "json").stdout)
    assert shown["changes"] == [
        {"person": "v-001", "station": "target-games", "day": "2999-01-01", "before": 2, "after": 3}
    ]
    assert shown["needs"] == []
    assert "gains" in coordinator.get("/clearance/compare?effective=2999-01-01").text


def test_publishing_says_it_before_it_asks(world: World, coordinator: Visitor) -> None:
    """Line by line, for stations and for needs."""
    lasting(world)
    needs = NEEDS.replace('independent = "skill/guarding"', 'independent = "skill/leading"')
    put(world, program__needs_toml=needs, program__stations_toml=STATIONS.replace("sessions = 3", "sessions = 4"))
    said = run(world, "publish", *EFFECTIVE).output
    assert "v-001 loses for fall-risk on 2999-01-01: independent -> not yet" in said
    assert "0 volunteers would gain somewhere, 0 would lose somewhere" in said
    assert "0 volunteers would gain for some need, 1 would lose for some need" in said


def test_the_csv_tells_stations_from_needs(world: World, coordinator: Visitor) -> None:
    """By the kind in the first column."""
    lasting(world)
    put(world, program__needs_toml=NEEDS.replace('independent = "skill/guarding"', 'independent = "skill/leading"'))
    lines = run(world, "compare", *EFFECTIVE, "--format", "csv").stdout.splitlines()
    assert lines == ["kind,person,what,day,without it,with it", "need,v-001,fall-risk,2999-01-01,independent,not yet"]


def test_a_need_that_asks_for_more_is_counted_in_pairings(world: World, coordinator: Visitor) -> None:
    """Two participants have it, one of them with an unread card; it applies at one of the three stations."""
    lasting(world)
    world.add_participant("p-01", needs="fall-risk", card=False)
    world.add_participant("p-02", needs="fall-risk")
    world.add_participant("p-03", card=False)
    put(world, program__needs_toml=NEEDS.replace('independent = "skill/guarding"', 'independent = "skill/leading"'))
    shown = json.loads(run(world, "compare", *EFFECTIVE, "--format", "json").stdout)
    assert shown["pairs"] == [{"person": "v-001", "gained": 0, "lost": 1}]
    said = run(world, "compare", *EFFECTIVE).output
    assert "0 pairings would be gained, 1 would be lost" in said
    page = coordinator.get("/clearance/compare?effective=2999-01-01").text
    assert "0 would be gained, 1 would be lost" in page
    assert page.split('id="pairs-table"')[1].count("<tr>") == 2
