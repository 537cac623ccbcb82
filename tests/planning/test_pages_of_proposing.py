"""The best plan, looked for in the background, looked over, and accepted; through HTTP."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from mentor_training.calendar.actions import store_session
from mentor_training.journal.queries import entries
from mentor_training.planning.actions import looking
from mentor_training.planning.actions.closing import close
from mentor_training.planning.actions.placing import remove
from mentor_training.planning.queries.plan import standing_in
from mentor_training.planning.queries.proposals import newest_search, proposal_for
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.search import Found, best_plan
from mentor_training.planning.solver.watch import Say
from tests.builders import World
from tests.jobs.working import seen, work_off
from tests.planning.saturday import COORDINATES, ON_THE_FLOOR, VOLUNTEERS, ZONE, at, best_for, put, session
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE = "/sessions/s-11/proposal"
ACCEPT = f"{PAGE}/accept"


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    return visitor("c-01")


def placed(world: World) -> list[tuple[int, str, str, str | None]]:
    with world.reading() as db:
        rows = [one.placed for one in standing_in(db, "s-11")]
    return [(one.block, one.station, one.mentor, one.participant) for one in rows]


def search(world: World, who: Visitor, page: str = PAGE, seconds: int = 30) -> str:
    """Ask for a search, have it done, and return the page of what it found."""
    began = who.send(page, PAGE, seconds=seconds)
    assert began.status_code == 303
    work_off(world)
    led_on = who.get(began.location)
    assert led_on.status_code == 302
    return who.get(led_on.location).text


def test_a_plan_is_looked_for_looked_at_and_then_accepted(floor: World, coordinator: Visitor) -> None:
    """It says how good it is and stores nothing; accepted, all of it stands, and looking again is offered."""
    assert "Look for the best plan" in coordinator.get(PAGE).text
    page = search(floor, coordinator)
    assert "Proven: no plan is better" in page
    assert "Nothing is stored yet" in page
    assert "Look again" not in page
    assert placed(floor) == []
    assert coordinator.fill(page, ACCEPT).status_code == 303
    assert len(placed(floor)) >= 4
    assert "stands in the plan by now" in coordinator.get(PAGE).text
    assert "Nothing can be added" in search(floor, coordinator)


def with_its_time_up_before(aim: str) -> Callable[..., Found]:
    """Return the program's own search, whose time is over once it comes to an aim."""

    def best(asked: Question, seconds: float, say: Say, stopped: Callable[[], bool]) -> Found:
        begun: list[str] = []

        def said(name: str) -> None:
            begun.append(name)
            say(name)

        return best_plan(asked, seconds, said, lambda: aim in begun or stopped())

    return best


@pytest.mark.parametrize("aim", ["covered", "supervised"])
def test_a_search_out_of_time_shows_the_best_so_far_with_what_any_plan_could_reach(
    floor: World, coordinator: Visitor, monkeypatch: pytest.MonkeyPatch, aim: str
) -> None:
    """Labeled as not proven from that aim on, with its bound, and what was found by then can be accepted.

    The bounds are true: a search that has its time does no better than they say.
    """
    whole = {one.name: one for one in best_for(floor).aims}
    monkeypatch.setattr(looking, "best_plan", with_its_time_up_before(aim))
    page = " ".join(search(floor, coordinator).split())
    assert "; the time it had was up, and this is the best so far. With more time it may get better." in page
    assert ("it is not proven that no plan covers more" in page) == (aim == "covered")
    assert "Look again" in page
    with floor.reading() as db:
        job = newest_search(db, "s-11")
        assert job is not None
        found = {one.name: one for one in proposal_for(db, "s-11", job.number).aims}
    for one in found.values():
        known = re.search(rf"<td[^>]*>{one.value}</td><td[^>]*>{one.bound}</td> ?<td[^>]*>(\w+)", page)
        assert known
        assert (known[1] == "Proven") == one.proven
    assert (found["covered"].proven, found["hours"].proven) == (aim != "covered", False)
    assert found["covered"].value <= whole["covered"].value <= found["covered"].bound
    if aim == "supervised":
        assert found[aim].bound <= whole[aim].value <= found[aim].value
        assert coordinator.fill(page, ACCEPT).status_code == 303
        assert len({(block, who) for block, _, _, who in placed(floor) if who}) == found["covered"].value


def test_while_it_is_looked_for_the_page_says_how_far_it_is_and_leads_back(floor: World, coordinator: Visitor) -> None:
    """Left and opened again, from the session too; it looks again by itself, and can be had standing still."""
    began = coordinator.send(PAGE, PAGE)
    assert coordinator.get(PAGE).location == began.location
    waiting = coordinator.get(began.location)
    assert "It waits for its turn" in waiting.text
    assert "<progress" in waiting.text
    assert waiting.headers["Refresh"] == "1"
    still = coordinator.get(f"{began.location}&still=1")
    assert "Refresh" not in still.headers
    assert "Look again" in still.text


def test_two_coordinators_who_ask_at_once_wait_for_the_same_search(
    floor: World, coordinator: Visitor, visitor: Sign
) -> None:
    """There is one for a session at a time, and both see it."""
    floor.add_person("c-02", "coordinator")
    other = visitor("c-02")
    page = other.get(PAGE).text
    first = coordinator.send(PAGE, PAGE, seconds=10)
    second = other.fill(page, PAGE, seconds=60)
    assert first.location == second.location
    assert work_off(floor) == 1
    assert "are proposed" in other.get(PAGE).text


