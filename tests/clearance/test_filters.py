"""What the board shows: each filter by itself, together, and what is said of one that cannot be read."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.clearance.filters import Filters, plain, read_filters
from mentor_training.program.catalog import Level

ON = date(2026, 10, 17)
STATIONS, SECTIONS = ("pool-deck", "balance-lane"), ("KIN-372-A", "KIN-372-B")


def test_nothing_asked_keeps_everybody() -> None:
    """Whatever their level, and without one."""
    assert Filters().keeps_person("v-001", "Odalys Brannagh", ())
    assert Filters().keeps_row([], ON)
    assert Filters().parameters == {}


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("odalys", True),
        ("ODALYS brann", True),
        ("brann v-001", True),
        ("372-a", True),
        ("teodor", False),
        ("lecka", True),
    ],
)
def test_every_word_is_looked_for_in_code_name_and_section(text: str, kept: bool) -> None:
    """In any order and any case, marks left out."""
    assert Filters(text=text).keeps_person("v-001", "Odalys Brannagh Łęcka", ["KIN-372-A"]) == kept


def test_a_section_is_the_whole_of_its_code() -> None:
    """Whoever is of none is of none."""
    assert Filters(section="KIN-372-A").keeps_person("v-001", "Odalys", ["KIN-372-B", "KIN-372-A"])
    assert not Filters(section="KIN-372-A").keeps_person("v-001", "Odalys", ["KIN-372-AB"])
    assert not Filters(section="KIN-372-A").keeps_person("v-001", "Odalys", [])


@pytest.mark.parametrize(
    ("filters", "cells", "kept"),
    [
        (Filters(level=Level.LEAD), [(3, None)], True),
        (Filters(level=Level.LEAD), [(2, None), (0, None)], False),
        (Filters(level=Level.NOT_YET), [(2, None), (0, None)], True),
        (Filters(within=0), [(1, ON)], True),
        (Filters(within=0), [(1, date(2026, 10, 18))], False),
        (Filters(within=14), [(1, date(2026, 10, 31))], True),
        (Filters(within=14), [(1, date(2026, 11, 1)), (3, None)], False),
        # Both have to hold at one and the same station.
        (Filters(level=Level.LEAD, within=14), [(3, None), (1, ON)], False),
        (Filters(level=Level.LEAD, within=14), [(3, ON), (1, None)], True),
    ],
)
def test_level_and_lapse_hold_at_one_station(
    filters: Filters, cells: list[tuple[int, date | None]], kept: bool
) -> None:
    """A row is shown if some station of it is among those asked for."""
    assert filters.keeps_row(cells, ON) == kept


def test_filters_are_read_from_an_address_and_written_back() -> None:
    """As they were."""
    asked = {"section": "KIN-372-A", "station": "pool-deck", "level": "Not yet", "within": "14", "text": "ody"}
    filters, problems = read_filters(asked, STATIONS, SECTIONS)
    assert problems == ()
    assert filters == Filters("KIN-372-A", "pool-deck", Level.NOT_YET, 14, "ody")
    assert filters.parameters == {**asked, "within": 14}


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("section", "KIN-1", "There is no section 'KIN-1'; there are KIN-372-A, KIN-372-B."),
        ("station", "moon", "There is no station 'moon'; there are pool-deck, balance-lane."),
        ("level", "Expert", "There is no level 'Expert'; there are Not yet, Supervised, Independent, Lead."),
        ("within", "soon", "'soon' is no number of days"),
        ("within", "-1", "'-1' is no number of days"),
        ("within", "9999", "'9999' is no number of days"),
        ("within", "١٤", "'١٤' is no number of days"),
    ],
)
def test_what_cannot_be_read_is_said_and_left_out(name: str, value: str, said: str) -> None:
    """With what there is; the others still hold."""
    filters, problems = read_filters({"text": "a", name: value}, STATIONS, SECTIONS)
    assert filters == Filters(text="a")
    assert len(problems) == 1
    assert problems[0].startswith(said)


def test_letters_are_found_without_their_marks() -> None:
    """The same as the pages do where they filter by themselves."""
    assert plain("Łęcka Ægir Straße Müller Ñandú") == "lecka aegir strasse muller nandu"
