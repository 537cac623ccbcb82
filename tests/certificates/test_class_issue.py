"""A kind of certificate for everybody who is ready, asked for on a page and on the command line."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from click.testing import CliRunner

from mentor_training.certificates.commands.certifying import certificates
from tests.builders import World
from tests.certificates.holders import KIND, add_people
from tests.jobs.working import work_off
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
ISSUING = "/certificates/issuing"


@pytest.fixture
def class_of(world: World) -> World:
    add_people(world)
    world.hold("v-002", "skill/guarding")
    return world


def test_a_class_is_issued_in_the_background_and_seen_afterwards(class_of: World, visitor: Visit) -> None:
    """The button says to how many; the page of the job counts; what came of it names each number and file."""
    teacher = visitor("i-01")
    page = teacher.get(ISSUING).text
    assert "Issue Balance lane mentor to all 2" in page
    led = teacher.fill(page, f"{ISSUING}/{KIND}/class")
    assert led.status_code == 303
    assert "It waits for its turn" in teacher.get(led.location).text
    assert work_off(class_of) == 1
    outcome = teacher.get(led.location).location
    told = teacher.get(outcome).text
    assert "2 were issued" in told
    assert "C-2026-0001" in told
    assert "Teodor" in told
    assert visitor("i-02").get(outcome).status_code == 404
    assert "to all" not in teacher.get(ISSUING).text


def test_asked_for_again_nobody_gets_a_second_one(class_of: World, visitor: Visit) -> None:
    """From the command line, where `jobs wait` shows how far it is; only who is in the own sections."""
    for number in (1, 2):
        asked = CliRunner().invoke(certificates, ["issue-class", KIND], obj=class_of.instance)
        assert asked.output.startswith(f"job {number} issues {KIND} to everybody who is ready")
        work_off(class_of)
    page = visitor("c-01").get(ISSUING).text
    assert "2 are valid" in page
