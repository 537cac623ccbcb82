"""Attendance that is put right after the day: append-only, with a reason, and never silently into stated hours."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time

import pytest
from sqlalchemy import select

from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import ATTENDED, PRACTICED, VOIDED
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.tables import HoursEntry
from mentor_training.journal.queries import entries, find_break
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.coming import check_in
from mentor_training.planning.actions.correcting import PUT_RIGHT, Times, correct_attendance
from mentor_training.planning.actions.rederiving import OF_A_PARTICIPANT
from mentor_training.planning.queries.coming import came_to, corrections_of
from mentor_training.planning.queries.plan import closing_of
from tests.builders import World
from tests.planning.saturday import COORDINATES, OBSERVES, SATURDAY, ZONE, at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
MONDAY = date(2026, 10, 19)
THERE: Times = (time(9, 35), time(11, 5))
WHY = "The phone was flat."


def correct(
    world: World, code: str, times: Times | None, kind: str = "volunteer", moment: datetime | None = None,
    by: Actor = COORDINATES, reason: str = WHY,
) -> None:  # fmt: skip
    world.clock.moment = moment or max(world.clock.moment, at("09:00", MONDAY))
    world.clock.forward(minutes=1)
    with world.writing() as db:
        correct_attendance(db, world.clock.now(), by, "s-11", kind, code, times, reason, ZONE)
    world.clock.forward(minutes=1)


def closed(world: World, *who: str) -> World:
    """Close the Saturday; of its volunteers these came."""
    put(world, 1, "balance-lane", "v-002", "p-01")
    world.clock.moment = at("09:35")
    with world.writing() as db:
        for code in who:
            kind = "participant" if code.startswith("p") else "volunteer"
            check_in(db, world.clock.now(), COORDINATES, "s-11", kind, code, ZONE)
    world.clock.moment = at("11:20")
    with world.writing() as db:
        close(db, world.clock.now(), COORDINATES, "s-11", ZONE)
    return world


def evidence(world: World, who: str) -> list[tuple[str, str]]:
    with world.reading() as db:
        facts = facts_of(db, who, world.clock.now())
        voided = effects(facts).voided
    kinds = (ATTENDED, PRACTICED)
    return sorted(
        (one.kind, one.item)
        for one in facts
        if one.kind in kinds and one.first_day == SATURDAY and one.code not in voided
    )


def hours(world: World, who: str) -> list[tuple[int, str]]:
    with world.reading() as db:
        rows = db.scalars(select(HoursEntry).where(HoursEntry.person == who))
        return [(row.minutes, row.flag) for row in rows]


def test_a_missed_check_in_is_put_right_and_counts_when_the_session_is_closed_later(floor: World) -> None:
    """The session is open still: closing takes what is known then."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    correct(floor, "p-01", THERE, "participant")
    correct(floor, "v-002", THERE)
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]
    assert hours(floor, "v-002") == [(90, "")]


def test_after_the_closing_attendance_practice_and_hours_to_be_approved_follow(floor: World) -> None:
    """The frozen floor stays as it was; the hours entry says where it comes from, and waits."""
    closed(floor, "p-01")
    assert evidence(floor, "v-002") == []
    correct(floor, "v-002", THERE)
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]
    assert hours(floor, "v-002") == [(90, PUT_RIGHT)]
    with floor.reading() as db:
        closing = closing_of(db, "s-11")
        assert closing is not None
        assert "v-002" in closing.floor["absent"]
        assert ("volunteer", "v-002") in came_to(db, "s-11")
        assert find_break(db) is None
        (entry,) = entries(db, kind="attendance-corrected")
    assert WHY not in entry.record


def test_who_was_checked_in_by_mistake_has_not_attended_and_their_hours_stay_to_be_looked_at(floor: World) -> None:
    """Evidence is voided by another record; the hours entry is not touched. Back again, it is all there once."""
    closed(floor, "v-002", "p-01")
    before = hours(floor, "v-002")
    correct(floor, "v-002", None)
    assert evidence(floor, "v-002") == []
    assert hours(floor, "v-002") == before
    correct(floor, "v-002", THERE)
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]
    assert hours(floor, "v-002") == before
    with floor.reading() as db:
        assert len(corrections_of(db, "s-11")) == 2


def test_other_times_change_what_is_known_and_no_hours(floor: World) -> None:
    """Came after block 1 was over: then nothing was practiced in it."""
    closed(floor, "v-002", "p-01")
    before = hours(floor, "v-002")
    correct(floor, "v-002", (time(10, 3), time(11, 5)))
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11")]
    assert hours(floor, "v-002") == before


