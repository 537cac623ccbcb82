"""A volunteer takes a quiz of every kind by keyboard alone, on a phone's and a desk's width, and at 200 % zoom.

No step of it clicks, and no script puts the focus anywhere or fills a field in (WCAG 2.2, 2.1.1 Keyboard).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.asking import RIGHT, SCENARIOS, SLUGS, asking_files
from tests.browser.keyboard import Keyboard
from tests.browser.serving import served
from tests.browser.test_four_users import look
from tests.builders import PASSWORD, World, make_world
from tests.learning.taking import attempts, kept

WIDTHS = {"phone": (390, 844), "desk": (1280, 900)}
# A desk of 1280 by 900 px at 200 %, and the 320 px to which text must reflow.
ZOOMED = {"1.4.4 Resize Text": (640, 450), "1.4.10 Reflow": (320, 568)}
STICKS_OUT = """[...document.querySelectorAll("main *")].filter(one => !one.closest(".table-room, .visually-hidden")
  && one.getBoundingClientRect().right > innerWidth + 1).map(one => one.outerHTML.slice(0, 120))"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[World, str]]:
    """Give an instance that asks every kind of scenario, and its address."""
    world = make_world(tmp_path_factory.mktemp("keyboard") / "instance")
    world.publish(asking_files())
    with served(world) as address:
        yield world, address
    world.instance.database.close()


@contextmanager
def seated(browser: Browser, place: tuple[World, str], code: str, size: tuple[int, int]) -> Iterator[Keyboard]:
    """Give a new volunteer the keyboard of a window of a size, signed in by it."""
    world, address = place
    world.add_person(code)
    # Without motion, so that what has the focus is where it will stay.
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, base_url=address, reduced_motion="reduce"
    )
    keyboard = Keyboard(context.new_page())
    keyboard.page.goto("/sign-in")
    for label, text in (("E-mail", f"{code}@marrowdale.example"), ("Password", PASSWORD)):
        if keyboard.focus().name != label:
            keyboard.go_to(label)
        keyboard.type(text)
    keyboard.press("Enter")
    expect(keyboard.page.get_by_role("button", name="Sign out")).to_be_visible()
    yield keyboard
    context.close()


def begin(at: Keyboard, slug: str) -> int:
    """Open the quiz's page, start an attempt by the keyboard, and return its number."""
    at.page.goto(f"/quiz/{slug}")
    at.go_to("Start an attempt")
    at.press("Enter")
    expect(at.page.get_by_role("heading", level=1)).to_contain_text("Scenario 1 of")
    return int(at.page.url.split("/")[-2])


# ---- how each kind is answered ----


def choose_one(at: Keyboard) -> None:
    at.choose("Say hello and wait.", "Choose the one best answer")


def choose_all(at: Keyboard) -> None:
    """One tick too many is taken back by the same key, and Shift+Tab leads back."""
    for name in ("Before the session.", "Only on Mondays.", "After touching equipment."):
        at.go_to(name, key=toward(at, name))
        at.press("Space")
    at.go_to("Only on Mondays.", key=toward(at, "Only on Mondays."))
    at.press("Space")


def toward(at: Keyboard, name: str) -> str:
    """Return the key that leads to a checkbox: options stand in another order in every attempt."""
    names = [one.name for one in at.controls()]
    here = at.focus().name
    return "Shift+Tab" if here in names and names.index(here) > names.index(name) else "Tab"


def put_in_order(at: Keyboard) -> None:
    """Each step has a list of places: an arrow moves on in it, or the figure is typed; nothing is dragged."""
    assert at.page.locator("[draggable=true]").count() == 0
    places = {"Look for what lies about.": "1", "Mop up what is wet.": "2", "Open the lane.": "3"}
    for control in [one for one in at.controls() if one.name in places and one.role == "combobox"]:
        at.go_to(control.name)
        if places[control.name] == "2":
            at.press("ArrowDown", "ArrowDown")
        else:
            at.type(places[control.name])


def read_measure(at: Keyboard) -> None:
    at.go_to("The number")
    at.type("20")
    at.choose("s", "The unit")


def unfold(at: Keyboard) -> None:
    """A choice stands once one has gone on; then the next Tab leads into the next scene, not to the top of the page."""
    at.choose("Offer a job.", "What do you do?")
    at.go_to("Do this")
    at.press("Enter")
    expect(at.page.locator("#now")).to_contain_text("He takes the job.")
    at.press("Tab")
    assert at.focus().role == "radio"
    at.choose("Tell the door watch.", "What do you do?")
    at.go_to("Do this")
    at.press("Enter")
    expect(at.page.locator("#now")).to_contain_text("has come to its end")
    at.press("Tab")
    assert at.focus().name in ("Next scenario", "All answers")
    at.press("Shift+Tab")


ANSWER: dict[str, Callable[[Keyboard], None]] = {
    one.__name__: one for one in (choose_one, choose_all, put_in_order, read_measure, unfold)
}


def go_on(at: Keyboard, kind: str, button: str) -> None:
    """Leave a scenario that is answered: by the button that saves, or the link where it is saved already."""
    links = {"Save and go on": "Next scenario", "Save and see all answers": "All answers"}
    at.go_to(links[button] if kind == "unfold" else button)
    at.press("Enter")


# ---- what is held ----


