"""The coordinator changes a rule in the browser: slip, finding, comparison, publication, and what it does to people."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.builders import World
from tests.sign_in import Visitor
from tests.small_program import STATIONS, small_files

Sign = Callable[[str], Visitor]
EDIT = "/program/files/edit/program/stations.toml"
OLD = 'leads = 0\nindependent = "module/safety"\n'
NEW = 'leads = 0\nindependent = { all = ["module/safety", "skill/leading"] }\n'


@pytest.fixture
def coordinator(world: World, visitor: Sign) -> Visitor:
    """Give the coordinator; the published files lie on the disk, and a volunteer works at the target games."""
    for path, text in small_files().items():
        file = world.instance.settings.folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    world.hold("v-001", "paper/background-check", "module/safety@1")
    return visitor("c-01")


def test_a_rule_is_changed_compared_and_published_and_then_decides(coordinator: Visitor) -> None:
    """Every step through a form of a page."""
    slip = coordinator.send(EDIT, EDIT, text=STATIONS.replace(OLD, NEW.replace("leading", "leadin")), then="check")
    assert "fault: unknown item <code>skill/leadin</code>" in slip.text
    line = STATIONS[: STATIONS.index(OLD)].count("\n") + 2
    assert f'<span id="line-{line}" class="marked fault">{line}</span>' in slip.text
    assert coordinator.fill(slip.text, EDIT, text=STATIONS.replace(OLD, NEW), then="write").status_code == 303

    files = coordinator.get("/program/files").text
    assert "now asks for Leading a station (skill, signed off)" in files
    compared = coordinator.get("/clearance/compare?effective=2026-10-20").text
    assert "0 volunteers would gain somewhere, 1 would lose somewhere" in compared
    assert "Odalys Brannagh" in compared
    assert "Tue 20 Oct 2026" in compared

    assert coordinator.fill(files, "/program/files/publish", effective="2026-10-20").status_code == 303
    assert "now asks for Leading a station" in coordinator.get("/program/editions").text
    page = "/clearance/people/v-001/at/target-games"
    assert 'through <time datetime="2026-10-19">' in coordinator.get(page).text
    assert "be signed off for Leading a station" in coordinator.get(f"{page}?on=2026-10-20").text
    lapses = coordinator.get("/clearance/lapses").text
    assert "edition 2 of the program takes effect" in lapses
    assert "Tue 20 Oct 2026" in lapses


def test_what_was_decided_before_the_edition_stays_as_it_was_known(world: World, coordinator: Visitor) -> None:
    """Asked about the 21st as known before it was published, the old rule answers; the edition is named apart."""
    world.clock.forward(days=1)
    coordinator.send(EDIT, EDIT, text=STATIONS.replace(OLD, NEW), then="write")
    coordinator.send("/program/files", "/program/files/publish", effective="2026-10-20")
    world.clock.forward(days=1)
    page = coordinator.get("/clearance/then?on=2026-10-21&known_at=2026-10-16T17:00:00Z").text
    assert "1 of 3 answers about that day is different" in page
    assert "edition 2, in effect from 2026-10-20" in page
