"""Hours through HTTP: a volunteer's log, a section's approvals, statements."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.evidence.actions import record
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import approve, enter_module
from mentor_training.hours.queries import entries_of, statements_of
from tests.builders import NOON, World
from tests.hours.term import INSTRUCTOR, add_people, approved, serve, stated
from tests.sign_in import Visitor, flat

SECTION = "/hours/sections/KIN-372-A"
Visit = Callable[[str], Visitor]


@pytest.fixture
def term(world: World) -> World:
    return add_people(world)


def ticked(page: str) -> list[str]:
    boxes = re.findall(r'<input type="checkbox" class="tick" name="entry" value="(\d+)"[^>]*?( checked)?>', page)
    return [value for value, checked in boxes if checked]


def test_a_volunteer_sees_the_own_log_and_how_its_sums_come_about(term: World, visitor: Visit) -> None:
    """599 of 600 minutes are 9.98 h, one minute is missing; another's entries are not there."""
    approved(term, "v-001", *[60] * 9, 59)
    serve(term, "v-001", 30)
    serve(term, "v-002", 77)
    page = flat(visitor("v-001").get("/hours").text)
    assert "9.98 h of 10.00 h direct approved" in page
    assert "599 min approved / 60 = 9.98 h, stated as 10.00 h; 600 min &minus; 599 min = 1 min missing" in page
    assert "1 entry waits for approval" in page
    assert "77" not in page
    assert "09:30 to 10:00" in page


def test_the_own_log_leaves_as_csv(term: World, visitor: Visit) -> None:
    """The same table, one click away, with clock times of the place."""
    serve(term, "v-001", 97)
    answer = visitor("v-001").get("/hours/log.csv")
    assert answer.content_type == "text/csv; charset=utf-8"
    assert '"2026-10-13T09:30-04:00","2026-10-13T11:07-04:00",97,1.62,"waits"' in answer.text


def test_training_is_logged_in_the_transaction_of_the_volunteers_own_act(term: World, visitor: Visit) -> None:
    """Whoever completes a module finds its fixed minutes in the log, once, waiting for approval."""
    me = visitor("v-001")
    with term.writing() as db:
        record(db, NOON, "v-001", "v-001", "completed", "module/safety@1", date(2026, 10, 16))
    for starts in ("08:00", "10:00"):
        typed = {"category": "preparation", "day": "2026-10-13", "starts": starts, "ends": "11:00", "reason": "Set-up"}
        me.send("/hours/by-hand", "/hours/by-hand", **typed)
    with term.reading() as db:
        training = [one for one in entries_of(db, ("v-001",)) if one.category == "training"]
    assert [(one.minutes, one.about, one.approved_by) for one in training] == [(20, "module/safety@1", "")]
    assert "Safety" in me.get("/hours").text


def test_the_instructor_approves_what_is_ticked_and_flagged_entries_are_not_ticked(term: World, visitor: Visit) -> None:
    """Flagged ones and those over the cap of 240 minutes a day come first and need a hand of their own."""
    plain = serve(term, "v-001", 97)
    forgotten = serve(term, "v-002", 105, flag="The check-out was forgotten.")
    over = serve(term, "v-001", 200, starts="18:00")
    teacher = visitor("i-01")
    page = teacher.get(SECTION).text
    assert "3 entries wait for approval, 2 of them unusual" in flat(page)
    assert ticked(page) == [str(plain)]
    assert "57 min over a cap; not counted until approved" in flat(page)
    assert [int(value) for value in re.findall(r'name="entry" value="(\d+)"', page)] == [over, forgotten, plain]
    assert teacher.fill(page, SECTION + "/approve").status_code == 303
    with term.reading() as db:
        assert [fact.note for fact in facts_of(db, "v-001", NOON)] == ["97"]
    assert teacher.send(SECTION, SECTION + "/approve", entry=[str(over), str(forgotten)]).status_code == 303
    assert "Nothing waits for approval" in teacher.get(SECTION).text


