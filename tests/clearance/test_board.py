"""The board for real use: filters that stay in the address, the same in the CSV, another day with its band."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

import pytest

from tests.builders import World
from tests.sign_in import Visitor

ENTRY = ("paper/background-check", "module/safety@1")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the coordinator; one independent, one whose background check ends in four days, one newcomer."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("v-002", name="Teodor Łęcki", sections="KIN-372-B")
    world.add_person("v-003", name="Maren Okpara")
    world.hold("v-001", *ENTRY, "skill/guarding")
    world.hold("v-002", ENTRY[0], last_day=date(2026, 10, 20))
    world.hold("v-002", ENTRY[1])
    return visitor("c-01")


def shown(coordinator: Visitor, query: str) -> list[str]:
    """Return the codes of the rows that a query leaves."""
    answer = coordinator.get(f"/clearance?{query}")
    assert answer.status_code == 200
    return re.findall(r'<tr id="row-([^"]+)">', answer.text)


@pytest.mark.parametrize(
    ("query", "codes"),
    [
        ("", ["v-001", "v-002", "v-003"]),
        ("section=KIN-372-A", ["v-001"]),
        ("level=Independent", ["v-001", "v-002"]),
        ("level=Independent&station=balance-lane", ["v-001"]),
        ("level=Supervised&station=balance-lane", ["v-002"]),
        ("level=Not+yet", ["v-003"]),
        ("within=14", ["v-002"]),
        ("within=3", []),
        ("within=4", ["v-002"]),
        ("within=400", ["v-001", "v-002"]),
        ("text=lecki", ["v-002"]),
        ("text=v-00+okpara", ["v-003"]),
        ("text=372", ["v-001", "v-002"]),
        ("text=372&within=14&level=Supervised&station=balance-lane&section=KIN-372-B", ["v-002"]),
        ("on=2026-10-21&level=Not+yet", ["v-002", "v-003"]),
    ],
)
def test_each_filter_leaves_the_rows_that_fit(coordinator: Visitor, query: str, codes: list[str]) -> None:
    """Level and lapse at one and the same station; at the one chosen, where one is."""
    assert shown(coordinator, query) == codes


def test_a_station_leaves_its_column_alone(coordinator: Visitor) -> None:
    """And the first line says so."""
    page = coordinator.get("/clearance?station=balance-lane").text
    table = page.split('<table id="board"')[1]
    assert table.count('<th scope="col">') == 3
    assert "3 volunteers by Balance lane" in page
    assert "1 of 3 volunteers by 3 stations and duties" in coordinator.get("/clearance?text=oda").text


def test_what_was_chosen_stays_in_the_form_and_in_the_addresses(coordinator: Visitor) -> None:
    """The form leads back to the table; the CSV has the same rows and columns."""
    query = "section=KIN-372-B&station=balance-lane&level=Supervised&within=14&text=teo&on=2026-10-17"
    page = coordinator.get(f"/clearance?{query}").text
    form = page.split('<form method="get" action="/clearance#everybody"')[1].split("</form>")[0]
    assert "<option selected>KIN-372-B</option>" in form
    assert '<option value="balance-lane" selected>' in form
    assert "<option selected>Supervised</option>" in form
    for field, value in (("within", "14"), ("text", "teo"), ("on", "2026-10-17")):
        assert re.search(rf'<input[^>]*name="{field}"[^>]*value="{value}"', form), field
    csv = re.search(r'href="(/clearance\.csv[^"]*)"', page)
    assert csv is not None
    lines = coordinator.get(csv[1].replace("&amp;", "&")).text.splitlines()
    assert [line.split(",")[:3] for line in lines[1:]] == [['"v-002"', '"Teodor Łęcki"', '"balance-lane"']]
    as_of = page.split('<form class="as-of-form"')[1].split("</form>")[0]
    for field in ("section", "station", "level", "within", "text"):
        assert f'name="{field}"' in as_of


def test_every_cell_leads_to_its_reasons_on_the_day_and_with_the_knowledge_looked_at(coordinator: Visitor) -> None:
    """One press away; the band says what is looked at."""
    page = coordinator.get("/clearance?on=2026-10-21&known_at=2026-10-16T16:00:00Z").text
    assert "/clearance/people/v-002/at/balance-lane?on=2026-10-21&amp;known_at=2026-10-16T16:00:00Z" in page
    assert 'class="band as-of-band"' in page
    assert "Shown as of <strong>Wed 21 Oct 2026</strong>" in page
    form = page.split('action="/clearance#everybody"')[1].split("</form>")[0]
    assert '<input type="hidden" name="known_at" value="2026-10-16T16:00:00Z">' in form


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("section=KIN-9", "There is no section"),
        ("station=moon", "there are balance-lane, target-games, arrival-desk"),
        ("level=Expert", "there are Not yet, Supervised, Independent, Lead"),
        ("within=soon", "write a whole one from 0 to 3660"),
    ],
)
def test_a_filter_that_cannot_be_read_is_said(coordinator: Visitor, query: str, said: str) -> None:
    """On the page and in the CSV, with what there is."""
    for address in ("/clearance", "/clearance.csv"):
        answer = coordinator.get(f"{address}?{query}")
        assert answer.status_code == 400
        assert said in answer.text


def test_where_nobody_fits_it_says_what_to_do(coordinator: Visitor) -> None:
    """And leads to everybody."""
    page = coordinator.get("/clearance?text=nobody-at-all").text
    assert "No volunteer fits." in page
    assert "0 of 3 volunteers" in page


def test_a_text_with_signs_of_html_is_text(coordinator: Visitor) -> None:
    """In the form and in what is printed."""
    page = coordinator.get("/clearance?text=%3Cscript%3Ealert(1)%3C/script%3E").text
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;" in page