@pytest.mark.parametrize("size", WIDTHS)
@pytest.mark.parametrize("kind", SCENARIOS)
def test_a_scenario_of_each_kind_is_answered_by_keyboard_alone(
    browser: Browser, place: tuple[World, str], kind: str, size: str
) -> None:
    """From the quiz's page to the answer being kept; every control has a name, and axe finds nothing by day or night.

    WCAG 2.2: 2.1.1 Keyboard, 2.4.7 Focus Visible, 2.4.11 Focus Not Obscured, 2.5.7 Dragging Movements, 4.1.2 Name,
    Role, Value.
    """
    code = f"v-{kind.replace('_', '-')}-{size}"
    with seated(browser, place, code, WIDTHS[size]) as at:
        number = begin(at, kind.replace("_", "-"))
        assert [one for one in at.controls() if not one.name] == []
        ANSWER[kind](at)
        look(at.page)
        go_on(at, kind, "Save and see all answers")
        expect(at.page.get_by_role("heading", level=1)).to_contain_text("All answers")
        expect(at.page.get_by_text("1 of 1 answered")).to_be_visible()
        assert kept(place[0], code, number) == {SLUGS[kind]: RIGHT[kind]}


def test_what_is_missing_is_said_where_the_focus_is_and_leads_to_its_field(
    browser: Browser, place: tuple[World, str]
) -> None:
    """A number without its unit: the summary has the focus, its link leads to the choices, and the number is kept.

    WCAG 2.2: 3.3.1 Error Identification, 2.4.3 Focus Order.
    """
    with seated(browser, place, "v-missing", WIDTHS["phone"]) as at:
        begin(at, "read-measure")
        at.go_to("The number")
        at.type("20")
        at.go_to("Save and see all answers")
        at.press("Enter")
        expect(at.page.locator("#error-summary")).to_be_focused()
        assert at.focus().name == "One thing has to be put right"
        look(at.page)
        at.press("Tab")
        assert at.focus().name.startswith("The unit: Choose the unit")
        at.press("Enter")
        at.choose("s", "The unit")
        at.go_to("Save and see all answers")
        at.press("Enter")
        expect(at.page.get_by_text("1 of 1 answered")).to_be_visible()


@pytest.mark.parametrize("size", WIDTHS)
def test_a_whole_attempt_is_taken_closed_and_explained_by_keyboard_alone(
    browser: Browser, place: tuple[World, str], size: str
) -> None:
    """All five kinds in one attempt; the result says of every scenario why, and leads to the passage to read again."""
    code, slugs = f"v-whole-{size}", {slug: kind for kind, slug in SLUGS.items()}
    with seated(browser, place, code, WIDTHS[size]) as at:
        number = begin(at, "safety")
        for number_shown in range(1, len(SLUGS) + 1):
            expect(at.page.get_by_role("heading", level=1)).to_contain_text(f"Scenario {number_shown} of 5")
            kind = kind_of(at.page)
            ANSWER[kind](at)
            go_on(at, kind, "Save and go on" if number_shown < len(SLUGS) else "Save and see all answers")
        expect(at.page.get_by_text("5 of 5 answered")).to_be_visible()
        assert {slugs[slug]: answer for slug, answer in kept(place[0], code, number).items()} == RIGHT
        close(at)
        every_scenario_is_explained(at.page)
        assert dict(attempts(place[0]))[code] is not None
        read_again(at)


def kind_of(page: Page) -> str:
    """Tell by its text which scenario is asked: they are drawn in another order in every attempt."""
    asked = page.locator(".scenario-text").inner_text()
    return next(kind for kind, text in SCENARIOS.items() if f"text: {asked}\n" in text)


def close(at: Keyboard) -> None:
    """Close the attempt, after the page has said what that means."""
    at.go_to("Close the attempt")
    at.press("Enter")
    expect(at.page.get_by_text("All 5 scenarios are answered.")).to_be_visible()
    look(at.page)
    at.go_to("Close it and see the result")
    at.press("Enter")


def every_scenario_is_explained(page: Page) -> None:
    expect(page.get_by_role("heading", level=1)).to_contain_text("Passed")
    look(page)
    explained = page.locator(".review")
    expect(explained).to_have_count(5)
    for number in range(5):
        expect(explained.nth(number)).to_contain_text("Why.")
        expect(explained.nth(number).get_by_role("link", name=re.compile("^Read again: "))).to_have_count(1)


def read_again(at: Keyboard) -> None:
    """Follow the way back into the text."""
    at.go_to("Read again: Exits")
    at.press("Enter")
    expect(at.page.get_by_role("heading", level=1)).to_contain_text("Exits")


@pytest.mark.parametrize("criterion", ZOOMED)
def test_nothing_scrolls_sideways_at_200_percent_zoom(
    browser: Browser, place: tuple[World, str], criterion: str
) -> None:
    """A section of a module and a scenario of each kind: all of it within the width of the window.

    WCAG 2.2: 1.4.4 Resize Text asks for 200 %, which halves the window's width in CSS pixels; 1.4.10 Reflow for 320
    CSS pixels without scrolling in two directions, a table excepted, which scrolls within itself.
    """
    with seated(browser, place, f"v-zoomed-{ZOOMED[criterion][0]}", ZOOMED[criterion]) as at:
        at.page.goto("/learn/safety/read/hands")
        fits(at.page, criterion)
        begin(at, "safety")
        attempt = at.page.url.rpartition("/")[0]
        for number in range(1, len(SLUGS) + 1):
            at.page.goto(f"{attempt}/{number}")
            fits(at.page, criterion)


def fits(page: Page, criterion: str) -> None:
    width = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert width[0] <= width[1], f"{criterion}: {page.url} is {width[0]} px wide"
    assert page.evaluate(STICKS_OUT) == [], f"{criterion}: {page.url}"
