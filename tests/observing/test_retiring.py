"""A set with a wrong key is retired: nobody scores it any more, and what was scored stays to be seen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.errors import NotAllowed, Refused
from mentor_training.observing.actions.calibrations import retire
from mentor_training.observing.queries.calibrations import calibration_for, progress_of, result_for, standings_on
from mentor_training.observing.rules.calibration import objections_to_retiring, objections_to_scoring
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.staging import agree, call_calibrated, fill_staff, finish, mark, stage
from tests.observing.test_calibrations import journal
from tests.sign_in import Visitor

RIGHT = ("done not-done done another-way", "done stopped")
THROUGH = date(2027, 1, 31)
WHY = "The strap was tight in clip 1."


@pytest.fixture
def staff(world: World) -> World:
    """Give a world with those who set up and score calibrations."""
    fill_staff(world)
    return world


def take_out(world: World, number: int, by: str = "i-01", reason: str = WHY) -> None:
    with world.writing() as db:
        retire(db, world.clock.now(), actor_of(person_for(db, by)), number, reason)


def test_a_set_is_retired_once_and_with_a_reason() -> None:
    """Of two thousand characters at most."""
    assert objections_to_retiring(WHY, is_retired=False) == ()
    assert "already" in objections_to_retiring(WHY, is_retired=True)[0]
    assert "Write why" in objections_to_retiring(" ", is_retired=False)[0]
    assert "2001 characters" in objections_to_retiring("x" * 2001, is_retired=False)[0]


def test_nobody_scores_closes_keys_or_is_calibrated_on_a_retired_set_and_what_was_scored_stays(staff: World) -> None:
    """One observer has closed it and passed, another is in the middle of it."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    mark(staff, "o-02", number, 1, RIGHT[0])
    take_out(staff, number)
    for act in (
        lambda: mark(staff, "o-02", number, 2, RIGHT[1]),
        lambda: mark(staff, "b-01", number, 1, RIGHT[0]),
        lambda: finish(staff, "o-02", number),
        lambda: agree(staff, number, 1, "done done done done"),
        lambda: call_calibrated(staff, "c-01", number, "o-01", THROUGH),
    ):
        with pytest.raises(Refused, match="This set was retired"):
            act()
    with staff.reading() as db:
        found = calibration_for(db, number)
        result = result_for(db, found, "o-01")
        assert result is not None
        assert result.passed
        assert objections_to_scoring(progress_of(db, found, "b-01"), FRIDAY)
    [(who, about, told)] = journal(staff, "calibration-retired")
    assert (who, about) == ("i-01", "1")
    assert WHY not in str(told)


def test_what_rests_on_a_retired_set_goes_on(staff: World) -> None:
    """The coordinator decides about it, and sees it before."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    take_out(staff, number)
    with staff.reading() as db:
        assert list(standings_on(db, number)) == ["o-01"]


def test_only_those_who_set_calibrations_up_retire_them_and_once(staff: World) -> None:
    """And nobody to whom its key is closed: retiring would open it."""
    number = stage(staff).number
    for code in ("o-01", "b-01"):
        with pytest.raises(NotAllowed):
            take_out(staff, number, code)
    with pytest.raises(Refused, match="Write why"):
        take_out(staff, number, reason="")
    take_out(staff, number, "c-01")
    with pytest.raises(Refused, match="retired already"):
        take_out(staff, number)


def test_whoever_agreed_a_key_that_another_replaced_does_not_score_either(staff: World) -> None:
    """Most of it is still right, and they know it."""
    number = stage(staff, keyed=False).number
    agree(staff, number, 1, "done done done done", who=("o-02", "c-01"))
    agree(staff, number, 1, "done not-done done done", who=("i-01", "c-01"))
    agree(staff, number, 2, "done stopped", who=("i-01", "c-01"))
    with pytest.raises(Refused, match="You know the key"):
        mark(staff, "o-02", number, 1, RIGHT[0])
    mark(staff, "o-01", number, 1, RIGHT[0])


def test_a_set_is_retired_on_its_page_and_everybody_reads_so(staff: World, visitor: Callable[[str], Visitor]) -> None:
    """The instructor with the reason, the observer who was to score it without."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    call_calibrated(staff, "c-01", number, "o-01", THROUGH)
    instructor, page = visitor("i-01"), "/calibrations/1/retire"
    assert page in instructor.get("/calibrations/1").text
    assert "Sunniva Tallis: calibrated" in instructor.get(page).text
    assert instructor.send(page, page, reason="").status_code == 422
    assert instructor.send(page, page, reason=WHY).location == "/calibrations/1"
    shown = instructor.get("/calibrations/1").text
    assert WHY in shown
    assert page not in shown
    assert "retired" in instructor.get("/calibrations").text
    assert "It was retired already" in instructor.get(page).text
    assert "This set was retired" in instructor.get("/calibrations/1/key/1").text
    assert "Calibrate " not in visitor("c-01").get("/calibrations/1").text
    other = visitor("o-02")
    assert "No set waits for you." in other.get("/calibrations/mine").text
    assert "This set was retired" in other.get("/calibrations/1/score/1").text
    assert WHY not in other.get("/calibrations/1/score").text
    assert other.get(page).status_code == 403
    assert "You are calibrated on it" in visitor("o-01").get("/calibrations/1/mine").text
    assert visitor("b-01").get(page).status_code == 403
