"""An observer who mentors too does not observe the one they are paired with, as the plan says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from mentor_training.planning.queries.partners import partners_of
from mentor_training.planning.tables import Placement
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, add_session
from tests.sign_in import Visitor


def place(world: World, block: int, participant: str, *mentors: str) -> None:
    """Put mentors with a participant in a block of the session."""
    with world.writing() as db:
        db.add_all(
            Placement(
                session="s-01", block=block, station="balance-lane", mentor=mentor, role="mentor", level=1,
                participant=participant, placed_at=world.clock.now(), placed_by="c-01",
            )
            for mentor in mentors
        )  # fmt: skip


def test_two_mentors_of_one_participant_in_one_block_are_a_pairing(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """In that session's blocks and on that day; the page says so and offers no form."""
    add_observer(world, "o-03", roles="observer;volunteer")
    for code in ("v-001", "v-002"):
        world.add_person(code)
    for code in ("p-01", "p-02"):
        world.add_participant(code)
    add_session(world, "s-01", FRIDAY, "v-001;v-002;o-03", "o-03")
    place(world, 1, "p-01", "o-03", "v-001")
    place(world, 1, "p-02", "v-002")
    place(world, 2, "p-02", "o-03")
    with world.reading() as db:
        assert partners_of(db, "o-03", FRIDAY) == {"v-001"}
        assert partners_of(db, "v-001", FRIDAY) == {"o-03"}
        assert partners_of(db, "v-002", FRIDAY) == frozenset()
        assert partners_of(db, "o-03", FRIDAY + timedelta(days=1)) == frozenset()
    observer = visitor("o-03")
    assert "paired with each other" in observer.get("/observe/v-001/guarding").text
    assert 'name="mark_1"' in observer.get("/observe/v-002/guarding").text
