"""Terms, when somebody can come, who is expected, and a stale form: on a phone and at a desk, by day and by night."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from playwright.sync_api import Browser

from mentor_training.calendar.actions import store_term
from mentor_training.calendar.terms import TermFact
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.saying import attend, say_when
from tests.browser.axe import violations
from tests.browser.entering import sign_in
from tests.browser.serving import served
from tests.browser.test_covering import SMALL
from tests.builders import FRIDAY, World, make_world
from tests.planning.saturday import COORDINATES, put, saturday

FALL = TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 18), (date(2026, 11, 28),))
PAGES = (
    "/sessions", "/terms", "/terms/fall", "/terms/new", "/availability/all", "/availability/v-002", "/sessions/s-11",
    "/sessions/s-11/expected", "/sessions/s-11/blocks/1", "/sessions/s-11/blocks/2/place?participant=p-01",
)  # fmt: skip


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """Give the Saturday with a term, a volunteer who is placed and cannot come, and a participant who comes late."""
    world = make_world(tmp_path_factory.mktemp("availability") / "instance")
    world.publish()
    saturday(world)
    put(world, 1, "balance-lane", "v-002", "p-01")
    with world.writing() as db:
        now = world.clock.now()
        store_term(db, now, CONSOLE, FALL)
        for which, about, answer in (("fall", "term", "SA 09:00-12:00"), ("s-11", "session", "cannot")):
            say_when(db, now, COORDINATES, "v-002", about, which, answer, FRIDAY)
        attend(db, now, COORDINATES, "s-11", {"p-02": {2}}, 0)
    yield world
    world.instance.database.close()


@pytest.fixture(scope="module")
def address(world: World) -> Iterator[str]:
    """Serve it."""
    with served(world) as address:
        yield address


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_pages_have_no_findings_fit_and_can_be_pressed(
    browser: Browser, address: str, width: int, scheme: str
) -> None:
    """For the coordinator; and the volunteer's own."""
    page = sign_in(browser, address, width, scheme)
    for one in PAGES:
        page.goto(one)
        assert violations(page) == [], one
        assert page.evaluate("document.documentElement.scrollWidth") <= width, one
        assert page.evaluate(SMALL) == [], one
    page.context.close()
    own = sign_in(browser, address, width, scheme, "v-002")
    own.goto("/availability")
    assert violations(own) == []
    assert own.evaluate("document.documentElement.scrollWidth") <= width
    own.context.close()
