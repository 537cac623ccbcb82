"""The calendar of lapses against RFC 5545 (Internet Calendaring and Scheduling, 2009), read by its own words."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import pytest

from mentor_training.clearance.exports import lapses_as_calendar
from mentor_training.clearance.lapses import Cause, Lapse
from mentor_training.clearance.questions import LapseAhead
from mentor_training.program.catalog import Ladder, Level, Program, Station
from mentor_training.program.requirements import ALWAYS

MADE = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)
PROGRAM = Program("P", ALWAYS, stations={"lane": Station("lane", "Łęcka's lane; wet, \\ or dry", Ladder((ALWAYS,)))})
ADDRESS = "https://mentors.marrowdale.example"
# Section 3.1: a content line is a name, parameters, a colon and a value without control characters.
CONTENT_LINE = re.compile(r"[A-Z0-9-]+(;[A-Z0-9-]+=[^\x00-\x08\x0a-\x1f\x7f\":;,]+)*:[^\x00-\x08\x0a-\x1f\x7f]*")


def lapse(day: date) -> LapseAhead:
    """Return a lapse with a long reason."""
    causes = tuple(Cause("ends", f"paper/a-long-name-of-a-paper-{place}", f"r-{place:04}") for place in range(6))
    return LapseAhead(Lapse("v-001", "lane", None, day, Level.LEAD, Level.NOT_YET, causes), None)


@pytest.fixture
def text() -> str:
    """Give a calendar of two lapses on neighboring days."""
    return lapses_as_calendar([lapse(date(2026, 10, 31)), lapse(date(2026, 11, 1))], "Ö & Co", ADDRESS, PROGRAM, MADE)


def unfolded(text: str) -> list[str]:
    """Undo the folding of section 3.1: a line break and the one blank after it are taken out."""
    return text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


def test_lines_end_with_carriage_return_and_line_feed_and_hold_seventy_five_octets_at_most(text: str) -> None:
    """Section 3.1, the line break not counted."""
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert max(len(line.encode("utf-8")) for line in text.split("\r\n")) <= 75


def test_every_content_line_keeps_to_the_grammar(text: str) -> None:
    """Section 3.1; the values' commas, semicolons and backslashes are escaped as section 3.3.11 asks."""
    assert [line for line in unfolded(text) if not CONTENT_LINE.fullmatch(line)] == []
    summary = next(line for line in unfolded(text) if line.startswith("SUMMARY:"))
    assert summary == "SUMMARY:v-001 at Łęcka's lane\\; wet\\, \\\\ or dry: from lead to not yet"


def test_the_calendar_has_what_it_must_have_once(text: str) -> None:
    """Section 3.6: PRODID and VERSION are required and stand once; the version is 2.0 (section 3.7.4)."""
    lines = unfolded(text)
    assert (lines[0], lines[-1]) == ("BEGIN:VCALENDAR", "END:VCALENDAR")
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    assert lines.count("VERSION:2.0") == 1


def test_each_event_is_an_all_day_event_on_its_day(text: str) -> None:
    """Section 3.6.1: UID and DTSTAMP are required; a DATE start with neither end nor duration lasts one day."""
    events = [part.split("END:VEVENT")[0] for part in "\n".join(unfolded(text)).split("BEGIN:VEVENT")[1:]]
    assert len(events) == 2
    for event, day in zip(events, (date(2026, 10, 31), date(2026, 11, 1)), strict=True):
        assert event.count("\nUID:") == 1
        assert "\nDTSTAMP:20261016T160000Z\n" in event
        assert f"\nDTSTART;VALUE=DATE:{day:%Y%m%d}\n" in event
        assert "\nDTEND" not in event
        assert "\nDURATION" not in event


def test_an_event_keeps_its_name_and_shares_it_with_no_other() -> None:
    """Section 3.8.4.7: globally unique and persistent; made an hour later it is still the same event."""
    days = [date(2026, 10, 1) + timedelta(days=place) for place in range(40)]

    def names(address: str, moment: datetime) -> list[str]:
        made = lapses_as_calendar([lapse(day) for day in days], "P", address, PROGRAM, moment)
        return [line for line in unfolded(made) if line.startswith("UID:")]

    first = names(ADDRESS, MADE)
    assert first == names(ADDRESS, MADE + timedelta(hours=1))
    assert len(set(first)) == 41
    assert set(first).isdisjoint(names("https://elsewhere.example", MADE))