def test_the_same_approval_sent_twice_counts_once(term: World, visitor: Visit) -> None:
    """A page gone stale leads to where it led before."""
    serve(term, "v-001", 97)
    teacher = visitor("i-01")
    page = teacher.get(SECTION).text
    for _ in range(2):
        assert teacher.fill(page, SECTION + "/approve").status_code == 303
    with term.reading() as db:
        assert len(facts_of(db, "v-001", NOON)) == 1


def test_approving_nothing_is_said_and_the_page_stays(term: World, visitor: Visit) -> None:
    """With no entry ticked the page says so."""
    serve(term, "v-001", 97, flag="Look.")
    answer = visitor("i-01").send(SECTION, SECTION + "/approve")
    assert answer.status_code == 422
    assert "Nothing was picked" in answer.text


def test_an_entry_is_corrected_with_a_reason_and_stays_as_it_was(term: World, visitor: Visit) -> None:
    """The correction stands beside it on the section's page and in the volunteer's log."""
    number = serve(term, "v-001", 97)
    teacher, address = visitor("i-01"), f"/hours/entries/{number}/adjust"
    empty = teacher.send(address, address, difference="many")
    assert empty.status_code == 422
    assert "Write the reason" in empty.text
    below = teacher.send(address, address, difference="-98", reason="Left early.")
    assert "with -98 it would be -1" in below.text
    assert teacher.send(address, address, difference="-20", reason="Left early.").status_code == 303
    assert "= 77" in flat(teacher.get(SECTION).text)
    assert "Left early." in visitor("v-001").get("/hours").text


def test_sections_are_guarded_by_ones_own(term: World, visitor: Visit) -> None:
    """Another section's page, entries, approvals and statements answer 403, and change nothing."""
    mine, number = serve(term, "v-001", 97), serve(term, "v-020", 97)
    approved(term, "v-001", 60)
    statement = stated(term)
    other = visitor("i-02")
    for address in (
        SECTION,
        SECTION + "/sums.csv",
        SECTION + "/statement",
        SECTION + "/by-hand",
        "/hours/sections/none",
        f"/hours/entries/{mine}/adjust",
        f"/hours/statements/{statement}",
        f"/hours/statements/{statement}.csv",
        f"/hours/statements/{statement}.pdf",
    ):
        assert other.get(address).status_code == 403, address
    page = other.get("/hours/sections/KIN-372-B").text
    answer = other.fill(page, "/hours/sections/KIN-372-B/approve", entry=[str(number), str(mine)])
    assert answer.status_code == 422
    assert "confirmed by the instructor of KIN-372-A" in answer.text
    with term.reading() as db:
        assert facts_of(db, "v-020", NOON) == ()
    assert visitor("v-001").get(SECTION).status_code == 403


def test_the_coordinator_sees_all_and_approves_for_those_in_no_section(term: World, visitor: Visit) -> None:
    """For the others the section's instructor does; the page says so and has no button."""
    serve(term, "v-001", 97)
    serve(term, "v-040", 97)
    coordinator = visitor("c-01")
    assert "2 entries wait for approval" in coordinator.get("/hours/sections").text
    page = coordinator.get(SECTION).text
    assert "The instructor of KIN-372-A approves and corrects these" in page
    assert 'name="entry"' not in page
    assert coordinator.send("/hours/sections/none", "/hours/sections/none/approve").status_code == 303
    with term.reading() as db:
        assert [fact.note for fact in facts_of(db, "v-040", NOON)] == ["97"]


def test_an_instructor_of_one_section_is_led_straight_to_it(term: World, visitor: Visit) -> None:
    """One question, one page."""
    assert visitor("i-01").get("/hours/sections").location == SECTION


def test_hours_of_orientation_are_entered_for_a_volunteer_of_the_section(term: World, visitor: Visit) -> None:
    """Only those of the section are offered."""
    teacher, address = visitor("i-01"), SECTION + "/by-hand"
    assert "Maren Oduvane" not in teacher.get(address).text
    typed = {"category": "orientation", "day": "2026-09-05", "starts": "09:00", "ends": "11:30", "reason": "Lab"}
    assert teacher.send(address, address, person="v-020", **typed).status_code == 422
    assert teacher.send(address, address, person="v-002", **typed).status_code == 303
    with term.reading() as db:
        assert [(one.category, one.minutes) for one in entries_of(db, ("v-002",))] == [("orientation", 150)]


