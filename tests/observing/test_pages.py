"""The way from an observation to a sign-off, through HTTP as an observer goes it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from mentor_training.application import create_app
from mentor_training.evidence.queries import facts_of
from mentor_training.observing.access import set_partners
from mentor_training.observing.tables import Observation
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, PASSWORD, World
from tests.observing.floor import add_observer, see_on
from tests.sign_in import Visitor
from tests.small_program import GUARDING, small_files

THURSDAY = FRIDAY - timedelta(days=1)
MONDAY = FRIDAY - timedelta(days=4)
FORM = "/observe/v-001/guarding"
SIGN = "/observe/v-001/guarding/sign-off"
MARKS = {f"mark_{number}": "done" for number in range(1, 5)}


def kinds(world: World) -> list[str]:
    """Return the kinds of record about the volunteer."""
    with world.reading() as db:
        return [fact.kind for fact in facts_of(db, "v-001", world.clock.now())]


def count(world: World) -> int:
    """Count the observations."""
    with world.reading() as db:
        return db.scalar(select(func.count()).select_from(Observation)) or 0


def test_from_an_observation_to_a_sign_off(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Seen by one, seen by another on another day, ready, a wrong password refused, signed off, and it is evidence."""
    see_on(floor, MONDAY, "o-01", "v-001")
    observer = visitor("o-02")
    assert "Not ready yet: 1 more met observation (1 of 2 so far)" in observer.get(SIGN).text
    saved = observer.send(FORM, FORM, **MARKS, live="live", station="balance-lane")
    assert saved.status_code == 303
    said = observer.get(saved.location).text
    assert "Met: Guarding a balance task, Odalys Brannagh" in said
    assert "is ready for sign-off" in said
    wrong = observer.send(SIGN, SIGN, password="not my password at all")
    assert wrong.status_code == 422
    assert "That is not your password" in wrong.text
    assert kinds(floor) == ["met", "met"]
    signed = observer.send(SIGN, SIGN, password=PASSWORD)
    assert signed.status_code == 303
    assert kinds(floor) == ["met", "met", "signed-off"]
    assert "Signed off Fri 16 Oct 2026, through Sat 16 Oct 2027 at the latest" in observer.get("/observe/v-001").text


