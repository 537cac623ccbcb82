"""A review through HTTP: stood down in two taps, assigned, shown again, released; and who sees none of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.clearance.queries import gate_at
from mentor_training.evidence.queries import facts_of
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, look, see
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
PAGE = "/reviews/1"


@pytest.fixture
def stopped(world: World) -> World:
    """Give a world in which an observer stopped a volunteer at the balance lane."""
    world.add_person("c-01", "coordinator", name="Wilhelmina Oduya")
    world.add_person("i-01", "course-instructor", name="Tobiah Renn")
    world.add_person("v-001", name="Odalys Brannagh")
    world.hold("v-001", "module/safety", "paper/background-check")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    world.add_participant("p-07", card=False)
    see(world, "o-01", look("v-001", "stopped done done done", station="balance-lane", participant="p-07"))
    return world


def level(world: World, station: str, day: date = FRIDAY) -> int:
    """Return the volunteer's level at a station, as known now."""
    with world.reading() as db:
        return int(gate_at(db, world.clock.now()).decide("v-001", station, None, day).level)


def kinds(world: World) -> list[tuple[str, str]]:
    """Return the stand-downs and liftings of the volunteer."""
    with world.reading() as db:
        facts = facts_of(db, "v-001", world.clock.now())
    return [(fact.kind, fact.item) for fact in facts if fact.kind in ("stood-down", "lifted")]


def test_the_coordinator_sees_a_stop_at_once_and_first(stopped: World, visitor: Visit) -> None:
    """On the page of the day, before the day's own business, with the way to it."""
    page = visitor("c-01").get("/today").text
    assert "1 review to be closed" in page
    assert page.index("1 review to be closed") < page.index("The session</h2>")
    assert f'href="{PAGE}"' in page


@pytest.mark.parametrize(
    ("scope", "lane", "games"), [("", 0, 0), ("balance-lane", 0, 2), ("activity/standing", 0, 2), (None, 0, 2)]
)
def test_a_stand_down_takes_one_choice_and_one_button(
    stopped: World, visitor: Visit, scope: str | None, lane: int, games: int
) -> None:
    """Day and reason are filled in, and the station where it was seen is chosen; in force at once."""
    chosen = {} if scope is None else {"scope": scope}
    assert (level(stopped, "balance-lane"), level(stopped, "target-games")) == (1, 2)
    coordinator = visitor("c-01")
    assert coordinator.send(PAGE, f"{PAGE}/stand-down", **chosen).status_code == 303
    assert (level(stopped, "balance-lane"), level(stopped, "target-games")) == (lane, games)
    page = coordinator.get(PAGE).text
    assert "Stood down" in page
    again = coordinator.send(PAGE, f"{PAGE}/stand-down", **chosen)
    assert (again.status_code, "stood down there already" in again.text) == (422, True)


def test_from_a_stop_to_the_release(stopped: World, visitor: Visit) -> None:
    """Each step is shown with who took it; the release lifts the stand-down by another record and closes the review."""
    coordinator, second = visitor("c-01"), visitor("o-02")
    assert second.get(PAGE).status_code == 403
    assert coordinator.send(PAGE, f"{PAGE}/stand-down", scope="").status_code == 303
    assert coordinator.send(PAGE, f"{PAGE}/assign", to="").status_code == 422
    assert coordinator.send(PAGE, f"{PAGE}/assign", to="o-02").status_code == 303
    assert "1 review waits for you" in second.get("/reviews").text
    assert "One review waits for you" in second.get("/observe").text
    assert second.send(PAGE, f"{PAGE}/plan", plan="The whole skill, with a lead beside.").status_code == 303
    page = coordinator.get(PAGE).text
    assert "has not been seen yet" in page
    assert f'action="{PAGE}/release"' not in page
    row = see(stopped, "o-02", look("v-001", key="again"))
    assert second.send(PAGE, f"{PAGE}/answer").status_code == 422
    assert second.send(PAGE, f"{PAGE}/answer", observation=str(row.id)).status_code == 303
    assert coordinator.send(PAGE, f"{PAGE}/release", outcome="").status_code == 422
    assert coordinator.send(PAGE, f"{PAGE}/release", outcome="Talked through.").status_code == 303
    assert kinds(stopped) == [("stood-down", ""), ("lifted", "")]
    assert level(stopped, "balance-lane") == 1
    page = coordinator.get(PAGE).text
    for words in ("Assigned", "with a lead beside", f"observation {row.id}", "Released and closed", "Talked through."):
        assert words in page
    assert 'method="post" action="/reviews' not in page
    assert "0 reviews wait" in coordinator.get("/reviews").text


def test_a_release_before_it_was_shown_again_is_refused(stopped: World, visitor: Visit) -> None:
    """Also when the page was opened before the plan was written."""
    coordinator = visitor("c-01")
    assert coordinator.send(PAGE, f"{PAGE}/stand-down").status_code == 303
    open_page = coordinator.get(PAGE).text
    assert coordinator.send(PAGE, f"{PAGE}/plan", plan="Twice, simulated.").status_code == 303
    answer = coordinator.fill(open_page, f"{PAGE}/release", outcome="Fine.")
    assert (answer.status_code, "has not been seen yet" in answer.text) == (422, True)
    assert kinds(stopped) == [("stood-down", "balance-lane")]


def test_a_review_can_be_closed_with_the_stand_down_left_in_force(stopped: World, visitor: Visit) -> None:
    """Whoever does not come back is not lifted for the sake of a tidy list."""
    coordinator = visitor("c-01")
    coordinator.send(PAGE, f"{PAGE}/stand-down", scope="")
    assert coordinator.send(PAGE, PAGE, outcome="They leave the program.").status_code == 303
    assert level(stopped, "balance-lane") == 0
    assert "Closed" in coordinator.get(PAGE).text


def test_a_slip_of_the_thumb_is_struck_from_the_review(stopped: World, visitor: Visit) -> None:
    """The way to it stands on the page; afterwards the reason stands there, and on every list of what was seen."""
    coordinator = visitor("c-01")
    address = "/observations/1/strike"
    assert f'href="{address}"' in coordinator.get(PAGE).text
    assert coordinator.send(address, address, reason="").status_code == 422
    sent = coordinator.send(address, address, reason="Tapped the wrong field.")
    assert (sent.status_code, sent.location) == (303, PAGE)
    assert "Tapped the wrong field." in coordinator.get(PAGE).text
    for code, page in (("o-01", "/observe/v-001/guarding/sign-off"), ("v-001", "/path/skills/guarding")):
        shown = visitor(code).get(page).text
        assert "Struck" in shown
        assert "Tapped the wrong field." in shown
    assert visitor("o-01").get(address).status_code == 403


def test_a_course_instructor_works_on_what_is_assigned_and_sees_no_participant(stopped: World, visitor: Visit) -> None:
    """Nothing else of the reviews opens to them; a volunteer sees none at all."""
    instructor = visitor("i-01")
    assert instructor.get(PAGE).status_code == 403
    visitor("c-01").send(PAGE, f"{PAGE}/assign", to="i-01")
    page = instructor.get(PAGE).text
    assert "p-07" not in page
    assert "Stand Odalys" not in page
    assert instructor.send(PAGE, f"{PAGE}/plan", plan="Read the module again first.").status_code == 303
    assert 'href="/reviews"' in visitor("i-01").get("/hours/sections").text
    assert [visitor("v-001").get(one).status_code for one in (PAGE, "/reviews")] == [403, 403]
