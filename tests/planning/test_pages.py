"""Sessions, their floor and the day itself, through HTTP."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from werkzeug.test import TestResponse

from mentor_training.calendar.actions import store_session
from mentor_training.journal.queries import entries
from mentor_training.participants.actions import write_card
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import closing_of, standing_in
from tests.builders import World
from tests.planning.saturday import COORDINATES, at, put, saturday, session
from tests.sign_in import Visitor, forms_of

Sign = Callable[[str], Visitor]
PLACE = "/sessions/s-11/blocks/1/place"


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    return visitor("c-01")


def place(who: Visitor, choice: str, participant: str = "p-01", role: str = "") -> TestResponse:
    page = f"{PLACE}?participant={participant}&role={role}"
    return who.send(page, PLACE, who=choice)


def placed(world: World) -> list[tuple[int, str, str, str | None]]:
    with world.reading() as db:
        rows = [one.placed for one in standing_in(db, "s-11")]
    return [(one.block, one.station, one.mentor, one.participant) for one in rows]


def test_a_mentor_is_placed_from_the_list_of_those_who_are_cleared(floor: World, coordinator: Visitor) -> None:
    """The list names the level's word and leaves out who is not cleared; the block then shows the pair."""
    page = coordinator.get(f"{PLACE}?participant=p-01").text
    assert "Person v-002, Independent, Balance lane" in page
    assert "balance-lane|v-003" not in page
    assert "v-004" not in page.partition("Not cleared, but near")[0].partition("<select")[2]
    assert place(coordinator, "balance-lane|v-002").status_code == 303
    assert placed(floor) == [(1, "balance-lane", "v-002", "p-01")]
    shown = coordinator.get("/sessions/s-11").text
    assert "Name01" in shown
    assert "1 of 6 participant-blocks" in shown


def test_stations_where_somebody_can_be_placed_now_stand_first(floor: World, coordinator: Visitor) -> None:
    """With no lead at the balance lane its supervised volunteers wait, and say so; at target games they can begin."""
    put(floor, 1, "target-games", "v-001", "p-01")
    put(floor, 1, "arrival-desk", "v-002", role="duty")
    page = coordinator.get(f"{PLACE}?participant=p-02").text
    assert "Person v-003, Supervised, Balance lane (not now:" in page
    assert page.index('value="target-games|v-003"') < page.index('value="balance-lane|v-003"')


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        ("balance-lane|v-003", ["not cleared for Balance lane with Name01", "Guarding a balance task"]),
        ("balance-lane|v-004", ["not cleared for Balance lane with Name01", "Background check", "Safety"]),
        ("closed|v-002", ["closed is not open in session s-11"]),
        ("", ["Choose a volunteer."]),
    ],
)
def test_an_assignment_past_the_gate_is_refused_with_the_reasons_and_nothing_is_stored(
    floor: World, coordinator: Visitor, choice: str, words: list[str]
) -> None:
    """A form filled by hand, past the list: the gate is asked where it is stored."""
    answer = place(coordinator, choice)
    assert answer.status_code == 422
    assert [word for word in words if word not in answer.text] == []
    assert placed(floor) == []
    with floor.reading() as db:
        assert entries(db, kind="placed") == []


def test_a_stale_page_sent_twice_counts_once(floor: World, coordinator: Visitor) -> None:
    """The very same page again leads to where it led; the journal holds one placement."""
    page = coordinator.get(f"{PLACE}?participant=p-01").text
    for _ in range(2):
        assert coordinator.fill(page, PLACE, who="balance-lane|v-002").status_code == 303
    with floor.reading() as db:
        assert len(entries(db, kind="placed")) == 1


def test_a_page_that_others_have_overtaken_is_refused_with_where_the_mentor_is(
    floor: World, coordinator: Visitor
) -> None:
    """Opened before somebody else placed the same mentor elsewhere in that block."""
    page = coordinator.get(f"{PLACE}?participant=p-01").text
    put(floor, 1, "target-games", "v-002", "p-02")
    answer = coordinator.fill(page, PLACE, who="balance-lane|v-002")
    assert answer.status_code == 422
    assert "Person v-002 is at Target games with Name02 in this block already." in answer.text
    assert len(placed(floor)) == 1


