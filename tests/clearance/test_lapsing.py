"""What lapses, as a page, as a command, as CSV and as a calendar."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date, time

import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.cli import main
from tests.builders import World
from tests.sign_in import Visitor

END = date(2026, 10, 20)
ASKED = ("--on", "2026-10-16", "--known-at", "2026-10-16T18:00:00Z")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the coordinator; one volunteer's background check ends on 20 October, two days before a session."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("v-002", name="Teodor Vance", sections="KIN-372-B")
    world.hold("v-001", "module/safety@1", "skill/guarding")
    world.hold("v-001", "paper/background-check", last_day=END)
    world.hold("v-002", "paper/background-check", "module/safety@1")
    with world.writing() as db:
        now, day = world.clock.now(), date(2026, 10, 22)
        db.add(
            ProgramSession(
                code="s-01", title="Thursday", day=day, starts=time(9), ends=time(10), stations=("balance-lane",),
                recorded_at=now,
            )
        )  # fmt: skip
        db.flush()
        db.add(Expected(session="s-01", kind="volunteer", code="v-001"))
    return visitor("c-01")


def run(world: World, *words: str) -> Result:
    """Run a command on the world's instance, on the world's day."""
    return CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), *words, *ASKED])


def test_the_json_says_who_loses_what_where_because_of_which_record_before_which_session(
    world: World, coordinator: Visitor
) -> None:
    """The documented form."""
    shown = json.loads(run(world, "lapses", "--station", "balance-lane", "--format", "json").output)
    assert (shown["on"], shown["through"]) == ("2026-10-16", "2027-01-14")
    assert shown["lapses"] == [
        {
            "person": "v-001",
            "station": "balance-lane",
            "participant": None,
            "last_day": "2026-10-20",
            "day": "2026-10-21",
            "before": 2,
            "after": 0,
            "because": [{"kind": "ends", "about": "paper/background-check", "record": "r-0003", "by": None}],
            "session": {"session": "s-01", "day": "2026-10-22", "expected": True},
        }
    ]


def test_as_many_days_ahead_as_are_asked_for(world: World, coordinator: Visitor) -> None:
    """The fall on 21 October is five days ahead of the 16th."""
    for days, count in (("4", 0), ("5", 3)):
        assert len(json.loads(run(world, "lapses", "--days", days, "--format", "json").output)["lapses"]) == count


def test_a_section_a_person_and_a_station_narrow_it(world: World, coordinator: Visitor) -> None:
    """And what there is not is bad input, with what there is."""
    assert json.loads(run(world, "lapses", "--section", "KIN-372-B", "--format", "json").output)["lapses"] == []
    assert json.loads(run(world, "lapses", "--person", "v-002", "--format", "json").output)["lapses"] == []
    for option, word in (("--section", "KIN-372-A"), ("--station", "balance-lane"), ("--person", "v-0")):
        unknown = run(world, "lapses", option, "nowhere")
        assert unknown.exit_code == 2
        assert word in unknown.output or option == "--person"


def test_the_csv_has_a_row_for_each_lapse(world: World, coordinator: Visitor) -> None:
    """One for each station, with the reason in words and the records apart."""
    rows = list(csv.DictReader(io.StringIO(run(world, "lapses", "--format", "csv").output)))
    assert [row["station"] for row in rows] == ["balance-lane", "target-games", "arrival-desk"]
    assert rows[0]["because"] == "Background check ends (record r-0003)"
    assert rows[0]["records"] == "r-0003"
    assert rows[0]["session_day"] == "2026-10-22"


def test_the_calendar_reads_back_as_all_day_events_with_the_same_names_each_time(
    world: World, coordinator: Visitor
) -> None:
    """Through the page and through the command, now and an hour later; codes stand in it and no names."""
    first = Calendar.from_ical(run(world, "lapses", "--format", "calendar").output)
    world.clock.forward(hours=1)
    page = coordinator.get("/clearance/lapses.ics")
    assert page.mimetype == "text/calendar"
    second = Calendar.from_ical(page.text)
    assert [event["UID"] for event in first.events] == [event["UID"] for event in second.events]
    assert len({event["UID"] for event in first.events}) == 3
    assert {event.start for event in first.events} == {date(2026, 10, 21)}
    assert str(first.events[0]["SUMMARY"]) == "v-001 at Balance lane: from independent to not yet"
    assert "record r-0003" in str(first.events[0]["DESCRIPTION"])
    assert "Odalys" not in page.text


def test_the_page_puts_together_what_one_record_brings_down(coordinator: Visitor) -> None:
    """One line for the volunteer and the day, each station a link to its reasons that day."""
    page = coordinator.get("/clearance/lapses").text
    assert "1 volunteer loses a level within 90 days" in page
    assert page.count("Background check ends (record r-0003)") == 1
    assert "/clearance/people/v-001/at/balance-lane?on=2026-10-21" in page
    assert "expected there" in page
    assert "Nobody loses a level within 3 days" in coordinator.get("/clearance/lapses?days=3").text
    assert "Nobody loses" in coordinator.get("/clearance/lapses?section=KIN-372-B").text


def test_the_pages_csv_carries_the_filters(coordinator: Visitor) -> None:
    """And is safe to open in a spreadsheet."""
    lines = coordinator.get("/clearance/lapses.csv?station=target-games").text.splitlines()
    assert len(lines) == 2
    assert lines[1].startswith('"v-001","Odalys Brannagh","target-games"')


@pytest.mark.parametrize("days", ["soon", "0", "-1", "99999", "1e3"])
def test_a_number_of_days_that_is_none_is_said(coordinator: Visitor, days: str) -> None:
    """With what would be right."""
    answer = coordinator.get(f"/clearance/lapses?days={days}")
    assert answer.status_code == 400
    assert "write a whole number from 1 to 3660" in answer.text


def test_an_observer_sees_the_lapses_of_the_own_sessions_only(
    world: World, visitor: Callable[[str], Visitor], coordinator: Visitor
) -> None:
    """Least is the rule."""
    world.add_person("o-01", "observer")
    assert "Nobody loses" in visitor("o-01").get("/clearance/lapses").text
    with world.writing() as db:
        db.add(Expected(session="s-01", kind="observer", code="o-01"))
    assert "Odalys" in visitor("o-01").get("/clearance/lapses").text
    assert visitor("v-001").get("/clearance/lapses").status_code == 403


def test_with_a_participant_what_ends_for_the_pair_is_named(world: World, coordinator: Visitor) -> None:
    """The review of the card falls due on 30 October; on the 31st the pair's level is 0."""
    world.add_participant("p-01", review_by=date(2026, 10, 30))
    world.hold("v-002", "card/p-01@1")
    words = ("lapses", "--person", "v-002", "--participant", "p-01", "--station", "target-games", "--format", "json")
    lapse = json.loads(run(world, *words).output)["lapses"][0]
    assert (lapse["participant"], lapse["day"]) == ("p-01", "2026-10-31")
    assert lapse["because"] == [{"kind": "review_overdue", "about": "p-01@1", "record": None, "by": None}]