def test_a_participants_attendance_put_right_is_the_practice_of_who_was_placed_with_them(floor: World) -> None:
    """Voided by a record that tells nothing of the participant, and recorded anew when they were there after all.

    Attendance and hours of the mentor are their own, and stay.
    """
    closed(floor, "v-002", "p-01")
    before = hours(floor, "v-002")
    correct(floor, "p-01", None, "participant", reason="Name01 was unwell.")
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11")]
    with floor.reading() as db:
        (voiding,) = (one for one in facts_of(db, "v-002", floor.clock.now()) if one.kind == VOIDED)
    assert voiding.note == OF_A_PARTICIPANT
    correct(floor, "p-01", THERE, "participant")
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]
    assert hours(floor, "v-002") == before


def test_the_mentor_who_was_there_alone_has_practiced_once_the_participants_coming_is_put_right(floor: World) -> None:
    """Missed at the door, and said on Monday; a participant whom nobody was placed with changes nobody's record."""
    closed(floor, "v-002")
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11")]
    correct(floor, "p-02", THERE, "participant")
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11")]
    correct(floor, "p-01", THERE, "participant")
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]


def test_practice_that_this_session_did_not_show_is_left_alone(floor: World) -> None:
    """That of another session on the same day, or of a register that came in."""
    with floor.writing() as db:
        record(db, floor.clock.now(), "console", "v-002", PRACTICED, "skill/guarding", SATURDAY)
    floor.clock.forward(minutes=1)
    closed(floor, "v-002", "p-01")
    correct(floor, "v-002", None)
    assert evidence(floor, "v-002") == [(PRACTICED, "skill/guarding")]
    correct(floor, "v-002", (time(10, 3), time(11, 5)))
    assert evidence(floor, "v-002") == [(ATTENDED, "s-11"), (PRACTICED, "skill/guarding")]


@pytest.mark.parametrize(
    ("code", "times", "moment", "by", "reason", "words"),
    [
        ("v-099", THERE, at("09:00", MONDAY), COORDINATES, WHY, "was not expected"),
        ("v-002", THERE, at("10:00"), COORDINATES, WHY, "Until 11:15 the list at the door"),
        ("v-002", THERE, at("09:00", MONDAY), COORDINATES, "  ", "Write the reason"),
        ("v-002", THERE, at("09:00", MONDAY), OBSERVES, WHY, "Only the coordinator"),
        ("v-002", (time(11), time(10)), at("09:00", MONDAY), COORDINATES, WHY, "left before they came"),
        ("v-002", None, at("09:00", MONDAY), COORDINATES, WHY, "what stands already"),
    ],
)
def test_a_correction_that_makes_no_sense_is_refused_with_the_reason(
    floor: World, code: str, times: Times | None, moment: datetime, by: Actor, reason: str, words: str
) -> None:
    """And nothing is stored."""
    with pytest.raises(Refused) as no:
        correct(floor, code, times, moment=moment, by=by, reason=reason)
    assert words in " ".join(no.value.reasons)
    with floor.reading() as db:
        assert corrections_of(db, "s-11") == []


def test_the_page_puts_it_right_with_a_reason_and_shows_it_beside_what_was_noted(floor: World, visitor: Sign) -> None:
    """Only the coordinator's; a form that says nothing comes back with what is wrong."""
    closed(floor, "p-01")
    floor.clock.moment = at("09:00", MONDAY)
    coordinator, page = visitor("c-01"), "/sessions/s-11/attendance"
    assert "did not come" in coordinator.get(page).text
    assert coordinator.send(page, page, who="volunteer|v-002", reason=WHY).status_code == 422
    assert coordinator.send(page, page, who="volunteer|v-002", came="09:35", left="11:05").status_code == 422
    answer = coordinator.send(page, page, who="volunteer|v-002", came="09:35", left="11:05", reason=WHY)
    assert answer.status_code == 303
    shown = coordinator.get(page).text
    assert "there 09:35 to 11:05" in shown
    assert WHY in shown
    again = coordinator.send(page, page, who="volunteer|v-002", came="09:35", left="11:05", reason=WHY)
    assert again.status_code == 422
    assert "This is what stands already." in again.text
    assert visitor("o-01").get(page).status_code == 403


def test_nobody_is_said_not_to_have_come_before_the_session_is_over(floor: World, visitor: Sign) -> None:
    """Before and while it runs they are not here yet."""
    coordinator, page = visitor("c-01"), "/sessions/s-11/attendance"
    for clock in ("08:45", "10:00"):
        floor.clock.moment = at(clock)
        shown = coordinator.get(page).text
        assert "not here yet" in shown
        assert "did not come" not in shown
    floor.clock.moment = at("09:00", MONDAY)
    assert "did not come" in coordinator.get(page).text
