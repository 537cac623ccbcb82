"""Printing for the floor through HTTP: name tags and observation sheets, for each of the four roles."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable

import pikepdf
import pytest

from mentor_training.calendar.actions import store_session
from tests.builders import World
from tests.planning.saturday import COORDINATES, VOLUNTEERS, saturday, session
from tests.sign_in import Visitor
from tests.small_program import GUARDING, small_files
from tests.web.test_pdf import NoPango

TAGS, SHEET = "/prints/tags.pdf", "/sheets/guarding.pdf"


def pages_of(content: bytes) -> int:
    with pikepdf.open(io.BytesIO(content)) as opened:
        return len(opened.pages)


def alternatives(content: bytes) -> list[str]:
    """Return the words that stand for the pictures of a PDF."""
    with pikepdf.open(io.BytesIO(content)) as opened:
        return sorted(str(one.Alt) for one in opened.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one)


def width_of(content: bytes) -> int:
    """Return the width of the first page in points."""
    with pikepdf.open(io.BytesIO(content)) as opened:
        return round(float(opened.pages[0].mediabox[2]))


@pytest.fixture
def floor(world: World) -> World:
    """Give the small Saturday with a course instructor, and an observer of another session."""
    saturday(world)
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    return world


@pytest.mark.parametrize(
    ("who", "status"), [("c-01", 200), ("o-01", 200), ("o-02", 403), ("i-01", 403), ("v-001", 403)]
)
def test_the_tags_of_a_session_are_for_its_observers_and_the_coordinator(
    floor: World, visitor: Callable[[str], Visitor], who: str, status: int
) -> None:
    """An observer of another session prints none of them, nor does a volunteer or a course instructor."""
    answer = visitor(who).get(f"{TAGS}?session=s-11")
    assert answer.status_code == status
    assert (answer.content_type == "application/pdf") == (status == 200)


@pytest.mark.parametrize(
    ("who", "status"), [("c-01", 200), ("o-01", 200), ("o-02", 200), ("i-01", 403), ("v-001", 403)]
)
def test_sheets_are_for_observers_and_the_coordinator(
    floor: World, visitor: Callable[[str], Visitor], who: str, status: int
) -> None:
    """Nothing on a sheet is about anybody, so that every observer may print any of them."""
    one = visitor(who)
    assert one.get(SHEET).status_code == status
    assert one.get("/prints").status_code == status


def test_every_volunteer_of_a_session_gets_a_tag_and_no_participant_does(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Each tag's code leads to that volunteer's own observe page, by the public address of the settings."""
    site = floor.instance.settings.address
    content = visitor("c-01").get(f"{TAGS}?session=s-11").data
    assert alternatives(content) == [f"QR code of the address {site}/observe/{code}" for code in VOLUNTEERS]