def test_a_statement_is_shown_before_it_is_made_and_taken_away_as_it_was_frozen(term: World, visitor: Visit) -> None:
    """What waits is said; the CSV is the same bytes each time and has the hash that the page names."""
    approved(term, "v-001", *[97] * 12)
    serve(term, "v-002", 60)
    teacher = visitor("i-01")
    page = teacher.get(SECTION + "/statement?through=2026-10-16").text
    assert "1 entry through that day waits for approval and will not be on it" in page
    assert "19.50" in page
    with term.reading() as db:
        assert statements_of(db, ["KIN-372-A"]) == []
    made = teacher.fill(page, SECTION + "/statement")
    assert made.location == "/hours/statements/ST-2026-0001"
    first, again = (teacher.get("/hours/statements/ST-2026-0001.csv").data for _ in range(2))
    assert first == again
    assert hashlib.sha256(first).hexdigest() in teacher.get("/hours/statements/ST-2026-0001").text
    paper = teacher.get("/hours/statements/ST-2026-0001.pdf")
    assert paper.content_type == "application/pdf"
    assert paper.data.startswith(b"%PDF-")
    assert "ST-2026-0001" in teacher.get(SECTION).text
    assert "on ST-2026-0001" in visitor("v-001").get("/hours").text


def test_a_program_without_sections_leads_to_the_volunteers_in_none(term: World, visitor: Visit) -> None:
    """Before the first edition there are none: the one list that is there is shown at once."""
    led = visitor("c-01").get("/hours/sections?on=2020-01-01")
    assert led.location.startswith("/hours/sections/none")
    assert "Quill Harrowmere" in visitor("c-01").get(led.location).text


def test_a_statement_calls_people_and_modules_by_their_names(term: World, visitor: Visit) -> None:
    """As the log does, whoever reads it; the frozen files carry the codes."""
    with term.writing() as db:
        entry = enter_module(db, NOON, "v-001", "v-001", "safety", 1, 20, date(2026, 9, 5))
        approve(db, NOON, INSTRUCTOR, [entry.id])
    page = flat(visitor("c-01").get(f"/hours/statements/{stated(term)}").text)
    assert "by Hadrian Mossop" in page
    assert "Odalys Brannagh v-001Sat 5 Sep 2026Safetytraining20Hadrian Mossop" in page
    assert "module/safety" not in page


def test_a_statement_of_nothing_or_of_days_ahead_is_not_made(term: World, visitor: Visit) -> None:
    """There is no button to press, and a day ahead is put right beside the field."""
    teacher = visitor("i-01")
    assert "There is nothing to state" in teacher.get(SECTION + "/statement").text
    ahead = teacher.get(SECTION + "/statement?through=2026-10-17")
    assert (ahead.status_code, "still ahead" in ahead.text) == (422, True)
    assert teacher.get(SECTION + "/statement?through=then").status_code == 422


def test_a_section_is_shown_as_of_an_earlier_day(term: World, visitor: Visit) -> None:
    """Entries of later days are left out."""
    serve(term, "v-001", 97, date(2026, 10, 13))
    serve(term, "v-001", 60, date(2026, 9, 12))
    page = flat(visitor("i-01").get(SECTION + "?on=2026-10-01").text)
    assert "1 entry waits for approval" in page
    assert "Shown as of Thu 1 Oct 2026" in page


def test_the_sums_of_a_section_leave_as_csv(term: World, visitor: Visit) -> None:
    """One row for each volunteer and category."""
    approved(term, "v-001", 97)
    rows = visitor("i-01").get(SECTION + "/sums.csv").text.splitlines()
    assert '"v-001","Odalys Brannagh","KIN-372-A","direct",600,97,0,0,503,1.62' in rows


def test_a_name_on_a_page_of_hours_cannot_run(world: World, visitor: Visit) -> None:
    """What people typed is text."""
    add_people(world)
    serve(world, "v-001", 60, flag="<script>alert(1)</script>")
    assert "<script>alert" not in visitor("i-01").get(SECTION).text
