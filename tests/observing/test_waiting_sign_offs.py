"""Sign-offs one after another, shown with their reason, and withdrawn with one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.queries import facts_of
from mentor_training.observing.actions.withdrawing import withdraw_sign_off
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, PASSWORD, World
from tests.observing.floor import add_observer, see_on, sign
from tests.sign_in import Visitor

THURSDAY = FRIDAY - timedelta(days=1)
MONDAY = FRIDAY - timedelta(days=4)
Visit = Callable[[str], Visitor]


def sign_page(person: str) -> str:
    """Return the address of the sign-off of `guarding`."""
    return f"/observe/{person}/guarding/sign-off"


def make_ready(world: World, *people: str) -> None:
    """Have two observers see each of them meet the skill, on two days."""
    for person in people:
        see_on(world, MONDAY, "o-01", person)
        see_on(world, THURSDAY, "o-02", person)


@pytest.fixture
def three(floor: World) -> World:
    """Give a floor with three volunteers who are ready."""
    floor.add_person("v-002", name="Ruadh Penhallow")
    floor.add_person("v-003", name="Ilse Takamori")
    make_ready(floor, "v-001", "v-002", "v-003")
    return floor


def test_after_a_sign_off_the_next_one_waits(three: World, visitor: Visit) -> None:
    """One page leads to the next until none is left that this observer may sign."""
    observer = visitor("o-01")
    assert "3 sign-offs wait for you" in observer.get("/sign-offs").text
    signed, page = [], sign_page("v-001")
    while page.endswith("/sign-off"):
        signed.append(page.split("/")[2])
        page = observer.send(page, page, password=PASSWORD).location
    assert sorted(signed) == ["v-001", "v-002", "v-003"]
    said = observer.get(page).text
    assert "No other sign-off waits for you." in said
    assert "No sign-offs wait for you" in observer.get("/sign-offs").text


def test_what_somebody_may_not_sign_is_passed_over(three: World, visitor: Visit) -> None:
    """A conflict, and a skill that one is not entitled to, wait for another observer; the page says how many."""
    with three.writing() as db:
        set_conflicts(db, three.clock.now(), CONSOLE, "o-01", ("v-002",))
    add_observer(three, "o-09", skill="leading")
    assert "2 sign-offs wait for you; 1 more waits for another observer" in visitor("o-01").get("/sign-offs").text
    assert "No sign-offs wait for you; 3 more wait" in visitor("o-09").get("/sign-offs").text
    first = visitor("o-01").send(sign_page("v-001"), sign_page("v-001"), password=PASSWORD)
    assert first.location == sign_page("v-003")


def test_only_observers_have_sign_offs_that_wait(three: World, visitor: Visit) -> None:
    """The coordinator looks, and signs nothing."""
    three.add_person("i-01", "course-instructor")
    assert [visitor(code).get("/sign-offs").status_code for code in ("v-001", "i-01", "c-01")] == [403, 403, 403]


def test_a_sign_off_is_shown_with_the_reason_that_was_given(floor: World, visitor: Visit) -> None:
    """Why it was signed although an observation disagreed stays with it, for whoever looks later."""
    see_on(floor, MONDAY - timedelta(days=4), "o-01", "v-001", "helped done done done")
    make_ready(floor, "v-001")
    sign(floor, "o-02", "v-001", reason="That was in the first week.")
    page = visitor("o-01").get(sign_page("v-001")).text
    assert "Signed all the same, because: That was in the first week." in page
    assert "resting on 2 observations" in page
    assert "Withdraw it" not in page


def test_an_open_review_is_said_before_anybody_signs(floor: World, visitor: Visit) -> None:
    """It keeps nobody from signing what is ready, but nobody signs without having been told."""
    see_on(floor, MONDAY - timedelta(days=4), "o-01", "v-001", "stopped done done done")
    make_ready(floor, "v-001")
    assert "has not closed the review yet" in visitor("o-01").get(sign_page("v-001")).text


def test_whoever_signed_withdraws_with_a_reason(floor: World, visitor: Visit) -> None:
    """The level falls from that day on; the page names who, when and why; no second time."""
    make_ready(floor, "v-001")
    row = sign(floor, "o-01", "v-001")
    observer = visitor("o-01")
    address = f"/sign-offs/{row.record}/withdraw"
    assert address in observer.get(sign_page("v-001")).text
    assert observer.send(address, address, reason="").status_code == 422
    assert observer.send(address, address, reason="Seen from the wrong side.").status_code == 303
    page = observer.get(sign_page("v-001")).text
    assert "Withdrawn: signed off" in page
    assert "Seen from the wrong side." in page
    again = observer.send(address, address, reason="Once more.")
    assert (again.status_code, "withdrawn from 2026-10-16 already" in again.text) == (422, True)
    with floor.reading() as db:
        kinds = [(fact.kind, fact.refers_to) for fact in facts_of(db, "v-001", floor.clock.now())]
    assert kinds[-1] == ("withdrawn", row.record)


def test_another_observer_withdraws_nothing_and_the_coordinator_anything(floor: World, visitor: Visit) -> None:
    """A statement is its signer's own; nobody withdraws one of themselves."""
    make_ready(floor, "v-001")
    address = f"/sign-offs/{sign(floor, 'o-01', 'v-001').record}/withdraw"
    assert [visitor(code).get(address).status_code for code in ("o-02", "v-001")] == [403, 403]
    assert visitor("c-01").send(address, address, reason="After the review.").status_code == 303
    add_observer(floor, "x-01", roles="observer;volunteer;coordinator")
    make_ready(floor, "x-01")
    record = sign(floor, "o-01", "x-01").record
    with floor.writing() as db:
        now = floor.clock.now()
        with pytest.raises(Refused, match="of themselves"):
            withdraw_sign_off(db, now, actor_of(person_for(db, "x-01")), record, FRIDAY, "Mine.")
        with pytest.raises(NotAllowed):
            withdraw_sign_off(db, now, actor_of(person_for(db, "o-02")), record, FRIDAY, "Not mine.")
