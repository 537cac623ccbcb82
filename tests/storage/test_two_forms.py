"""Two coordinators send the same form at the very same time: one is stored, the other is told what changed."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from mentor_training.application import create_app
from mentor_training.calendar.queries import session_for
from mentor_training.journal.queries import entries
from tests.builders import World
from tests.planning.saturday import saturday
from tests.sign_in import Visitor

EDIT = "/sessions/s-11/edit"
PLACE = "/sessions/s-11/blocks/1/place"
SAID = "/availability/v-002"
EXPECTED = "/sessions/s-11/expected"


def coordinators(world: World) -> tuple[Visitor, Visitor]:
    """Sign two coordinators in, each with a browser of their own."""
    saturday(world)
    world.add_person("c-02", "coordinator")
    app = create_app(world.instance, testing=True)
    return Visitor(app.test_client()).sign_in("c-01"), Visitor(app.test_client()).sign_in("c-02")


def at_once(*acts: Callable[[], int]) -> list[int]:
    """Do all at once, and return what came of each, sorted."""
    start = Barrier(len(acts))

    def begin(act: Callable[[], int]) -> int:
        start.wait(timeout=30)
        return act()

    with ThreadPoolExecutor(len(acts)) as pool:
        return sorted(pool.map(begin, acts))


def test_of_two_changes_of_a_session_at_once_one_is_stored_and_one_refused(stored: World) -> None:
    """The second decides only after the first has committed, on what is there then; on both databases."""
    one, other = coordinators(stored)
    pages = one.get(EDIT).text, other.get(EDIT).text
    said = at_once(
        lambda: one.fill(pages[0], EDIT, title="Moved to the pool").status_code,
        lambda: other.fill(pages[1], EDIT, title="Moved to the hall").status_code,
    )
    assert said == [303, 422]
    with stored.reading() as db:
        assert session_for(db, "s-11").title in ("Moved to the pool", "Moved to the hall")
        assert len(entries(db, "s-11", "session")) == 2


def test_of_two_mentors_for_one_participant_at_once_one_is_placed(stored: World) -> None:
    """No constraint of the database and no rule would notice; only that each says what they saw."""
    one, other = coordinators(stored)
    address = f"{PLACE}?participant=p-02"
    pages = one.get(address).text, other.get(address).text
    said = at_once(
        lambda: one.fill(pages[0], PLACE, who="target-games|v-003").status_code,
        lambda: other.fill(pages[1], PLACE, who="target-games|v-005").status_code,
    )
    assert said == [303, 422]
    with stored.reading() as db:
        assert len(entries(db, kind="placed")) == 1


def test_of_two_who_say_when_somebody_comes_at_once_the_second_is_told(stored: World) -> None:
    """The volunteer on their phone and the coordinator on the telephone with them; on both databases."""
    one, other = coordinators(stored)
    pages = one.get(SAID).text, other.get(SAID).text
    told = {"about": "session", "which": "s-11"}
    outcome = at_once(
        lambda: one.fill(pages[0], SAID, **told, answer="can").status_code,
        lambda: other.fill(pages[1], SAID, **told, answer="cannot").status_code,
    )
    assert outcome == [303, 422]
    with stored.reading() as db:
        assert len(entries(db, kind="availability")) == 1


def test_of_two_lists_of_who_attends_at_once_one_is_stored(stored: World) -> None:
    """As a whole, or not at all."""
    one, other = coordinators(stored)
    pages = one.get(EXPECTED).text, other.get(EXPECTED).text
    outcome = at_once(
        lambda: one.fill(pages[0], EXPECTED, **{"attends-p-01": ["1"]}).status_code,
        lambda: other.fill(pages[1], EXPECTED, **{"attends-p-01": ["2"], "attends-p-02": ["2"]}).status_code,
    )
    assert outcome == [303, 422]
    with stored.reading() as db:
        assert len(entries(db, "p-01", "availability")) == 1
