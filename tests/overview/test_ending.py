"""Papers that end soon, their notices, and who falls out before the last session because of one, through HTTP."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from mentor_training.calendar.actions import store_session
from mentor_training.evidence.actions import record
from mentor_training.evidence.queries import facts_of
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.overview.test_my_path import words_of
from tests.planning.saturday import COORDINATES, SATURDAY, at, put, saturday, session
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
LAST = date(2026, 11, 28)
CHECK = "paper/background-check"


@pytest.fixture
def term(world: World) -> World:
    """Give the small Saturday with two more sessions after it, on the Friday before."""
    saturday(world)
    with world.writing() as db:
        store_session(db, world.clock.now(), COORDINATES, session("s-12", date(2026, 11, 7)))
        store_session(db, world.clock.now(), COORDINATES, session("s-13", LAST))
    world.clock.moment = at("12:00", FRIDAY)
    return world


def add_ending(world: World, code: str, last: date) -> None:
    """Add a volunteer who is on the floor until a paper ends."""
    world.add_person(code)
    world.hold(code, "module/safety")
    world.hold(code, CHECK, last_day=last)


def cells(visit: Visit, address: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(visit("c-01").get(address).text)))


def cut(world: World, code: str, last: date) -> None:
    """Let the paper of somebody of the Saturday end."""
    code_held, after = held(world, code), last + timedelta(days=1)
    with world.writing() as db:
        record(db, world.clock.now(), "c-01", code, "withdrawn", CHECK, after, refers_to=code_held)


def held(world: World, code: str) -> str:
    with world.reading() as db:
        return next(one.code for one in facts_of(db, code, world.clock.now()) if one.item == CHECK)


def renew(world: World, code: str, last_day: date | None = None) -> None:
    with world.writing() as db:
        by = actor_of(person_for(db, code))
        put_on_file(db, world.clock.now(), FRIDAY, by, code, "background-check", FRIDAY, last_day)


def test_what_ends_soon_is_a_page_and_a_table_for_a_spreadsheet(term: World, visitor: Visit) -> None:
    """With the notice that is due; as of an earlier day it was not soon yet."""
    add_ending(term, "v-007", date(2026, 11, 15))
    coordinator = visitor("c-01")
    assert "1 paper ends in the 90 days" in words_of(coordinator.get("/papers/ending").text)
    assert cells(visitor, "/papers/ending.csv") == [
        {"person": "v-007", "name": "Person v-007", "paper": "background-check", "ends": "2026-11-15", "notice": "30",
         "waiting": "0"}
    ]  # fmt: skip
    assert "Nothing ends in this time" in coordinator.get("/papers/ending?on=2026-08-01").text


def test_who_falls_out_before_the_last_session_is_named_with_what_is_hit(term: World, visitor: Visit) -> None:
    """Where the level falls, at which sessions they are expected then, and where they are placed already."""
    put(term, 1, "target-games", "v-006", "p-02")
    cut(term, "v-006", FRIDAY)
    row = cells(visitor, "/papers/falling-out.csv")[0]
    assert row == {
        "person": "v-006", "name": "Person v-006", "last_day": "2026-10-16", "papers": CHECK, "waiting": "",
        "stations": "balance-lane;target-games;arrival-desk", "first_session": "s-11", "sessions": "s-11;s-12;s-13",
        "placements": "s-11/1/target-games",
    }  # fmt: skip
    page = words_of(visitor("c-01").get("/papers/ending").text)
    assert "1 volunteer falls out of clearance somewhere before the last session, Sat 28 Nov 2026" in page
    assert "3, the first on Sat 17 Oct 2026; placed on Sat 17 Oct 2026: block 1, Target games" in page
    assert "To not yet: Balance lane, Target games, Arrival desk" in page


def test_only_falls_before_the_last_session_and_because_of_a_paper_are_counted(term: World, visitor: Visit) -> None:
    """What lasts through its day, and a stand-down, are other lists' business."""
    add_ending(term, "v-007", LAST)
    add_ending(term, "v-008", LAST - timedelta(days=1))
    with term.writing() as db:
        record(db, term.clock.now(), "c-01", "v-003", "stood-down", "", date(2026, 11, 1), note="As agreed.")
    assert [row["person"] for row in cells(visitor, "/papers/falling-out.csv")] == ["v-008"]


def test_a_session_that_lies_before_the_gap_or_after_it_is_not_hit(term: World, visitor: Visit) -> None:
    """The next paper begins before the last session: only the one in between is hit."""
    cut(term, "v-002", date(2026, 10, 20))
    term.hold("v-002", CHECK, first_day=date(2026, 11, 20))
    assert [row["sessions"] for row in cells(visitor, "/papers/falling-out.csv")] == ["s-12"]


def test_what_waits_and_ends_no_later_keeps_nobody_from_being_asked(term: World, visitor: Visit) -> None:
    """The same card sent once more is no renewal; one that ends a day later is."""
    for code, last in (("v-002", date(2026, 10, 20)), ("v-003", date(2026, 10, 21))):
        cut(term, code, date(2026, 10, 20))
        renew(term, code, last)
    waits = {row["person"]: row["waiting"] for row in cells(visitor, "/papers/falling-out.csv")}
    assert waits == {"v-002": "", "v-003": CHECK}


def test_today_says_who_falls_out_and_which_notices_are_due(term: World, visitor: Visit) -> None:
    """To the coordinator alone; a paper whose next one waits is not nagged about, and falls out all the same."""
    cut(term, "v-002", date(2026, 10, 20))
    cut(term, "v-003", date(2026, 10, 23))
    renew(term, "v-003")
    page = words_of(visitor("c-01").get("/today").text)
    assert "Papers that end before the last session, Sat 28 Nov 2026" in page
    assert "Tue 20 Oct 2026: Person v-002, Background check; 2 sessions hit, the first on Sat 7 Nov 2026." in page
    assert "Person v-003, Background check (the next one waits to be verified)" in page
    assert "Notices of the papers 1 ends within 7 days." in page
    assert "Papers that end before" not in visitor("o-01").get("/today").text


def test_the_volunteer_reads_before_which_of_their_sessions_it_ends(term: World, visitor: Visit) -> None:
    """On their path, with what to do; a renewal that waits changes the words."""
    cut(term, "v-002", SATURDAY + timedelta(days=12))
    page = words_of(visitor("v-002").get("/path").text)
    assert "In force through Thu 29 Oct 2026 . Ends in 13 days." in page.replace("2026.", "2026 .")
    assert "Ends before your session on Sat 7 Nov 2026" in page
    assert "put the next one on file before then." in page
    renew(term, "v-002")
    page = words_of(visitor("v-002").get("/path").text)
    assert "one waits to be verified. Ends in 13 days." in page
    assert "have the next one verified by then." in page


def test_without_a_later_session_nobody_falls_out(world: World, visitor: Visit) -> None:
    """The page says so and goes on with what ends."""
    saturday(world)
    page = words_of(visitor("c-01").get("/papers/ending?on=2026-10-17").text)
    assert "No later session is in the calendar." in page


@pytest.mark.parametrize("address", ["/papers/ending", "/papers/ending.csv", "/papers/falling-out.csv"])
def test_the_lists_are_the_coordinators(term: World, visitor: Visit, address: str) -> None:
    """Permissions hold on the page, not only in the menu."""
    assert visitor("v-001").get(address).status_code == 403
    assert visitor("o-01").get(address).status_code == 403
