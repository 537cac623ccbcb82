"""Typing in sheets that were written on paper, through HTTP: what is kept, what counts, and what is said to be late."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from sqlalchemy import select

from mentor_training.observing.tables import Observation
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer
from tests.sign_in import Visitor
from tests.small_program import GUARDING, small_files

PAGE = "/sheets/guarding"
SHEET = {
    "person": "v-001", "live": "live", "station": "balance-lane", "time": "10:20", "remark": "Stood close.",
    "mark_1": "done", "mark_2": "done", "mark_3": "done", "mark_4": "reminded",
}  # fmt: skip


def stored(floor: World) -> list[Observation]:
    with floor.reading() as db:
        return list(db.scalars(select(Observation).order_by(Observation.id)))


def days_ago(days: int) -> str:
    return (FRIDAY - timedelta(days=days)).isoformat()


@pytest.mark.parametrize(("who", "status"), [("o-01", 200), ("c-01", 403), ("i-01", 403), ("v-001", 403)])
def test_only_observers_type_sheets_in(floor: World, visitor: Callable[[str], Visitor], who: str, status: int) -> None:
    """A sheet carries its observer's signature, and it is typed in by whoever saw it."""
    floor.add_person("i-01", "course-instructor", sections="KIN-372-A")
    assert visitor(who).get(PAGE).status_code == status


def test_a_sheet_is_stored_with_its_day_and_says_that_it_was_on_paper(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """The day is that of the sheet, the moment that of typing in; it counts, and the remark begins with the time."""
    answer = visitor("o-01").send(PAGE, PAGE, **SHEET, day=days_ago(2))
    assert answer.status_code == 303
    (row,) = stored(floor)
    assert (row.day, row.station, row.live, row.result) == (date(2026, 10, 14), "balance-lane", True, "met")
    assert row.remark == "From paper, written at 10:20. Stood close."
    assert row.recorded_at == floor.clock.now()


def test_several_sheets_follow_one_another_with_day_and_station_kept(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Neither the volunteer nor any mark nor the remark is: each sheet is read anew."""
    floor.add_person("v-002", name="Teodor Vance")
    observer = visitor("o-01")
    answer = observer.send(PAGE, PAGE, **SHEET, day=days_ago(2))
    page = observer.get(answer.location).text
    assert "Stored for Odalys Brannagh: met, and it counts." in page
    assert f'value="{days_ago(2)}"' in page
    assert '<option selected value="balance-lane">' in page
    assert "checked" not in page
    assert "Stood close." not in page
    assert 'href="/observations/1"' in page
    assert observer.fill(page, PAGE, **SHEET | {"person": "v-002"}).status_code == 303
    assert [(row.person, row.day.isoformat()) for row in stored(floor)] == [
        ("v-001", days_ago(2)), ("v-002", days_ago(2)),
    ]  # fmt: skip


@pytest.mark.parametrize(("days", "counts"), [(7, True), (8, False)])
def test_a_late_sheet_is_kept_and_shown_and_said_not_to_count(
    floor: World, visitor: Callable[[str], Visitor], days: int, counts: bool
) -> None:
    """Said before with the first day that counts, and again once the day is known and for the next of that day."""
    observer = visitor("o-01")
    assert "What was seen on Fri 9 Oct 2026 or later counts when it is typed in today." in observer.get(PAGE).text
    answer = observer.send(PAGE, PAGE, **SHEET, day=days_ago(days))
    page = observer.get(answer.location).text
    assert ("It is kept and shown, and does not count. It was entered more than 7 days" in page) == (not counts)
    assert ("will not count: that is more than 7 days ago" in page) == (not counts)
    assert [row.not_counted for row in stored(floor)] == ["" if counts else "late"]


def test_a_late_sheet_is_warned_of_beside_anything_else_that_is_wrong(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Before it is stored: a page that comes back says it too."""
    answer = visitor("o-01").send(PAGE, PAGE, **SHEET | {"mark_2": ""}, day=days_ago(9))
    assert answer.status_code == 422
    assert "A sheet of Wed 7 Oct 2026 will not count" in answer.text
    assert "Mark this one too" in answer.text
    assert stored(floor) == []


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"person": ""}, "Choose whose sheet it is."),
        ({"person": "o-02"}, "Not a valid choice"),
        ({"day": ""}, "Write the day"),
        ({"day": "2026-10-17"}, "still ahead"),
        ({"live": ""}, "Say whether it was live or simulated."),
        ({"time": "quarter past"}, "such as 10:20"),
        ({"mark_4": ""}, "Mark this one too"),
        ({"remark": "x" * 1901}, "1900"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_said_and_nothing_is_stored(
    floor: World, visitor: Callable[[str], Visitor], changed: dict[str, str], says: str
) -> None:
    """There is no day, no mark and no volunteer chosen beforehand."""
    answer = visitor("o-01").send(PAGE, PAGE, **{**SHEET, "day": days_ago(1), **changed})
    assert (answer.status_code, says in answer.text) == (422, True)
    assert stored(floor) == []


def test_the_same_sheet_sent_twice_counts_once(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The page's key is kept with it, whatever the retries."""
    observer = visitor("o-01")
    page = observer.get(PAGE).text
    for once in ("one", "two"):
        assert observer.fill(page, PAGE, **SHEET, day=days_ago(2), once=once).status_code == 303
    assert len(stored(floor)) == 1


def test_an_observer_types_in_no_sheet_of_themselves(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Nor is one offered to choose."""
    add_observer(floor, "o-03", roles="observer;volunteer")
    assert 'value="o-03"' not in visitor("o-03").get(PAGE).text
    assert 'value="o-03"' in visitor("o-01").get(PAGE).text


def test_whoever_was_not_entitled_is_told_before_and_after(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """What counts is what the observer was on the day of the sheet."""
    add_observer(floor, "o-03", skill="leading")
    observer = visitor("o-03")
    assert "not entitled to this skill" in observer.get(PAGE).text
    answer = observer.send(PAGE, PAGE, **SHEET, day=days_ago(1))
    assert "The observer was not entitled to this skill on that day." in observer.get(answer.location).text


def test_a_stop_on_a_sheet_opens_its_review(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Late or not: what an observer stepped into is not lost with the network."""
    visitor("o-01").send(PAGE, PAGE, **SHEET | {"mark_1": "stopped"}, day=days_ago(9))
    assert "One review waits for you." in visitor("c-01").get("/observe").text


def test_the_criteria_of_the_day_on_the_sheet_are_the_ones_to_mark(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """A sheet of an earlier edition brings its own criteria, and a kept day shows them at once."""
    changed = GUARDING.replace("Talks calmly.", "Talks calmly and asks.")
    floor.publish(small_files() | {"program/skills/guarding.md": changed}, FRIDAY, 2)
    observer = visitor("o-01")
    answer = observer.send(PAGE, PAGE, **SHEET, day=days_ago(1))
    assert answer.status_code == 422
    assert "other criteria were in force" in answer.text
    assert "Talks calmly and asks." in observer.get(PAGE).text
    assert "Talks calmly and asks." not in observer.get(f"{PAGE}?day={days_ago(1)}").text