def test_a_missing_mark_is_said_beside_it_and_what_was_typed_is_kept(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Nothing is stored; the marks, the way and the remark still stand there, and the next try goes through."""
    observer = visitor("o-01")
    typed = {
        "mark_1": "another-way", "way_1": "with a mirror, as agreed", "mark_2": "done", "mark_4": "helped",
        "live": "simulated", "remark": "Much calmer today.",
    }  # fmt: skip
    answer = observer.send(FORM, FORM, **typed)
    assert answer.status_code == 422
    assert answer.text.count("Mark this one too") == 2  # in the summary, and beside the criterion
    assert 'href="#mark_3"' in answer.text
    for kept in ('value="with a mirror, as agreed"', "Much calmer today."):
        assert kept in answer.text
    assert count(floor) == 0
    assert observer.fill(answer.text, FORM, mark_3="done").status_code == 303
    with floor.reading() as db:
        row = db.scalars(select(Observation)).one()
        assert (row.live, row.remark, row.result) == (False, "Much calmer today.", "not-yet")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"live": ""}, "Say whether it was live or simulated."),
        ({"day": ""}, "Write the day on which you saw it"),
        ({"day": "2026-10-17"}, "still ahead"),
        ({"mark_2": "another-way"}, "Say which other way"),
        ({"mark_2": "splendid"}, "is no mark"),
        ({"participant": "p-99"}, "Not a valid choice"),
        ({"day": "2020-01-01"}, "No edition of the program is in force"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_stored(
    floor: World, visitor: Callable[[str], Visitor], changed: dict[str, str], says: str
) -> None:
    """Each with what would be right."""
    answer = visitor("o-01").send(FORM, FORM, **{**MARKS, "live": "live", **changed})
    assert answer.status_code == 422
    assert says in answer.text
    assert count(floor) == 0


def test_a_form_sent_twice_counts_once(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The same page sent again leads to the same observation; so does its key under a fresh page."""
    observer = visitor("o-01")
    page = observer.get(FORM).text
    first = observer.fill(page, FORM, **MARKS, live="live")
    again = observer.fill(page, FORM, **MARKS, live="live")
    other = observer.fill(page, FORM, **MARKS, live="live", once="another-token")
    assert first.location == again.location == other.location
    assert count(floor) == 1


def test_a_stop_marked_after_going_back_to_a_page_that_was_sent_is_not_lost_in_silence(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """The page says that it was not stored, keeps what was marked, and a page opened anew takes it."""
    observer = visitor("o-01")
    page = observer.get(FORM).text
    assert observer.fill(page, FORM, **MARKS, live="live").status_code == 303
    stopped = {**MARKS, "mark_1": "stopped"}
    answer = observer.fill(page, FORM, **stopped, live="live")
    assert (answer.status_code, "was not stored" in answer.text) == (422, True)
    assert 'value="stopped" checked' in answer.text
    assert observer.send(FORM, FORM, **stopped, live="live").status_code == 303
    assert count(floor) == 2


def test_one_self_ones_pairing_and_a_conflict_are_not_offered_and_not_taken(floor: World) -> None:
    """The page says who else must; the form is not there, and what is sent all the same is refused."""
    add_observer(floor, "o-03", roles="observer;volunteer")
    app = create_app(floor.instance, testing=True)
    set_partners(app, lambda _db, person, day: ("v-001",) if (person, day) == ("o-01", FRIDAY) else ())
    own = Visitor(app.test_client()).sign_in("o-03")
    assert "Nobody observes or signs off themselves" in own.get("/observe/o-03/guarding").text
    paired = Visitor(app.test_client()).sign_in("o-01")
    assert "paired with each other" in paired.get(FORM).text
    assert 'name="mark_1"' not in paired.get(FORM).text
    free = Visitor(app.test_client()).sign_in("o-02")
    page = free.get(FORM).text
    with floor.writing() as db:
        set_conflicts(db, floor.clock.now(), CONSOLE, "o-02", ("v-001",))
    refused = free.fill(page, FORM, **MARKS, live="live")
    assert refused.status_code == 422
    assert "conflict list" in refused.text
    assert count(floor) == 0


def test_an_earlier_observers_marks_stay_hidden_until_ones_own_are_in(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Each observer sees with their own eyes; the volunteer sees what was marked, others' volunteers do not."""
    see_on(floor, MONDAY, "o-01", "v-001", "done done done helped", remark="Stands too far off.")
    second = visitor("o-02")
    before = second.get(SIGN).text
    assert "The marks open to you once yours are in" in before
    assert "Stands too far off." not in before
    assert "Helped" not in before
    assert second.get("/observations/1").status_code == 403
    own = visitor("v-001").get("/path/skills/guarding").text
    assert "Stands too far off." in own
    second.send(FORM, FORM, **MARKS, live="live")
    assert "Stands too far off." in second.get(SIGN).text
    assert "Stands too far off." in visitor("c-01").get(SIGN).text


def test_guessing_the_password_of_a_sign_off_is_slowed_down(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """A phone left lying on a bench does not sign for its owner."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    observer = visitor("o-01")
    for _ in range(5):
        assert observer.send(SIGN, SIGN, password="perhaps this one").status_code == 422
    late = observer.send(SIGN, SIGN, password=PASSWORD)
    assert late.status_code == 422
    assert "Too many tries" in late.text
    assert "signed-off" not in kinds(floor)


def test_a_stop_that_arrives_while_the_page_is_open_keeps_it_from_being_signed(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """What counts is what is known when it is stored, not what the page showed."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    observer = visitor("o-01")
    page = observer.get(SIGN).text
    see_on(floor, FRIDAY, "o-02", "v-001", "stopped done done done")
    answer = observer.fill(page, SIGN, password=PASSWORD)
    assert answer.status_code == 422
    assert "Not ready: 2 more met observations" in answer.text
    assert "signed-off" not in kinds(floor)


def test_a_disagreeing_observation_asks_for_a_reason_on_the_page(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """The field is there only then, and leaving it empty is refused."""
    see_on(floor, MONDAY - timedelta(days=4), "o-01", "v-001", "helped done done done")
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    observer = visitor("o-01")
    refused = observer.send(SIGN, SIGN, password=PASSWORD)
    assert refused.status_code == 422
    assert "An observation disagrees" in refused.text
    assert observer.send(SIGN, SIGN, password=PASSWORD, reason="The first week.").status_code == 303


def test_the_criteria_of_another_edition_are_shown_before_they_are_marked(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """A day under an earlier edition brings its own criteria, with no marks on them."""
    changed = GUARDING.replace("Talks calmly.", "Talks calmly and asks.")
    floor.publish(small_files() | {"program/skills/guarding.md": changed}, FRIDAY, 2)
    observer = visitor("o-01")
    answer = observer.send(FORM, FORM, **MARKS, live="live", day=THURSDAY.isoformat())
    assert answer.status_code == 422
    assert "other criteria were in force" in answer.text
    assert "Talks calmly and asks." not in answer.text
    assert 'value="done" checked' not in answer.text
    assert observer.fill(answer.text, FORM, **MARKS).status_code == 303
