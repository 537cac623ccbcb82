"""Observations beside the criteria of their day: other ones, and none."""

from __future__ import annotations

from datetime import timedelta

import pytest

from mentor_training.errors import Refused
from mentor_training.evidence.queries import facts_of
from tests.builders import FRIDAY, World
from tests.observing.floor import GOOD, add_observer, look, see
from tests.small_program import GUARDING, small_files

THURSDAY = FRIDAY - timedelta(days=1)


@pytest.fixture
def floor(world: World) -> World:
    """Give a world with a volunteer and two observers who count."""
    world.add_person("v-001", name="Odalys Brannagh")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    return world


def test_marks_are_read_against_the_criteria_of_their_day(floor: World) -> None:
    """Marks made on the criteria of a newer edition do not stand for an earlier day."""
    changed = GUARDING.replace("Talks calmly.", "Talks calmly and asks.")
    floor.publish(small_files() | {"program/skills/guarding.md": changed}, FRIDAY, 2)
    with pytest.raises(Refused, match="other criteria were in force, those of edition 1"):
        see(floor, "o-01", look("v-001", GOOD, THURSDAY, edition=2))
    assert see(floor, "o-01", look("v-001", GOOD, THURSDAY, edition=1)).program_edition == 1
    assert see(floor, "o-01", look("v-001", GOOD, FRIDAY, edition=2)).program_edition == 2


def test_a_skill_whose_criteria_are_gone_is_refused_and_what_was_seen_before_stays(floor: World) -> None:
    """With no criteria left there is nothing that could be met; the observations of an earlier edition still count."""
    see(floor, "o-01", look("v-001", GOOD, THURSDAY))
    bare = "---\nslug: guarding\ntitle: Guarding\nrisk: elevated\ncriteria: []\n---\n"
    floor.publish(small_files() | {"program/skills/guarding.md": bare}, FRIDAY, 2)
    with pytest.raises(Refused, match="has no criteria, so that nobody can be observed at it"):
        see(floor, "o-02", look("v-001", "", FRIDAY))
    assert see(floor, "o-02", look("v-001", GOOD, THURSDAY, key="another")).program_edition == 1
    with floor.reading() as db:
        facts = facts_of(db, "v-001", floor.clock.now())
    assert [(fact.kind, fact.item, fact.first_day) for fact in facts] == [("met", "skill/guarding", THURSDAY)] * 2
