"""A phone of the tests: 390 pixels, a touch screen whose taps are counted, and a floor to observe on."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Literal

from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlalchemy import select

from mentor_training.observing.tables import Observation
from tests.browser.entering import fill_sign_in
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, add_session
from tests.small_program import GUARDING, small_files

FLOOR = "/observe/floor"
NOT_SENT = "#waiting-count"
GREETING = "Greeting by name"
CRITERIA = 8


class Phone:
    """A phone with a touch screen of 390 pixels, whose taps are counted."""

    def __init__(self, context: BrowserContext) -> None:
        self.context = context
        self.page: Page = context.new_page()
        self.taps = 0

    def sign_in(self, code: str) -> None:
        """Sign in with address and password."""
        fill_sign_in(self.page, code)

    def sign_out(self) -> None:
        """Sign out, whatever is asked first."""
        self.page.goto("/observe")
        self.page.get_by_role("button", name="Sign out").tap()
        expect(self.page.get_by_role("button", name="Sign in")).to_be_visible()

    def get_ready(self) -> None:
        """Load the page once with a network, until it says that it works without."""
        self.page.goto(FLOOR)
        expect(self.page.locator("#kept")).to_contain_text("works without a network")

    def open_again(self) -> None:
        """Close the page and open it in a new one."""
        self.page.close()
        self.page = self.context.new_page()
        self.page.goto(FLOOR)

    def tap(self, selector: str) -> None:
        """Tap something, and count it."""
        self.page.locator(selector).tap()
        self.taps += 1

    def observe(self, name: str, skill: str = "Guarding a balance task") -> int:
        """Record that everything was done, and return how many taps it took."""
        self.taps = 0
        self.tap(f".row-link:has-text('{name}')")
        self.tap(f".row-link:has-text('{skill}')")
        for number in range(1, CRITERIA + 1):
            self.tap(f"label[for=mark-{number}-done]")
        self.tap("label[for=live-yes]")
        self.tap("button:has-text('Save the observation')")
        expect(self.page.locator("#saved")).to_contain_text(f"Saved on this phone: {skill}, {name}")
        return self.taps


def fill_floor(world: World) -> None:
    """Have five volunteers expected today, and two skills of eight criteria; the clock is not the phone's."""
    more = "".join(f"  - text: Keeps to step {number}.\n" for number in range(5, CRITERIA + 1))
    skill = GUARDING.replace("sign_off:", f"{more}sign_off:", 1)
    other = skill.replace("slug: guarding", "slug: greeting").replace("Guarding a balance task", GREETING)
    world.publish({**small_files(), "program/skills/guarding.md": skill, "program/skills/greeting.md": other})
    codes = [f"v-00{number}" for number in range(1, 6)]
    for code in codes:
        world.add_person(code, name=f"Odalys Brannagh {code[-1]}")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    world.add_participant("p-01", needs="fall-risk")
    add_session(world, "s-01", FRIDAY, ";".join(codes), "o-01;o-02", participants="p-01")


@contextmanager
def phone_at(browser: Browser, address: str, scheme: Literal["light", "dark"] = "light") -> Iterator[Phone]:
    """Give a phone that reaches an address as `localhost`, which browsers trust as they trust HTTPS."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, base_url=address.replace("127.0.0.1", "localhost"),
        color_scheme=scheme,
    )  # fmt: skip
    try:
        yield Phone(context)
    finally:
        context.close()


def stored(world: World) -> list[Observation]:
    """Return what the program has stored."""
    with world.reading() as db:
        return list(db.scalars(select(Observation).order_by(Observation.person, Observation.id)))


def eventually(holds: Callable[[], bool], seconds: float = 40) -> bool:
    """Wait until something holds, or give up."""
    end = time.monotonic() + seconds
    while not holds() and time.monotonic() < end:
        time.sleep(0.1)
    return holds()
