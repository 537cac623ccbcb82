"""The coordinator's pages: what observers are, conflict lists, reviews."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.observing.queries.standings import was_calibrated, was_entitled
from mentor_training.people.queries import person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, look, see
from tests.sign_in import Visitor

PAGE = "/observers/o-01"


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Sign the coordinator in, with an observer who is nothing yet."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("o-01", "observer", name="Sunniva Tallis")
    return visitor("c-01")


def test_an_observer_is_calibrated_and_entitled_and_no_longer(world: World, coordinator: Visitor) -> None:
    """Each change is an entry of its own; the page says what holds today."""
    assert "not calibrated" in coordinator.get("/observers").text
    reason = {"reason": "Calibrated at the other site."}
    for fields in ({"kind": "calibrated", **reason}, {"kind": "entitled", "skill": "guarding"}):
        sent = coordinator.send(PAGE, f"{PAGE}/standing", first_day="2026-10-01", **fields)
        assert sent.status_code == 303
    assert "Today calibrated, without a calibration, and entitled to 1 of 2 skills" in coordinator.get(PAGE).text
    sent = coordinator.send(PAGE, f"{PAGE}/standing", kind="not-entitled", skill="guarding", first_day="2026-10-10")
    assert sent.status_code == 303
    now = world.clock.now()
    with world.reading() as db:
        assert was_calibrated(db, "o-01", "guarding", FRIDAY, now)
        assert was_entitled(db, "o-01", "guarding", date(2026, 10, 9), now)
        assert not was_entitled(db, "o-01", "guarding", FRIDAY, now)
    assert "No longer entitled: Guarding a balance task, from Sat 10 Oct 2026 on" in coordinator.get(PAGE).text


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"first_day": "2026-10-01"}, "Choose what changes."),
        ({"kind": "calibrated", "first_day": ""}, "Write the first day."),
        ({"kind": "calibrated", "first_day": "2026-10-01"}, "Write why they are calibrated without a calibration"),
        ({"kind": "calibrated", "first_day": "2026-10-01", "reason": " "}, "Write why they are calibrated"),
        ({"kind": "calibrated", "first_day": "2026-10-01", "last_day": "2026-09-01"}, "before it begins"),
    ],
)
def test_what_is_wrong_with_an_entry_is_said(coordinator: Visitor, fields: dict[str, str], says: str) -> None:
    """And nothing is entered."""
    answer = coordinator.send(PAGE, f"{PAGE}/standing", **fields)
    assert answer.status_code == 422
    assert says in answer.text
    assert "Nothing was entered yet" in answer.text


def test_whoever_is_calibrated_without_a_calibration_is_shown_so_with_the_reason(
    world: World, coordinator: Visitor, visitor: Callable[[str], Visitor]
) -> None:
    """On the coordinator's pages and on the observer's own, who does not read the reason."""
    add_observer(world, "o-02")
    assert "until ended, without a calibration" in coordinator.get("/observers").text
    assert "without a calibration: Calibrated at the other site." in coordinator.get("/observers/o-02").text
    own = visitor("o-02").get("/calibrations/mine").text
    assert "You are calibrated, without a calibration." in own
    assert "the other site" not in own


def test_nobody_calls_themselves_calibrated_by_hand_either(world: World, visitor: Callable[[str], Visitor]) -> None:
    """Whoever coordinates and observes needs another coordinator for it, with or without a calibration."""
    world.add_person("b-01", "observer;coordinator")
    page, entry = "/observers/b-01", {"first_day": "2026-10-01", "reason": "I know how."}
    answer = visitor("b-01").send(page, f"{page}/standing", kind="calibrated", **entry)
    assert answer.status_code == 422
    assert "Nobody calls themselves calibrated" in answer.text
    with world.reading() as db:
        assert not was_calibrated(db, "b-01", "guarding", FRIDAY, world.clock.now())


def test_a_conflict_list_is_set_and_emptied(world: World, coordinator: Visitor) -> None:
    """Whoever is on it stands chosen on the page."""
    assert coordinator.send(PAGE, f"{PAGE}/conflicts", people="v-001").status_code == 303
    with world.reading() as db:
        assert person_for(db, "o-01").conflicts == ("v-001",)
    page = coordinator.get(PAGE).text
    assert coordinator.fill(page, f"{PAGE}/conflicts").status_code == 303
    with world.reading() as db:
        assert person_for(db, "o-01").conflicts == ("v-001",)
    assert coordinator.fill(coordinator.get(PAGE).text, f"{PAGE}/conflicts", people=[]).status_code == 303
    with world.reading() as db:
        assert person_for(db, "o-01").conflicts == ()


def test_a_review_is_looked_at_and_closed_with_what_was_decided(world: World, coordinator: Visitor) -> None:
    """It waits on the list, shows what was marked, and is closed with words."""
    add_observer(world, "o-02")
    see(world, "o-02", look("v-001", "stopped done done done", remark="Belt caught."))
    assert "One review waits for you" in coordinator.get("/observe").text
    assert "1 review waits" in coordinator.get("/reviews").text
    page = coordinator.get("/reviews/1").text
    assert "Stopped" in page
    assert "Belt caught." in page
    assert coordinator.send("/reviews/1", "/reviews/1", outcome="").status_code == 422
    assert coordinator.send("/reviews/1", "/reviews/1", outcome="Belt replaced.").status_code == 303
    assert "0 reviews wait" in coordinator.get("/reviews").text
    assert "Belt replaced." in coordinator.get("/reviews/1").text


def test_an_observer_keeps_no_standings(world: World, visitor: Callable[[str], Visitor]) -> None:
    """Nobody calibrates themselves from the floor."""
    add_observer(world, "o-02")
    world.add_person("v-001")
    assert visitor("o-02").get("/observers").status_code == 403
    assert visitor("v-001").get("/reviews").status_code == 403