def test_a_search_that_is_stopped_before_it_began_says_so_and_can_be_asked_again(
    floor: World, coordinator: Visitor
) -> None:
    """Nothing is stored."""
    began = coordinator.send(PAGE, PAGE)
    address = began.location.partition("?")[0]
    assert coordinator.send(address, f"{address}/stop").status_code == 303
    assert "stopped before it had anything" in coordinator.get(address).text
    assert "stopped before it had found anything" in coordinator.get(PAGE).text
    assert "are proposed" in search(floor, coordinator)


def test_how_long_it_may_look_is_one_of_what_the_page_offers(floor: World, coordinator: Visitor) -> None:
    """Anything else is refused with what would be right."""
    page = coordinator.get(PAGE).text
    for seconds in (10, 30, 60, 120):
        assert f'value="{seconds}"' in page
    answer = coordinator.fill(page, PAGE, seconds=3600)
    assert answer.status_code == 422
    assert "10, 30, 60, 120" in answer.text


def test_what_a_search_keeps_is_codes_days_and_figures(floor: World, coordinator: Visitor) -> None:
    """No name of anybody is in the job, and the journal knows only of the placements that were accepted."""
    page = search(floor, coordinator)
    with floor.reading() as db:
        before = len(entries(db))
        job = newest_search(db, "s-11")
    assert job is not None
    told = f"{job.arguments} {job.result} {job.words} {job.key}"
    assert "Name0" not in told
    assert "Person" not in told
    coordinator.fill(page, ACCEPT)
    with floor.reading() as db:
        new = entries(db)[: len(entries(db)) - before]
    assert {entry.kind for entry in new} == {"placed"}


def test_a_floor_that_has_changed_is_said_and_what_still_fits_can_be_accepted(
    floor: World, coordinator: Visitor
) -> None:
    """The rest is stored beside what was placed meanwhile."""
    floor.add_person("v-007")
    floor.hold("v-007", *ON_THE_FLOOR)
    with floor.writing() as db:
        more = replace(session(), volunteers=(*VOLUNTEERS, "v-007"))
        store_session(db, floor.clock.now(), COORDINATES, more)
    search(floor, coordinator)
    put(floor, 1, "arrival-desk", "v-007", role="duty")
    page = coordinator.get(PAGE).text
    assert "The floor has changed since this was looked for" in page
    assert "1 placement was made" in page
    assert "Every placement that was proposed still fits" in page
    assert coordinator.fill(page, ACCEPT).status_code == 303
    assert len(placed(floor)) >= 5


def test_a_proposal_in_whose_way_something_came_says_so_and_loses_nothing(floor: World, coordinator: Visitor) -> None:
    """Accepted from the page of before it is refused and nothing stored; it is still shown, with what does not fit."""
    page = search(floor, coordinator)
    put(floor, 1, "balance-lane", "v-001", "p-01")
    answer = coordinator.fill(page, ACCEPT)
    assert answer.status_code == 422
    assert "Propose it again" in answer.text
    assert len(placed(floor)) == 1
    shown = coordinator.get(PAGE).text
    assert "this plan cannot be accepted" in shown
    assert "Accept this plan" not in shown
    assert "Person v-001 is at Balance lane" in shown
    assert "are proposed" in search(floor, coordinator)
    assert len(placed(floor)) == 1


def test_what_was_taken_out_meanwhile_is_said(floor: World, coordinator: Visitor) -> None:
    """A placement that stood when it was asked."""
    number = put(floor, 1, "target-games", "v-006").id
    search(floor, coordinator)
    with floor.writing() as db:
        remove(db, floor.clock.now(), COORDINATES, "s-11", number)
    assert "1 placement was taken out" in coordinator.get(PAGE).text


@pytest.mark.parametrize("job", ["", "0", "99", "nonsense"])
def test_a_proposal_that_there_is_not_is_not_accepted(floor: World, coordinator: Visitor, job: str) -> None:
    """And never an error of the program."""
    page = search(floor, coordinator)
    assert coordinator.fill(page, ACCEPT, job=job).status_code == 404
    assert placed(floor) == []


def test_a_proposal_of_another_session_is_not_accepted_here(floor: World, coordinator: Visitor) -> None:
    """Its number belongs to its session."""
    page = search(floor, coordinator)
    assert coordinator.get("/sessions/s-12/proposal?job=1").status_code == 404
    assert coordinator.fill(page, ACCEPT).status_code == 303


def test_a_session_that_is_closed_while_its_search_waits_is_refused_in_words(
    floor: World, coordinator: Visitor
) -> None:
    """The job says why."""
    began = coordinator.send(PAGE, PAGE)
    floor.clock.moment = at("11:30")
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
    work_off(floor)
    assert "was closed meanwhile" in coordinator.get(began.location).text


def test_only_who_plans_may_look_for_a_plan(floor: World, visitor: Sign) -> None:
    """An observer may not, and sees no background work."""
    observer = visitor("o-01")
    assert observer.get(PAGE).status_code == 403
    assert observer.get("/jobs").status_code == 403


def test_what_is_known_counts_that_was_recorded_while_the_search_waited(floor: World, coordinator: Visitor) -> None:
    """A search asks when it is begun, not when it was asked for."""
    coordinator.send(PAGE, PAGE)
    floor.clock.moment += timedelta(minutes=1)
    put(floor, 1, "balance-lane", "v-001")
    work_off(floor)
    with floor.reading() as db:
        job = newest_search(db, "s-11")
    assert job is not None
    assert [row[2] for row in seen(floor, job.number).result["standing"]] == ["v-001"]
