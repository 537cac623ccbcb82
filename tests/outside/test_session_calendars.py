"""Sessions as a calendar file against RFC 5545 (2009), and local times against the clock changes of five zones.

The changes are those of 15 U.S.C. 260a (second Sunday of March, first Sunday of November, 02:00) and of Directive
2000/84/EC (last Sundays of March and October, 01:00 UTC); the two texts from memory, the days as tzdata has them.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Calendar

from mentor_training.calendar.exports import Issuer, moment_of, sessions_as_calendar
from mentor_training.calendar.rules import FIRST_YEAR, LAST_YEAR, SessionFact, equal_blocks, time_of

ADDRESS = "https://mentors.marrowdale.example"
NEW_YORK = ZoneInfo("America/New_York")
ZONES = ("America/New_York", "Europe/Berlin", "America/Phoenix", "Pacific/Kiritimati", "UTC")
MINUTES = st.integers(0, 1439).map(time_of)
SPANS = st.tuples(MINUTES, MINUTES).filter(lambda span: span[0] < span[1])
CHANGED = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)
# Section 3.1: a content line is a name, parameters, a colon and a value without control characters.
CONTENT_LINE = re.compile(r"[A-Z0-9-]+(;[A-Z0-9-]+=[^\x00-\x08\x0a-\x1f\x7f\":;,]+)*:[^\x00-\x08\x0a-\x1f\x7f]*")


def session(code: str, day: date, starts: time = time(9, 30), ends: time = time(11, 15)) -> SessionFact:
    return SessionFact(
        code, "Week 6; Łęcka's hall, \\ or outside", day, starts, ends, equal_blocks(starts, ends, 4),
        ("balance-lane",), ("p-07",), ("v-014",), ("o-02",),
    )  # fmt: skip


def made(*sessions: SessionFact, zone: ZoneInfo = NEW_YORK, changed: datetime = CHANGED) -> str:
    """Return the calendar of some sessions."""
    issuer = Issuer("Ö & Co", ADDRESS, zone, "North Hall, Marrowdale")
    return sessions_as_calendar(sessions, issuer, "sessions", "sessions/{}", {one.code: changed for one in sessions})


def unfolded(text: str) -> list[str]:
    """Undo the folding of section 3.1: a line break and the one blank after it are taken out."""
    return text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


SATURDAYS = (session("s-12", date(2026, 10, 31)), session("s-13", date(2026, 11, 7)))


def test_lines_keep_to_the_grammar_and_to_seventy_five_octets() -> None:
    """Section 3.1; CR LF ends each line, and commas, semicolons and backslashes are escaped (section 3.3.11)."""
    text = made(*SATURDAYS)
    assert "\n" not in text.replace("\r\n", "")
    assert max(len(line.encode("utf-8")) for line in text.split("\r\n")) <= 75
    assert [line for line in unfolded(text) if not CONTENT_LINE.fullmatch(line)] == []
    assert "SUMMARY:Week 6\\; Łęcka's hall\\, \\\\ or outside" in unfolded(text)
    assert "LOCATION:North Hall\\, Marrowdale" in unfolded(text)


@given(st.text(), st.sampled_from(ZONES), st.dates(date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)), SPANS)
@example("Night", "America/New_York", date(2026, 3, 8), (time(2, 50), time(3, 10)))
def test_whatever_a_title_holds_and_whenever_it_is_the_file_keeps_to_the_grammar(
    title: str, zone: str, day: date, span: tuple[time, time]
) -> None:
    """Section 3.1: no control character in a line; no day breaks the file, and no end stands before its start."""
    text = made(replace(session("s-1", day, *span), title=title), zone=ZoneInfo(zone))
    assert [line for line in unfolded(text) if not CONTENT_LINE.fullmatch(line)] == []
    (event,) = Calendar.from_ical(text).events
    assert event["SUMMARY"] == "".join(one for one in title if one.isprintable())
    moments = re.findall(r"^DT(?:START|END):([0-9]{8}T[0-9]{6}Z)\r$", text, re.MULTILINE)
    assert len(moments) in (1, 2)
    assert moments == sorted(set(moments))


def test_the_calendar_and_each_event_have_what_they_must_have_once() -> None:
    """Section 3.6: PRODID and VERSION; section 3.6.1: UID and DTSTAMP, and an end after the start (3.8.2.2)."""
    lines = unfolded(made(*SATURDAYS))
    assert (lines[0], lines[-1], lines.count("VERSION:2.0")) == ("BEGIN:VCALENDAR", "END:VCALENDAR", 1)
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    # RFC 7986 section 5.7: this property has no default type, so that its type has to be said.
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT6H" in lines
    events = "\n".join(lines).split("BEGIN:VEVENT")[1:]
    assert len(events) == 2
    for event in events:
        assert [event.count(f"\n{name}") for name in ("UID:", "DTSTAMP:", "DTSTART:", "DTEND:")] == [1, 1, 1, 1]
        assert "\nDTSTAMP:20261016T160000Z\n" in event
        assert "\nCLASS:PRIVATE\n" in event


def test_half_past_nine_stays_half_past_nine_across_the_clock_change() -> None:
    """31 October is EDT and 7 November EST: 13:30 and 14:30 in UTC, which section 3.3.5 marks with a Z."""
    lines = unfolded(made(*SATURDAYS))
    assert [line for line in lines if line.startswith("DTSTART")] == [
        "DTSTART:20261031T133000Z",
        "DTSTART:20261107T143000Z",
    ]
    back = [event.start for event in Calendar.from_ical(made(*SATURDAYS)).events]
    assert [one.astimezone(NEW_YORK).time() for one in back if isinstance(one, datetime)] == [time(9, 30), time(9, 30)]


def test_an_event_keeps_its_name_when_the_session_is_moved() -> None:
    """Section 3.8.4.7: globally unique and persistent, however often the file is made."""
    before, after = (
        [line for line in unfolded(made(session("s-12", day))) if line.startswith("UID:")]
        for day in (date(2026, 10, 31), date(2026, 11, 1))
    )
    assert before == after
    assert len(set(before)) == 2


def test_nobody_is_named() -> None:
    """Not by name and not by code, neither a need nor a station."""
    assert re.search(r"p-07|v-014|o-02|balance", made(*SATURDAYS)) is None


@pytest.mark.parametrize(
    ("day", "at", "moment"),
    [
        (date(2007, 11, 4), time(1, 30), datetime(2007, 11, 4, 5, 30, tzinfo=UTC)),
        (date(2007, 3, 11), time(2, 30), datetime(2007, 3, 11, 7, 30, tzinfo=UTC)),
    ],
)
def test_a_time_that_is_twice_is_the_first_and_one_that_is_never_goes_by_the_offset_before(
    day: date, at: time, moment: datetime
) -> None:
    """Section 3.3.5, whose two examples these are: TZID=America/New_York:20071104T013000 and 20070311T023000."""
    assert moment_of(session("s-1", day, starts=at), NEW_YORK) == moment


CHANGES = {
    "America/New_York": ("2026-03-08T07:00", "2026-11-01T06:00"),
    "America/Los_Angeles": ("2026-03-08T10:00", "2026-11-01T09:00"),
    "Europe/Berlin": ("2026-03-29T01:00", "2026-10-25T01:00"),
    "Europe/London": ("2026-03-29T01:00", "2026-10-25T01:00"),
    "America/Phoenix": (),
}
NEXT_YEAR = {"America/New_York": ("2027-03-14", "2027-11-07"), "Europe/Berlin": ("2027-03-28", "2027-10-31")}


def changes(zone: ZoneInfo, year: int) -> list[date]:
    """Return the days of a year between whose noon and the noon before there are not 24 hours."""
    noons = [moment_of(session("s-1", date.fromordinal(day), starts=time(12)), zone) for day in _year(year)]
    return [two.date() for one, two in pairwise(noons) if (two - one).total_seconds() != 86400]


def _year(year: int) -> range:
    return range(date(year, 1, 1).toordinal(), date(year + 1, 1, 1).toordinal())


@pytest.mark.parametrize("name", CHANGES)
def test_sessions_follow_the_clock_changes_of_their_zone(name: str) -> None:
    """By day in 2026 and 2027, and to the minute: what begins at the change by the old clock begins at that moment."""
    zone = ZoneInfo(name)
    moments = [datetime.fromisoformat(moment).replace(tzinfo=UTC) for moment in CHANGES[name]]
    assert changes(zone, 2026) == [moment.date() for moment in moments]
    for moment in moments:
        before, at = (datetime.fromtimestamp(moment.timestamp() + shift, zone) for shift in (-60, 0))
        assert before.utcoffset() != at.utcoffset()
        last_minute = session("s-1", before.date(), starts=before.time())
        assert (moment - moment_of(last_minute, zone)).total_seconds() == 60
    if name in NEXT_YEAR:
        assert changes(zone, 2027) == [date.fromisoformat(day) for day in NEXT_YEAR[name]]
