"""The pages of certificates in a real browser, by phone and by desk: a class and its files, one's own, a stranger's."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from mentor_training.certificates.actions import issue, revoke
from mentor_training.certificates.rules import grouped
from mentor_training.certificates.tables import Certificate
from tests.browser.entering import fill_sign_in, hold_sound, sign_in_anew
from tests.browser.serving import served
from tests.builders import FRIDAY, NOON, World, make_world
from tests.certificates.holders import COORDINATOR, KIND, add_people, void
from tests.jobs.working import work_off
from tests.small_program import small_files

BOTH: tuple[Literal["light", "dark"], ...] = ("light", "dark")


@pytest.fixture
def class_of(tmp_path: Path) -> Iterator[World]:
    """Give a class of which three have a certificate: in doubt, withdrawn and lapsed; and two who are ready."""
    world = make_world(tmp_path / "instance")
    files = small_files()
    files["program/certificates.toml"] += "good_for_months = 6\n"
    world.publish(files)
    add_people(world)
    for number, section in ((3, "KIN-372-A"), (4, "KIN-372-B"), (5, "KIN-372-A")):
        world.add_person(f"v-00{number}", name=f"Maren Oduvane-Thistlewhaite {number}", sections=section)
        world.hold(f"v-00{number}", "module/safety", "skill/guarding")
    with world.writing() as db:
        issue(db, NOON, COORDINATOR, "v-001", KIND, FRIDAY)
        issue(db, NOON, COORDINATOR, "v-005", KIND, FRIDAY)
        revoke(db, NOON, COORDINATOR, "C-2026-0002", "Shown by mistake.")
    world.clock.moment += timedelta(hours=1)
    yield world
    world.instance.database.close()


@pytest.fixture(params=(390, 1280))
def context(request: pytest.FixtureRequest, browser: Browser, class_of: World) -> Iterator[BrowserContext]:
    """Give a browser as wide as a phone or a desk, on the served instance."""
    with served(class_of) as address:
        opened = browser.new_context(viewport={"width": request.param, "height": 900}, base_url=address)
        yield opened
        opened.close()


def code_of(world: World, number: str) -> str:
    with world.reading() as db:
        return grouped(db.get_one(Certificate, number).verification_code)


def type_in(page: Page, number: str, code: str) -> None:
    page.goto("/verify")
    page.get_by_label("Number").fill(number)
    page.get_by_label("Code").fill(code)
    page.get_by_role("button", name="Ask").click()


def test_a_class_is_issued_and_its_files_are_taken_away(
    context: BrowserContext, class_of: World, tmp_path: Path
) -> None:
    """From Today, which says that one is in doubt, to the ZIP; each page holds its width and its accessibility."""
    void(class_of, "r-0002")
    page = fill_sign_in(context.new_page(), "c-01")
    page.goto("/today")
    hold_sound(page)
    page.get_by_role("link", name="1 certificate is in doubt").click()
    expect(page.get_by_role("heading", name="In doubt")).to_be_visible()
    hold_sound(page, BOTH)
    page.get_by_role("button", name="Issue Balance lane mentor to all 3").click()
    expect(page.get_by_text("It waits for its turn")).to_be_visible()
    page.goto(f"{page.url}&still=1")
    hold_sound(page, BOTH)
    assert work_off(class_of) == 1
    page.goto("/jobs/1?then=on")
    expect(page.get_by_text("3 were issued")).to_be_visible()
    hold_sound(page, BOTH)
    page.get_by_role("link", name="their files in one ZIP").click()
    take_files(page, class_of, tmp_path / "taken.zip")


def take_files(page: Page, class_of: World, target: Path) -> None:
    """Ask for the files of a section, to be kept, on A4; wait for them, and take them away."""
    hold_sound(page, BOTH)
    page.get_by_label("Section").select_option("KIN-372-A")
    page.get_by_label("Paper").select_option("A4")
    page.get_by_label("To be kept for long").check()
    page.get_by_role("button", name="Make the files").click()
    expect(page.get_by_text("It waits for its turn")).to_be_visible()
    assert work_off(class_of) == 1
    expect(page.get_by_text("3 certificates are in one ZIP")).to_be_visible(timeout=20_000)
    hold_sound(page, BOTH)
    with page.expect_download() as taken:
        page.get_by_role("link", name="Take it").click()
    taken.value.save_as(target)
    with zipfile.ZipFile(target) as opened:
        assert opened.namelist()[1:] == [f"C-2026-000{number}-archival.pdf" for number in (1, 3, 5)]


def test_a_stranger_types_a_printed_number_in(context: BrowserContext, class_of: World) -> None:
    """Valid, withdrawn, unknown and lapsed, each said at the top; with signs that people take for one another."""
    page, code = context.new_page(), code_of(class_of, "C-2026-0001")
    page.goto("/verify")
    hold_sound(page, BOTH)
    page.get_by_role("button", name="Ask").click()
    expect(page.get_by_text("Write the number").first).to_be_visible()
    hold_sound(page)
    type_in(page, "c 2O26 ooo1", code.lower().replace("-", " "))
    expect(page.get_by_role("heading", name="Certificate C-2026-0001: valid")).to_be_visible()
    hold_sound(page, BOTH)
    type_in(page, "C-2026-0002", code_of(class_of, "C-2026-0002"))
    expect(page.get_by_role("heading", name="C-2026-0002: withdrawn")).to_be_visible()
    hold_sound(page, BOTH)
    type_in(page, "C-2026-0002", code)
    expect(page.get_by_role("heading", name="C-2026-0002: unknown")).to_be_visible()
    hold_sound(page, BOTH)
    class_of.clock.moment += timedelta(days=200)
    type_in(page, "C-2026-0001", code)
    expect(page.get_by_role("heading", name="C-2026-0001: lapsed")).to_be_visible()
    hold_sound(page, BOTH)


def test_a_student_takes_the_credential_and_the_file_to_keep(context: BrowserContext, class_of: World) -> None:
    """From their own page; who has none reads what is missing."""
    page = sign_in_anew(context, "v-001")
    page.goto("/certificates")
    hold_sound(page, BOTH)
    for name, file in (("as a signed credential", "C-2026-0001.json"), ("PDF to keep", "C-2026-0001-archival.pdf")):
        with page.expect_download() as taken:
            page.get_by_role("link", name=name).click()
        assert taken.value.suggested_filename == file
    page.get_by_role("link", name="Check it as anybody can").click()
    expect(page.get_by_role("heading", name="Certificate C-2026-0001: valid")).to_be_visible()
    page = sign_in_anew(context, "v-002")
    page.goto("/certificates")
    expect(page.get_by_text("Still missing")).to_be_visible()
    hold_sound(page, BOTH)


def test_revoking_and_issuing_anew_hold_their_width(context: BrowserContext, class_of: World) -> None:
    """Both say first what will happen to whom; a reason left out is asked for beside the field."""
    page = sign_in_anew(context, "i-01")
    for act in ("revoke", "reissue"):
        page.goto(f"/certificates/issued/C-2026-0001/{act}")
        hold_sound(page, BOTH)
        page.locator("main form button[type=submit]").click()
        expect(page.get_by_text("Write the reason").first).to_be_visible()
        hold_sound(page)