def test_a_lead_is_placed_and_taken_out_when_nobody_depends_on_them(floor: World, coordinator: Visitor) -> None:
    """While a supervised mentor works there, the button answers with the reason."""
    assert place(coordinator, "balance-lane|v-001", "", "lead").status_code == 303
    assert place(coordinator, "balance-lane|v-003", "p-02").status_code == 303
    block = coordinator.get("/sessions/s-11/blocks/1").text
    lead, pair = sorted(
        (form[0] for form in forms_of(block) if "/remove/" in form[0]), key=lambda one: int(one.rpartition("/")[2])
    )
    refused = coordinator.fill(block, lead)
    assert refused.status_code == 422
    assert "Person v-003 works there supervised" in refused.text
    block = coordinator.get("/sessions/s-11/blocks/1").text
    assert coordinator.fill(block, pair).status_code == 303
    assert coordinator.send("/sessions/s-11/blocks/1", lead).status_code == 303
    assert placed(floor) == []


def test_a_duty_is_filled_without_a_participant(floor: World, coordinator: Visitor) -> None:
    """By the same page."""
    assert place(coordinator, "arrival-desk|v-005", "", "duty").status_code == 303
    assert placed(floor) == [(1, "arrival-desk", "v-005", None)]
    assert "Arrival desk" in coordinator.get("/sessions/s-11/blocks/1").text


def test_a_gap_names_the_nearest_and_hands_the_card_over(floor: World, coordinator: Visitor) -> None:
    """After a new card nobody is cleared for the card alone; handed over, the volunteer reads it on their own page."""
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        now = floor.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
    floor.clock.forward(minutes=1)
    page = coordinator.get("/sessions/s-11").text
    assert "Nobody expected is cleared for Name01." in page
    assert coordinator.send("/sessions/s-11", "/sessions/s-11/hand/p-01/v-002").status_code == 303
    assert "have the card and have not read it yet" in coordinator.get("/sessions/s-11").text


def test_a_volunteer_reads_the_card_and_sees_where_with_whom_and_what_to_mind(
    floor: World, visitor: Sign, coordinator: Visitor
) -> None:
    """First name, card and the cautions that apply there; no code of needs; who is not paired is shown nothing."""
    put(floor, 1, "balance-lane", "v-001")
    put(floor, 1, "balance-lane", "v-002", "p-01")
    floor.clock.forward(minutes=1)
    with floor.writing() as db:
        now = floor.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
    floor.clock.forward(minutes=1)
    mentor, other = visitor("v-002"), visitor("v-005")
    page = mentor.get("/pairing").text
    for word in ("Name01", "Balance lane", "Lead: Person v-001", "Stay within arm&#39;s reach.", "Keep the lane dry."):
        assert word in page
    assert "You are not cleared for this now" in page
    assert "fall-risk" not in page
    assert "Stand on his left." not in page
    card = "/pairing/cards/p-01/2"
    assert "Stand on his left." in mentor.get(card).text
    assert mentor.send(card, card).status_code == 303
    floor.clock.forward(minutes=1)
    page = mentor.get("/pairing").text
    assert "Stand on his left." in page
    assert "You are not cleared" not in page
    assert "Name01" not in other.get("/pairing").text
    assert other.get(card).status_code == 403


def test_a_caution_stands_in_full_once_and_is_named_where_it_holds_again(floor: World, visitor: Sign) -> None:
    """Block after block at the same place, a phone shows the blocks and not the same paragraph again."""
    for block in (1, 2):
        put(floor, block, "balance-lane", "v-001", role="lead")
        put(floor, block, "balance-lane", "v-002", "p-01")
    page = visitor("v-002").get("/pairing").text
    assert page.count("Keep the lane dry.") == page.count("Stay within arm&#39;s reach.") == 1
    assert "The cautions above hold here too: With Name01, Balance lane." in page
    assert page.index("Keep the lane dry.") < page.index("10:05 to 10:17") < page.index("hold here too")


