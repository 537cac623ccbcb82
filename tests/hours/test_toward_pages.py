"""The student's page toward the requirement, the section's picture, and who will miss what."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from xml.etree import ElementTree as ET

import pytest

from mentor_training.calendar.actions import say, store_session, store_term
from mentor_training.calendar.rules import SessionFact, equal_blocks
from mentor_training.calendar.terms import TermFact
from mentor_training.hours.actions import enter_session
from mentor_training.hours.looking_ahead import NOBODY, NOT_COMING, NOT_THERE, View, section_ahead
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, NOON, World
from tests.hours.term import add_people, approved
from tests.sign_in import Visitor, flat

SECTION = "/hours/sections/KIN-372-A"
Visit = Callable[[str], Visitor]


@pytest.fixture
def term(world: World) -> World:
    """Give a term with a session that v-002 missed, one that nobody's hours are of, and two to come."""
    add_people(world)
    with world.writing() as db:
        store_term(db, NOON, CONSOLE, TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 11)))
        for code, day, volunteers in (
            ("s-01", date(2026, 10, 3), ("v-001", "v-002")),
            ("s-02", date(2026, 10, 10), ("v-001",)),
            ("s-03", date(2026, 10, 17), ("v-001", "v-002")),
            ("s-04", date(2026, 10, 24), ("v-001",)),
        ):
            store_session(db, NOON, CONSOLE, session(code, day, volunteers))
        came = datetime(2026, 10, 3, 13, 30, tzinfo=UTC)
        enter_session(db, NOON, "o-01", "v-001", "s-01", came.date(), came, came.replace(hour=15, minute=0))
    return world


def session(code: str, day: date, volunteers: tuple[str, ...]) -> SessionFact:
    blocks = equal_blocks(time(9, 30), time(11, 0), 3)
    return SessionFact(code, f"Morning {code}", day, time(9, 30), time(11), blocks, (), (), volunteers, ())


def seen(world: World) -> View:
    with world.reading() as db:
        return section_ahead(db, "KIN-372-A", FRIDAY, NOON, world.instance.settings.zone)


def test_what_was_missed_what_comes_and_where_it_is_made_up_is_known_of_each(term: World) -> None:
    """Whose hours are entered was there; of a session without anybody's hours it is said that nobody knows."""
    one, two = seen(term).standings
    assert [(slot.session.code, slot.why) for slot in one.missed] == [("s-02", NOBODY)]
    assert [(slot.session.code, slot.minutes) for slot in one.coming] == [("s-03", 90), ("s-04", 90)]
    assert [(slot.session.code, slot.why) for slot in two.missed] == [("s-01", NOT_THERE)]
    assert [slot.session.code for slot in two.made_up] == ["s-04"]
    assert (one.ahead[1].category, one.ahead[1].done, one.ahead[1].planned) == ("direct", 90, 180)


def test_planned_sessions_bring_no_more_than_the_caps_leave(term: World, visitor: Visit) -> None:
    """The small course counts 240 minutes a day: a session of six hours brings four, and the page says so."""
    blocks = equal_blocks(time(9), time(15), 3)
    long = SessionFact("s-05", "Long day", date(2026, 10, 31), time(9), time(15), blocks, (), (), ("v-001",), ())
    evening = SessionFact(
        "s-06", "Evening", long.day, time(16), time(17), equal_blocks(time(16), time(17), 1), (), (), (), ()
    )
    with term.writing() as db:
        store_session(db, NOON, CONSOLE, long)
        store_session(db, NOON, CONSOLE, evening)
    one = seen(term).standings[0]
    assert [(slot.session.code, slot.minutes, slot.counted) for slot in one.coming][-1] == ("s-05", 360, 240)
    assert [(slot.session.code, slot.counted) for slot in one.made_up] == [("s-06", 0)]
    assert one.ahead[1].planned == 90 + 90 + 240
    page = flat(visitor("v-001").get("/hours/toward").text)
    assert "6.00 hcounts 4.00 h, the rest is over a cap" in page
    assert "1.00 hcounts nothing, the rest is over a cap" in page
    assert "less what would be over a cap (at most 4.00 h a day)" in page


def test_who_said_that_they_cannot_come_has_nothing_planned_and_is_offered_nothing_then(term: World) -> None:
    """Availability counts for the plan and for making up; a part of a session counts as that part."""
    with term.writing() as db:
        say(db, NOON, CONSOLE, "person", "v-002", "session", "s-03", "cannot")
        say(db, NOON, CONSOLE, "person", "v-002", "session", "s-04", "blocks 1;2")
    two = seen(term).standings[1]
    assert [(slot.session.code, slot.why) for slot in two.missed] == [("s-01", NOT_THERE), ("s-03", NOT_COMING)]
    assert [(slot.session.code, slot.minutes) for slot in two.made_up] == [("s-04", 60)]


def test_the_students_page_says_done_approved_planned_needed_and_by_when(term: World, visitor: Visit) -> None:
    """For the student and for the instructor of the section, and for nobody else."""
    approved(term, "v-001", *[60] * 9, 59)
    page = flat(visitor("v-001").get("/hours/toward").text)
    assert "0.02 h direct" in page
    assert "1 min" in page
    assert "by what is planned, Sat 17 Oct 2026" in page or "when it is approved" in page
    assert "never" not in page
    assert visitor("i-01").get(f"{SECTION}/volunteers/v-001").status_code == 200
    assert visitor("i-01").get(f"{SECTION}/volunteers/v-020").status_code == 404
    assert visitor("i-02").get(f"{SECTION}/volunteers/v-001").status_code == 403
    assert visitor("v-002").get(f"{SECTION}/volunteers/v-001").status_code == 403
    assert visitor("v-040").get("/hours/toward").status_code == 200


def test_the_sections_page_lists_who_will_miss_what_beside_picture_and_table(term: World, visitor: Visit) -> None:
    """The picture has a title and a description, and the page its table."""
    me = visitor("i-01")
    page = me.get(f"{SECTION}/toward").text
    assert "Who will miss what" in page
    assert re.search(
        r"Teodor Łęcki</a> <span class=\"code\">v-002</span>: training by 1\.00 h, direct by 8\.50 h", page
    )
    assert "Week by week" in page
    drawn = me.get(f"{SECTION}/toward.svg?night=1&phone=1")
    root = ET.fromstring(drawn.data)  # noqa: S314 - our own picture
    assert drawn.content_type == "image/svg+xml"
    told = [one.text or "" for one in root if one.tag.endswith(("title", "desc"))]
    assert told[0] == "Approved hours toward the requirement, week by week"
    assert "Of 11.00 h that KIN-372 requires" in told[1]
    assert " style=" not in drawn.text
    assert visitor("i-02").get(f"{SECTION}/toward.svg").status_code == 403


def test_the_same_table_leaves_as_csv(term: World, visitor: Visit) -> None:
    """In minutes, with the days of plan and pace."""
    rows = list(csv.DictReader(io.StringIO(visitor("i-01").get(f"{SECTION}/toward.csv").text)))
    assert [(row["volunteer"], row["category"], row["still_needed_minutes"]) for row in rows][1] == (
        "v-001", "direct", "600",
    )  # fmt: skip
    assert rows[1]["short_minutes"] == "330"


def test_volunteers_of_no_section_have_a_page_without_a_requirement(term: World, visitor: Visit) -> None:
    """The coordinator sees that nothing is required of them."""
    page = visitor("c-01").get("/hours/sections/none/toward")
    assert page.status_code == 200
    assert "Nothing is required of anybody here" in page.text
