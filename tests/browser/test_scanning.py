"""Finding a person by the code on a name tag, without a network; and saying so where it cannot be done."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserType, expect

from mentor_training.observing.pdf import observe_address
from tests.browser.axe import violations
from tests.browser.camera import browser_with, camera_showing, picture_of
from tests.browser.phone import FLOOR, NOT_SENT, Phone, eventually, phone_at, stored
from tests.browser.serving import served
from tests.builders import World

LIVE_TRACKS = "document.getElementById('scanner-picture').srcObject?.getTracks().length ?? 0"
OPEN_ELSEWHERE = "navigator.mediaDevices.getUserMedia({video: true}).then(() => 'open', (no) => no.name)"


def test_a_name_tag_held_before_the_camera_leads_to_its_person_without_a_network(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], floor: World, tmp_path: Path
) -> None:
    """The tag bears the program's public address, whatever address the phone has it under; the camera is off after."""
    tag = picture_of(observe_address(floor.instance.settings.address, "v-003"), tmp_path)
    with (
        browser_with(browser_type, browser_type_launch_args, *camera_showing(tag)) as browser,
        served(floor) as address,
        phone_at(browser, address) as phone,
    ):
        get_ready(phone)
        phone.context.set_offline(True)
        phone.open_again()
        phone.tap("#scan")
        expect(phone.page.get_by_role("heading", level=1)).to_have_text("Odalys Brannagh 3: skills", timeout=15_000)
        expect(phone.page.locator("#scanner")).to_be_hidden()
        assert phone.page.evaluate(LIVE_TRACKS) == 0


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("{site}/observe/v-099", "v-099 is not among the people of Fri 16 Oct 2026."),
        ("{site}/observe/v%ff", "v%ff is not among the people of Fri 16 Oct 2026."),
        ("{site}/sheets/guarding", "This is no name tag of this program."),
        ("https://elsewhere.example/observe/v-003", "This is no name tag of this program."),
    ],
    ids=["somebody-else", "written-wrong", "a-sheet", "another-site"],
)
def test_any_other_code_leads_nowhere_and_says_what_it_is_not(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], floor: World, tmp_path: Path,
    code: str, words: str,
) -> None:  # fmt: skip
    """The camera goes on looking; Escape closes it and turns it off, and the focus is back on the button."""
    shown = picture_of(code.format(site=floor.instance.settings.address), tmp_path)
    with (
        browser_with(browser_type, browser_type_launch_args, *camera_showing(shown)) as browser,
        served(floor) as address,
        phone_at(browser, address) as phone,
    ):
        get_ready(phone)
        phone.page.locator("#scan").focus()
        phone.page.keyboard.press("Enter")
        dialog = phone.page.get_by_role("dialog", name="Scan a name tag")
        expect(dialog.get_by_role("status")).to_have_text(words, timeout=15_000)
        assert phone.page.evaluate(LIVE_TRACKS) == 1
        assert violations(phone.page) == []
        phone.page.keyboard.press("Escape")
        expect(dialog).to_be_hidden()
        expect(phone.page.locator("#scan")).to_be_focused()
        assert phone.page.evaluate(LIVE_TRACKS) == 0
        assert phone.page.url.endswith(FLOOR)


def test_without_a_camera_it_says_so_and_how_to_go_on(browser: Browser, floor: World) -> None:
    """This machine has none; a refusal of the browser is said as well."""
    with served(floor) as address, phone_at(browser, address) as phone:
        get_ready(phone)
        phone.tap("#scan")
        says = phone.page.locator("#scanner-says")
        expect(says).to_have_text(
            "This device has no camera that a page can use. Close this, and pick from the list or find by name or code."
        )
        phone.tap("#scanner-close")
        expect(phone.page.locator("#scanner")).to_be_hidden()
        no = "Promise.reject(new DOMException('', 'NotAllowedError'))"
        phone.page.evaluate(f"() => {{ navigator.mediaDevices.getUserMedia = () => {no}; }}")
        phone.tap("#scan")
        expect(says).to_contain_text("The camera may not be used here")


def test_no_other_page_may_use_the_camera(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], floor: World, tmp_path: Path
) -> None:
    """The header of each other page forbids it to the browser."""
    shown = picture_of("anything", tmp_path)
    with (
        browser_with(browser_type, browser_type_launch_args, *camera_showing(shown)) as browser,
        served(floor) as address,
        phone_at(browser, address) as phone,
    ):
        phone.sign_in("o-01")
        phone.page.goto("/observe")
        assert phone.page.evaluate(OPEN_ELSEWHERE) == "NotAllowedError"
        phone.page.goto(FLOOR)
        assert phone.page.evaluate(OPEN_ELSEWHERE) == "open"


def test_without_https_it_says_that_the_page_is_not_kept_and_an_observation_is_all_the_same(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], floor: World
) -> None:
    """Under an address that a browser does not trust: no service worker, no camera, no sealing; still a queue."""
    rule = "--host-resolver-rules=MAP gym.example 127.0.0.1"
    with (
        browser_with(browser_type, browser_type_launch_args, rule) as browser,
        served(floor) as address,
        phone_at(browser, address.replace("127.0.0.1", "gym.example")) as phone,
    ):
        phone.sign_in("o-01")
        phone.page.goto(FLOOR)
        assert not phone.page.evaluate("window.isSecureContext")
        expect(phone.page.locator("#not-kept")).to_contain_text("This address has no HTTPS")
        expect(phone.page.locator("#kept")).not_to_contain_text("works without a network")
        phone.tap("#scan")
        expect(phone.page.locator("#scanner-says")).to_contain_text("Without HTTPS the browser lets no page use")
        phone.tap("#scanner-close")
        phone.observe("Odalys Brannagh 1")
        expect(phone.page.locator(NOT_SENT)).to_have_text("1 not sent yet")
        assert eventually(lambda: len(stored(floor)) == 1)


def get_ready(phone: Phone) -> None:
    phone.sign_in("o-01")
    phone.get_ready()
    expect(phone.page.locator("#not-kept")).to_be_hidden()
