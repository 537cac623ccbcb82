"""The way in: each person is led to the page they come for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from mentor_training.application import create_app
from tests.builders import World, make_world
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]


@pytest.mark.parametrize(
    ("roles", "page"),
    [
        ("volunteer", "/path"),
        ("observer", "/observe"),
        ("course-instructor", "/hours/sections"),
        ("coordinator", "/today"),
        ("volunteer;observer", "/observe"),
        ("volunteer;coordinator", "/today"),
    ],
)
def test_each_role_has_its_own_way_in(world: World, visitor: Visit, roles: str, page: str) -> None:
    """The program's name, and signing in, lead there, and the page opens."""
    world.add_person("x-01", roles, sections="KIN-372-A")
    visit = visitor("x-01")
    answer = visit.get("/")
    assert (answer.status_code, answer.location) == (302, page)
    assert visit.client.get(page, follow_redirects=True).status_code == 200


def test_a_stranger_is_asked_to_sign_in(world: World) -> None:
    """Nothing is shown before."""
    answer = create_app(world.instance, testing=True).test_client().get("/")
    assert answer.location == "/sign-in"


def test_the_coordinator_of_an_empty_instance_is_led_to_publishing(tmp_path: Path) -> None:
    """No edition yet: the first page says what to do first, and then what comes after."""
    world = make_world(tmp_path / "new")
    world.add_person("c-01", "coordinator")
    visit = Visitor(create_app(world.instance, testing=True).test_client()).sign_in("c-01")
    page = visit.get("/today")
    assert page.status_code == 200
    assert "No edition of the program has been published yet." in page.text
    for address in ("/program/files", "/people", "/participants", "/sessions"):
        assert f'href="{address}"' in page.text
    world.instance.database.close()