def test_before_the_two_days_a_volunteer_sees_only_when(floor: World, visitor: Sign) -> None:
    """The page says from which day on it shows more."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    floor.clock.moment = at("12:00", date(2026, 10, 14))
    page = visitor("v-002").get("/pairing").text
    assert "Thu 15 Oct 2026" in page
    assert "Name01" not in page


def test_observers_check_in_by_one_button_each_and_take_mistakes_back(floor: World, visitor: Sign) -> None:
    """On the day, for their own session; another observer is not let in."""
    floor.clock.moment = at("09:35")
    observer = visitor("o-01")
    page = "/sessions/s-11/check-in"
    for kind, code, name in (("participant", "p-01", "Name01"), ("volunteer", "v-002", "Person v-002")):
        assert observer.send(page, f"/sessions/s-11/check-in/{kind}/{code}").status_code == 303
        assert f"{name} is here." in observer.get(page).text
    assert observer.send(page, "/sessions/s-11/check-out/participant/p-01").status_code == 303
    assert "came 09:35, left 09:35" in observer.get(page).text
    assert observer.send(page, "/sessions/s-11/take-back/volunteer/v-002").status_code == 303
    with floor.reading() as db:
        assert list(came_to(db, "s-11")) == [("participant", "p-01")]
    assert visitor("o-02").get(page).status_code == 403


def test_an_observer_sees_the_floor_and_cannot_change_it(floor: World, visitor: Sign) -> None:
    """No button to place, take out, propose, edit or close, and the addresses are shut."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    observer = visitor("o-01")
    for page in ("/sessions/s-11", "/sessions/s-11/blocks/1", "/sessions/s-11/print"):
        shown = observer.get(page)
        assert shown.status_code == 200
        assert "Name01" in shown.text
        assert [form[0] for form in forms_of(shown.text) if form[0].startswith("/sessions")] in ([], [page])
    for page in (PLACE, "/sessions/s-11/edit", "/sessions/s-11/close", "/sessions/new", "/sessions.csv"):
        assert observer.get(page).status_code == 403


def test_volunteers_see_their_own_sessions_and_no_floor(floor: World, visitor: Sign) -> None:
    """The list has no link to what is not theirs."""
    mentor = visitor("v-002")
    page = mentor.get("/sessions").text
    assert "Week 6, Saturday morning" in page
    assert "/sessions/s-11" not in page
    for address in ("/sessions/s-11", "/sessions/s-11/check-in", "/sessions/s-11/print", "/sessions/s-11/blocks/1"):
        assert mentor.get(address).status_code == 403


def test_closing_is_shown_before_it_is_done_and_done_once(floor: World, coordinator: Visitor) -> None:
    """Before the start it says why not; afterwards the floor stands as it ran, and the form is gone."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    page = "/sessions/s-11/close"
    assert "has not begun" in coordinator.get(page).text
    floor.clock.moment = at("09:35")
    coordinator.send("/sessions/s-11/check-in", "/sessions/s-11/check-in/volunteer/v-002")
    coordinator.send("/sessions/s-11/check-in", "/sessions/s-11/check-in/participant/p-01")
    floor.clock.moment = at("11:20")
    shown = coordinator.get(page).text
    assert "closed at the session&#39;s end" in shown
    assert "Guarding a balance task" in shown
    stale = coordinator.get(page).text
    assert coordinator.fill(shown, page).status_code == 303
    again = coordinator.fill(stale, page)
    assert again.status_code == 422
    assert "was closed" in again.text
    closed = coordinator.get("/sessions/s-11").text
    assert "as it ran" in closed
    assert [form for form in forms_of(closed) if form[0].startswith("/sessions/s-11/")] == []
    assert coordinator.get("/sessions/s-11/edit").status_code == 422
    with floor.reading() as db:
        assert closing_of(db, "s-11") is not None


def test_without_an_edition_a_session_says_what_to_do_first(world: World, visitor: Sign) -> None:
    """A session before the program takes effect has no floor, and says why."""
    saturday(world)
    with world.writing() as db:
        store_session(db, world.clock.now(), COORDINATES, session("s-00", date(2026, 7, 4)))
    answer = visitor("c-01").get("/sessions/s-00")
    assert answer.status_code == 422
    assert "No edition of the program is in force" in answer.text