def test_all_tags_are_those_of_the_volunteers_whom_one_may_see(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """For the coordinator everybody, on as many pages as it takes; for an observer those of their sessions."""
    for number in range(7, 19):
        floor.add_person(f"v-0{number:02}")
    everybody, own = visitor("c-01").get(TAGS).data, visitor("o-01").get(TAGS).data
    assert (len(alternatives(everybody)), pages_of(everybody)) == (18, 3)
    assert (len(alternatives(own)), pages_of(own)) == (6, 1)


def test_both_sizes_of_paper_are_there_and_no_other(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Letter where nothing is said."""
    one = visitor("c-01")
    for address in (TAGS, SHEET, "/clearance/stations/balance-lane/card.pdf"):
        assert width_of(one.get(address).data) == 612
        assert width_of(one.get(f"{address}?size=a4").data) == 595
        assert one.get(f"{address}?size=a3").status_code == 400


def test_a_session_without_volunteers_says_that_there_is_nobody_to_print_for(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """In words, and not as an empty page."""
    with floor.writing() as db:
        empty = session("s-12")
        store_session(db, floor.clock.now(), COORDINATES, type(empty)(**(vars(empty) | {"volunteers": ()})))
    answer = visitor("c-01").get(f"{TAGS}?session=s-12")
    assert (answer.status_code, "nobody to print a name tag for" in answer.text) == (422, True)


def test_what_there_is_not_is_not_found(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """A skill, a station and a session that nobody knows."""
    one = visitor("c-01")
    for address in ("/sheets/juggling.pdf", f"{TAGS}?session=s-99", "/sheets/juggling"):
        assert one.get(address).status_code in (403, 404)
    assert visitor("o-01").get("/sheets/juggling").status_code == 404


def test_a_skill_without_criteria_has_no_sheet(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """It says why, and the list of sheets leaves it out."""
    bare = GUARDING[: GUARDING.index("criteria:")] + "criteria: []\n" + GUARDING[GUARDING.index("sign_off:") :]
    floor.publish(small_files() | {"program/skills/guarding.md": bare}, number=2)
    answer = visitor("c-01").get(SHEET)
    assert (answer.status_code, "has no criteria" in answer.text) == (422, True)
    assert SHEET not in visitor("c-01").get("/prints").text


@pytest.mark.parametrize("criteria", [1, 8, 9, 14])
def test_a_sheet_is_one_page(floor: World, visitor: Callable[[str], Visitor], criteria: int) -> None:
    """Up to fourteen criteria, each of two lines and critical, on Letter and on A4."""
    words = "Stands slightly behind and to the side that the card names, and well within arm's reach of it."
    lines = "".join(f"  - text: {words}\n    critical: true\n" for _ in range(criteria))
    text = GUARDING[: GUARDING.index("  - text")] + lines + GUARDING[GUARDING.index("sign_off:") :]
    floor.publish(small_files() | {"program/skills/guarding.md": text}, number=2)
    one = visitor("c-01")
    assert [pages_of(one.get(f"{SHEET}?size={size}").data) for size in ("letter", "a4")] == [1, 1]


def test_the_pages_lead_to_what_can_be_printed(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """From the session, the list of who is to be seen, the station and the skill; for a volunteer nowhere."""
    coordinator, observer, volunteer = visitor("c-01"), visitor("o-01"), visitor("v-001")
    for one in (coordinator, observer):
        page = one.get("/sessions/s-11").text
        assert "/prints/tags.pdf?session=s-11" in page
        assert "/clearance/cards/s-11.pdf" in page
        assert 'href="/prints"' in one.get("/observe").text
        assert SHEET in one.get("/program/skills/guarding").text
        assert "/clearance/stations/balance-lane/card.pdf" in one.get("/program/stations/balance-lane").text
        assert "/clearance/stations/balance-lane/card.pdf" in one.get("/clearance/stations/balance-lane").text
    assert 'href="/sheets/guarding"' in observer.get("/program/skills/guarding").text
    assert 'href="/sheets/guarding"' not in coordinator.get("/program/skills/guarding").text
    assert SHEET not in volunteer.get("/program/skills/guarding").text
    assert "card.pdf" not in volunteer.get("/program/stations/balance-lane").text


def test_an_observer_is_offered_only_the_own_sessions(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Whoever observes no session is offered no session's tags."""
    assert "session=s-11" in visitor("o-01").get("/prints").text
    assert "session=s-11" not in visitor("o-02").get("/prints").text


@pytest.mark.parametrize(
    "address", [TAGS, SHEET, "/clearance/stations/balance-lane/card.pdf", "/clearance/cards/s-11.pdf"]
)
def test_without_pango_each_says_in_one_line_what_to_install(
    floor: World, visitor: Callable[[str], Visitor], address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As every other PDF does; the page that leads to them still opens."""
    one = visitor("c-01")
    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(sys, "meta_path", [NoPango(), *sys.meta_path])
    answer = one.get(address)
    assert (answer.status_code, "sudo apt-get install libpango-1.0-0" in answer.text) == (503, True)
    assert one.get("/prints").status_code == 200
