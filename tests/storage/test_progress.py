"""How far a volunteer is in a module reads the same from both databases."""

from __future__ import annotations

from mentor_training.learning.queries import known, progress_of
from mentor_training.learning.rules.reading import Progress
from tests.builders import World
from tests.learning.taking import RIGHT, TWO_WRONG, read_all, take


def progress(world: World, code: str) -> Progress:
    """Return how far somebody is in the small program's module."""
    with world.reading() as db:
        then = known(db, world.clock.now(), world.instance.settings.zone)
        return progress_of(db, code, then, then.module("safety"), then.quiz("safety"))


def test_what_was_read_acknowledged_and_passed_is_told_apart_and_from_what_others_did(stored: World) -> None:
    """One question gathers all three; each lands where it belongs, with its own moment, for its own volunteer."""
    for code in ("v-001", "v-002"):
        stored.add_person(code)
    take(stored, "v-001", TWO_WRONG)
    stored.clock.forward(hours=20)
    take(stored, "v-001", RIGHT)
    passed_at = stored.clock.now()
    stored.clock.forward(hours=1)
    read_all(stored, "v-002")
    one, other = progress(stored, "v-001"), progress(stored, "v-002")
    assert (set(one.read), set(one.acknowledged), one.passed_at) == (set(), set(), passed_at)
    assert (set(other.read), set(other.acknowledged)) == ({"opening", "hands", "exits"}, {"call"})
    assert other.passed_at is None
