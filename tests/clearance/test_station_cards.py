"""A station's card: who may lead on the day, what else stands on it, and for whom it is."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pikepdf
import pytest

from mentor_training.clearance.pdf import StationCard, cards_pdf, station_cards
from mentor_training.clearance.queries import gate_at
from mentor_training.evidence.actions import record
from mentor_training.people.queries import volunteers
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.reading import collect_files, read_program
from tests.builders import World
from tests.planning.saturday import SATURDAY, saturday
from tests.sign_in import Visitor

ROOT = Path(__file__).resolve().parents[2]
OF_STATION, OF_SESSION = "/clearance/stations/balance-lane/card.pdf", "/clearance/cards/s-11.pdf"


def cards(world: World, day: date, *slugs: str) -> list[StationCard]:
    """Return cards for a day, all volunteers looked at."""
    with world.reading() as db:
        return station_cards(gate_at(db, world.clock.now()), slugs, volunteers(db), day)


def leads(world: World, day: date = SATURDAY, slug: str = "balance-lane") -> list[str]:
    (card,) = cards(world, day, slug)
    return [row.code for row in card.leads]


def pages_of(content: bytes) -> int:
    with pikepdf.open(io.BytesIO(content)) as opened:
        return len(opened.pages)


@pytest.fixture
def floor(world: World) -> World:
    """Give the small Saturday and a course instructor."""
    saturday(world)
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    return world


def test_who_may_lead_is_whose_level_is_lead_on_that_day(floor: World) -> None:
    """Another station has other leads, and a day on which a training has ended has none."""
    assert leads(floor) == ["v-001"]
    assert leads(floor, slug="target-games") == ["v-006"]
    assert leads(floor, date(2027, 10, 17)) == []


def test_whoever_is_stood_down_is_not_named(floor: World) -> None:
    """From the first day on; the card says nothing of why."""
    with floor.writing() as db:
        record(db, floor.clock.now(), "c-01", "v-001", "stood-down", "", SATURDAY)
    assert leads(floor) == []
    assert leads(floor, date(2026, 10, 16)) == ["v-001"]


def test_the_ratio_names_needs_that_count_here_and_ask_for_more_mentors(floor: World) -> None:
    """One mentor is the rule of the program, and only what asks for more is said besides."""
    lane, desk = cards(floor, SATURDAY, "balance-lane", "arrival-desk")
    assert [need.slug for need in lane.more_mentors] == ["two-mentors"]
    assert (lane.has_lead_level, desk.has_lead_level) == (True, False)
    assert lane.asked == 6


@pytest.mark.parametrize(
    ("who", "of_station", "of_session"),
    [("c-01", 200, 200), ("o-01", 200, 200), ("o-02", 200, 403), ("i-01", 403, 403), ("v-001", 403, 403)],
)
def test_cards_are_for_observers_and_the_coordinator(
    floor: World, visitor: Callable[[str], Visitor], who: str, of_station: int, of_session: int
) -> None:
    """Those of a session only for its own observers."""
    one = visitor(who)
    assert (one.get(OF_STATION).status_code, one.get(OF_SESSION).status_code) == (of_station, of_session)


def test_a_session_gives_a_page_for_each_of_its_stations(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Two places and a duty are three pages in one file."""
    answer = visitor("o-01").get(OF_SESSION)
    assert (answer.content_type, pages_of(answer.data)) == ("application/pdf", 3)


def test_a_card_follows_the_day_looked_at(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Its title says which day it is for; a station that there is not is not found."""
    one = visitor("c-01")
    with (
        pikepdf.open(io.BytesIO(one.get(f"{OF_STATION}?on=2026-10-20").data)) as opened,
        opened.open_metadata() as told,
    ):
        assert told["dc:title"] == "Station card, Balance lane, Tue 20 Oct 2026"
    assert one.get("/clearance/stations/nowhere/card.pdf").status_code == 404
    assert one.get("/clearance/cards/s-99.pdf").status_code == 404


@pytest.mark.parametrize("size", ["letter", "a4"])
@pytest.mark.parametrize("count", [0, 6, 36, 90])
def test_each_card_of_the_example_is_one_page_however_many_may_lead(count: int, size: str) -> None:
    """Beyond what fits, it says how many more there are."""
    files, _ = collect_files(ROOT / "instance_example" / "program", ROOT / "modules", ROOT / "quizzes")
    program, _ = read_program(files)
    assert program
    moment = datetime(2026, 10, 16, 16, tzinfo=UTC)
    published = PublishedProgram(3, SATURDAY, moment, "x", program)
    rows: Any = tuple(SimpleNamespace(name=f"Odalys Brannagh {n}", code=f"v-{n:03}") for n in range(count))
    made = [StationCard(station, published, SATURDAY, rows, count) for station in program.stations.values()]
    content = cards_pdf(made, "Saturday", program.name, moment, ZoneInfo("America/New_York"), size)
    assert pages_of(content) == len(made)
