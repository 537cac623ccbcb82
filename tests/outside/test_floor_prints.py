"""What is printed for the floor, as others see it: a QR decoder, a PDF library, a text extractor, qpdf.

As tests/outside/test_prints.py does for statements and certificates: QR codes are read back by zxing-cpp from the page
as poppler draws it, and the structure is asserted after what ISO 14289-1 (PDF/UA-1) asks of a file.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pikepdf
import pytest

from mentor_training.clearance.pdf import cards_pdf, station_cards
from mentor_training.clearance.queries import gate_at
from mentor_training.observing.pdf import observe_address, sheet_address, sheet_pdf, tags_pdf
from mentor_training.people.queries import volunteers
from mentor_training.program.queries import require_edition
from tests.builders import World
from tests.missing import give_up
from tests.outside.test_prints import codes_on, structure, text_of
from tests.planning.saturday import PARTICIPANTS, SATURDAY, saturday
from tests.small_program import small_files

SITE = "https://movement-mornings.marrowdale.example"
NAMES = {"v-001": "Odalys Brannagh", "v-002": "Teodor Łęcki", "v-003": "Ann-Sophie de la Croix"}
KINDS = ["tags", "sheet", "cards"]


@pytest.fixture
def made(world: World) -> Iterator[dict[str, bytes]]:
    """Give one print of each kind."""
    saturday(world)
    stations = small_files()["program/stations.toml"].replace("leads = 0", "leads = 1", 1)
    world.publish(small_files() | {"program/stations.toml": stations}, number=2)
    now = world.clock.now()
    with world.reading() as db:
        edition = require_edition(db, SATURDAY, now)
        cards = station_cards(gate_at(db, now), ["balance-lane"], volunteers(db), SATURDAY)
        yield {
            "tags": tags_pdf(NAMES.items(), "Saturday", "Small program", SITE),
            "sheet": sheet_pdf(edition.program.skills["guarding"], edition, "Small program", SITE),
            "cards": cards_pdf(cards, "Sat 17 Oct 2026", "Small program", datetime.now(UTC), ZoneInfo("UTC")),
        }


@pytest.mark.parametrize("resolution", [130, 300])
def test_the_codes_on_tags_lead_to_each_volunteers_observe_page(
    made: dict[str, bytes], resolution: int, tmp_path: Path
) -> None:
    """Read back from the drawn page, all of them and no other."""
    assert sorted(codes_on(made["tags"], tmp_path, resolution)) == [observe_address(SITE, code) for code in NAMES]


@pytest.mark.parametrize("resolution", [130, 300])
def test_the_code_on_a_sheet_leads_to_where_it_is_typed_in(
    made: dict[str, bytes], resolution: int, tmp_path: Path
) -> None:
    """The address stands beside it in letters too."""
    address = sheet_address(SITE, "guarding")
    assert codes_on(made["sheet"], tmp_path, resolution) == [address]
    assert "sheets/guarding" in text_of(made["sheet"], tmp_path)


def test_a_tag_says_name_code_and_program_and_nothing_else(made: dict[str, bytes], tmp_path: Path) -> None:
    """No level, no section, no participant: whoever reads it learns what to call its wearer."""
    words = set(text_of(made["tags"], tmp_path).split())
    allowed = {word for line in (*NAMES.values(), *NAMES) for word in line.split()}
    heading = {"Name", "tags,", "Saturday,", "page", "1", "of", "Small", "program"}
    assert words == allowed | heading


def test_a_sheet_has_each_criterion_each_mark_and_the_rule(made: dict[str, bytes], tmp_path: Path) -> None:
    """Critical ones say so in words; the seven marks stand above the boxes."""
    text = " ".join(text_of(made["sheet"], tmp_path).split())
    for words in (
        "1. Lane clear and dry. Critical.", "3. Steps with the person.", "4. Talks calmly.",
        "Reminded", "Not seen", "Stopped", "live", "simulated", "Volunteer and code", "Observer’s signature",
        "there is no mark for all", "if one was not seen, the observation does not count",
        "more than 7 days after its day", "edition 2",
    ):  # fmt: skip
        assert words in text
    assert text.count("Critical.") == 2


def test_a_card_says_what_the_station_is_and_who_may_lead(made: dict[str, bytes], tmp_path: Path) -> None:
    """With caution, deferral, ratio, levels, edition and day; no participant stands on it."""
    text = " ".join(text_of(made["cards"], tmp_path).split())
    for words in (
        "Balance lane", "Sat 17 Oct 2026", "Keep the lane dry.", "licensed staff come first", "standing, stepping",
        "4 participants at once", "1 with each participant; 2 where the card says: Two mentors",
        "1 while the station is open", "at most 2 who work supervised", "Person v-001 v-001", "1 of the 6 volunteers",
        "Supervised", "Edition 2", "does not license",
    ):  # fmt: skip
        assert words in text
    assert "v-002" not in text
    assert not [code for code in PARTICIPANTS if code in text]


@pytest.mark.parametrize("kind", KINDS)
def test_a_print_for_the_floor_has_the_structure_that_assistive_technology_needs(
    made: dict[str, bytes], kind: str, caplog: pytest.LogCaptureFixture
) -> None:
    """Language, title, tags, one heading, words for every picture; header cells or a list; nothing missed."""
    with pikepdf.open(io.BytesIO(made[kind])) as opened:
        assert str(opened.Root.Lang) == "en-US"
        assert bool(opened.Root.MarkInfo.Marked)
        assert bool(opened.Root.ViewerPreferences.DisplayDocTitle)
        with opened.open_metadata() as told:
            assert told["pdfuaid:part"] == "1"
            assert told["dc:title"].startswith({"tags": "Name tags", "sheet": "Observation sheet"}.get(kind, "Station"))
        assert len(structure(opened, "/H1")) == 1
        assert structure(opened, "/LI" if kind == "tags" else "/TH")
        figures = structure(opened, "/Figure")
        assert len(figures) == {"tags": 3, "sheet": 1, "cards": 0}[kind]
        assert all(str(figure.Alt).startswith(f"QR code of the address {SITE}") for figure in figures)
    assert [one.getMessage() for one in caplog.records if one.levelname in ("ERROR", "CRITICAL")] == []


@pytest.mark.parametrize("kind", KINDS)
def test_qpdf_finds_nothing_wrong_in_a_print_for_the_floor(made: dict[str, bytes], kind: str, tmp_path: Path) -> None:
    """`qpdf --check`: syntax and streams."""
    if not shutil.which("qpdf"):
        give_up("qpdf is missing")
    (tmp_path / "x.pdf").write_bytes(made[kind])
    done = subprocess.run(["qpdf", "--check", "x.pdf"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("kind", KINDS)
def test_every_font_of_a_print_for_the_floor_is_the_programs_own_and_embedded(
    made: dict[str, bytes], kind: str
) -> None:
    """A name such as Łęcki has its letters from the typeface too."""
    with pikepdf.open(io.BytesIO(made[kind])) as opened:
        found = (one for one in opened.objects if isinstance(one, pikepdf.Dictionary))
        fonts = [one for one in found if one.get("/Type") == "/FontDescriptor"]
        assert fonts
        assert all("Atkinson-Hyperlegible-Next" in str(font.FontName) for font in fonts)
        assert all("/FontFile2" in font or "/FontFile3" in font for font in fonts)
