"""The floor on paper: one sheet of it, a page for each station, as page and as PDF."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pikepdf
import pytest

from mentor_training.planning.pdf import Made, floor_pdf, stations_pdf
from mentor_training.planning.queries.printing import Shown, floor_shown
from tests.builders import World, make_world
from tests.outside.test_prints import text_of
from tests.planning.gym import CAUTION, FIRST, LAST, gym
from tests.planning.saturday import at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
SIZES = {"letter": (612, 792), "a4": (595.28, 841.89)}
HEAD = "5c" * 32
MADE = Made("Small program", "12 Gym Road, Marrowdale", at("08:10"), ZoneInfo("America/New_York"), HEAD)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shown]:
    """Give the floor of the full gym."""
    world = make_world(tmp_path_factory.mktemp("gym") / "instance")
    gym(world)
    with world.reading() as db:
        yield floor_shown(db, "s-11", world.clock.now())
    world.instance.database.close()


def pages_of(content: bytes) -> list[tuple[float, float]]:
    """Return the width and height of each page in points."""
    with pikepdf.open(io.BytesIO(content)) as opened:
        return [(float(page.mediabox[2]), float(page.mediabox[3])) for page in opened.pages]


@pytest.mark.parametrize("size", SIZES)
def test_sixty_participants_four_blocks_and_six_stations_stand_on_one_sheet(
    full: Shown, size: str, tmp_path: Path
) -> None:
    """Across, with every pair of every block, the leads, the moment and the journal head; no surname of anybody."""
    content = floor_pdf(full, MADE, size)
    ((width, height),) = pages_of(content)
    assert (height, width) == pytest.approx(SIZES[size], abs=0.1)
    text = text_of(content, tmp_path)
    assert text.count("sup.") == 18 * 4 + 1
    assert text.count("Lead ") == 24
    assert HEAD in "".join(text.split())
    assert "Made Sat 17 Oct 2026, 08:10" in text
    assert [name for name in LAST if name in text] == []
    assert [name for name in FIRST if name not in text] == []


def test_a_larger_floor_flows_over_with_its_heads_repeated(world: World, tmp_path: Path) -> None:
    """A hundred and eighty participants at nine stations: several sheets, each with the blocks' times."""
    gym(world, participants=180, stations=9)
    with world.reading() as db:
        content = floor_pdf(floor_shown(db, "s-11", world.clock.now()), MADE)
    count = len(pages_of(content))
    assert count > 1
    assert text_of(content, tmp_path).count("Block 1, ") == count


@pytest.mark.parametrize("size", SIZES)
def test_each_station_has_a_page_of_its_own(full: Shown, size: str, tmp_path: Path) -> None:
    """Who comes when with whom, the lead, the cautions, the emergency roles, and what comes first."""
    content = stations_pdf(full, full.board.rows, MADE, size)
    pages = pages_of(content)
    assert len(pages) == len(full.board.rows) == 7
    assert pages[0] == pytest.approx(SIZES[size], abs=0.1)
    text = " ".join(text_of(content, tmp_path).split())
    assert text.count("In an emergency") == 7
    assert text.count("The building’s own emergency plan comes first.") == 7
    assert text.count("12 Gym Road, Marrowdale") == 7
    assert text.count(CAUTION) == 6
    assert text.count(" with ") >= 240


def test_the_printed_floor_holds_first_names_and_no_needs(floor: World, visitor: Sign) -> None:
    """With who is without a mentor, when and why in short; cautions stand on the stations' pages."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    page = visitor("c-01").get("/sessions/s-11/print").text
    assert "Block 2, somebody could be placed: <strong>Name01</strong>" in page
    assert "All blocks, " in page
    assert "arm&#39;s reach" not in page
    station = visitor("c-01").get("/sessions/s-11/stations/balance-lane").text
    assert "Keep the lane dry." in station
    assert "arm&#39;s reach" not in station
    assert "no volunteer leads here" in station


def test_supervised_pairs_are_marked_in_words_and_fallen_ones_said(floor: World, visitor: Sign) -> None:
    """The mark has its word beside it, on the sheet and on the station's page."""
    put(floor, 1, "balance-lane", "v-001", role="lead")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    coordinator = visitor("c-01")
    pair = '<strong>Name02</strong> Person v. v-003&nbsp;<span class="by-lead">'  # never on a line of its own
    assert pair in coordinator.get("/sessions/s-11/print").text
    station = coordinator.get("/sessions/s-11/stations/balance-lane").text
    assert "</svg> supervised</span>" in station
    assert "Empty: nobody is placed here in this block." in station
    assert "closed" not in station


@pytest.mark.parametrize("what", ["floor", "stations"])
def test_the_pdfs_are_had_in_both_sizes_by_who_may_see_the_floor(floor: World, visitor: Sign, what: str) -> None:
    """An unknown size is refused, and so are those whose session it is not."""
    address = f"/sessions/s-11/{what}.pdf"
    for query in ("", "?size=a4"):
        answer = visitor("o-01").get(f"{address}{query}")
        assert (answer.status_code, answer.content_type) == (200, "application/pdf")
    assert visitor("c-01").get(f"{address}?size=a5").status_code == 400
    assert [visitor(who).get(address).status_code for who in ("o-02", "v-002")] == [403, 403]


def test_an_unknown_station_is_not_found(floor: World, visitor: Sign) -> None:
    """Nor one of the program that is not open in the session."""
    assert visitor("c-01").get("/sessions/s-11/stations/pool").status_code == 404


def test_a_closed_session_prints_as_it_ran(floor: World, visitor: Sign) -> None:
    """With the levels of that moment."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    coordinator = visitor("c-01")
    floor.clock.moment = at("09:35")
    for kind, who in (("volunteer", "v-002"), ("participant", "p-01")):
        coordinator.send("/sessions/s-11/check-in", f"/sessions/s-11/check-in/{kind}/{who}")
    floor.clock.moment = at("11:20")
    assert coordinator.send("/sessions/s-11/close", "/sessions/s-11/close").status_code == 303
    assert "As it ran; closed Sat 17 Oct 2026, 11:20." in coordinator.get("/sessions/s-11/print").text
    assert "The session has ended." in coordinator.get("/sessions/s-11/wall").text
    assert coordinator.get("/sessions/s-11/floor.pdf").status_code == 200
