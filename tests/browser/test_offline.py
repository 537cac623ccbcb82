"""Observing on a phone with no network: nothing is lost, nothing is stored twice, and it takes few taps."""

from __future__ import annotations

import time
from datetime import UTC, datetime

from playwright.sync_api import Browser, expect
from sqlalchemy import select

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.observing.tables import Mark
from mentor_training.people.permissions import CONSOLE
from tests.browser.axe import violations
from tests.browser.dropping import Dropping
from tests.browser.phone import CRITERIA, FLOOR, GREETING, NOT_SENT, eventually, phone_at, stored
from tests.browser.serving import served
from tests.builders import FRIDAY, NOON, World
from tests.small_program import small_files

MOST_TAPS = CRITERIA + 4

# What lies in the phone's database, as text, sealed or not.
IN_THE_DATABASE = """async () => {
  const done = (asked) => new Promise((resolve) => { asked.onsuccess = () => resolve(asked.result); });
  const db = await done(indexedDB.open("observing"));
  const isMore = (value) => value !== null && typeof value === "object" && !ArrayBuffer.isView(value);
  const text = (value) => value instanceof ArrayBuffer ? new TextDecoder().decode(value)
    : value instanceof CryptoKey ? `key ${value.extractable}`
    : isMore(value) ? Object.values(value).map(text).join(" ") : String(value);
  const all = (name) => done(db.transaction(name).objectStore(name).getAll());
  return (await Promise.all(["keys", "notes", "queue"].map(all))).flat().map(text).join("\\n");
}"""


def test_five_observations_made_offline_are_stored_once_each_though_every_second_answer_is_lost(
    browser: Browser, floor: World
) -> None:
    """The page is closed and opened again without a network in between; the taps and the time are counted."""
    losing: list[Dropping] = []

    def around(app: object) -> Dropping:
        losing.append(Dropping(app, f"{FLOOR}/send"))  # type: ignore[arg-type]
        return losing[0]

    with served(floor, around) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.context.set_offline(True)
        begun = time.monotonic()
        phone.open_again()
        taps = phone.observe("Odalys Brannagh 1")
        seconds = time.monotonic() - begun
        for number in range(2, 6):
            phone.observe(f"Odalys Brannagh {number}")
        phone.open_again()
        expect(phone.page.locator(NOT_SENT)).to_have_text("5 not sent yet")
        assert stored(floor) == []
        kept = phone.page.evaluate(IN_THE_DATABASE)
        assert "key false" in kept
        assert not any(word in kept for word in ("Brannagh", "Name01", "another-way", "guarding", "not-seen"))
        phone.context.set_offline(False)
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet", timeout=60_000)
    rows = stored(floor)
    assert [row.person for row in rows] == [f"v-00{number}" for number in range(1, 6)]
    assert all(row.result == "met" and row.observer == "o-01" and row.made_at for row in rows)
    assert losing[0].lost >= 3
    print(f"\n{taps} taps and {seconds:.1f} s from opening to saved, a skill of {CRITERIA} criteria; "  # noqa: T201
          f"{losing[0].lost} of {losing[0].asked} answers were lost")  # fmt: skip
    assert taps <= MOST_TAPS


def test_one_that_is_not_taken_stays_with_its_reason_until_it_is_sent_again_knowingly(
    browser: Browser, floor: World
) -> None:
    """Stood down meanwhile: the reason stands beside it, also after the page was closed; the other one went out."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.context.set_offline(True)
        phone.observe("Odalys Brannagh 1")
        phone.observe("Odalys Brannagh 2")
        floor.clock.forward(seconds=1)
        with floor.writing() as db:
            pause(db, floor.clock.now(), CONSOLE, "v-001", STOOD_DOWN, "", FRIDAY, None, "Left the lane.")
        phone.context.set_offline(False)
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet, 1 not taken", timeout=30_000)
        phone.open_again()
        phone.tap(NOT_SENT)
        expect(phone.page.locator("#view")).to_contain_text("Guarding a balance task, Odalys Brannagh 1")
        expect(phone.page.locator("#view")).to_contain_text("Stood down from Fri 16 Oct 2026 on, from everything")
        assert [row.person for row in stored(floor)] == ["v-002"]
        assert violations(phone.page) == []
        phone.tap("button:has-text('Send it again')")
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet", timeout=30_000)
    assert [row.person for row in stored(floor)] == ["v-001", "v-002"]


def test_one_of_a_skill_that_was_withdrawn_stays_until_it_is_deleted_by_hand(browser: Browser, floor: World) -> None:
    """Deleting asks once more, since it was never stored anywhere else."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.context.set_offline(True)
        phone.observe("Odalys Brannagh 3", GREETING)
        floor.clock.forward(seconds=1)
        floor.publish(small_files(), number=2)
        phone.context.set_offline(False)
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet, 1 not taken", timeout=40_000)
        phone.tap(NOT_SENT)
        expect(phone.page.locator("#view")).to_contain_text("it was withdrawn")
        phone.page.once("dialog", lambda dialog: dialog.accept())
        phone.tap("button:has-text('Delete it')")
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet")
    assert stored(floor) == []


def test_what_was_saved_can_be_undone_for_ten_seconds_and_is_not_sent_before(browser: Browser, floor: World) -> None:
    """Undone, the marks stand there again to be put right; when the next one is begun, the first goes out."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.observe("Odalys Brannagh 1")
        phone.tap("button:has-text('Undo')")
        expect(phone.page.locator("#mark-8-done")).to_be_checked()
        expect(phone.page.locator(NOT_SENT)).to_have_text("0 not sent yet")
        phone.tap("label[for=mark-8-reminded]")
        phone.tap("button:has-text('Save the observation')")
        expect(phone.page.locator(NOT_SENT)).to_have_text("1 not sent yet")
        time.sleep(2)
        assert stored(floor) == []
        phone.tap(".row-link:has-text('Odalys Brannagh 2')")
        phone.tap(".row-link:has-text('Guarding')")
        expect(phone.page.locator("button:has-text('Undo')")).to_have_count(0)
        assert eventually(lambda: len(stored(floor)) == 1)
        with floor.reading() as db:
            marks = db.scalars(select(Mark.mark).order_by(Mark.criterion)).all()
        assert marks == ["done"] * 7 + ["reminded"]


def test_left_alone_it_goes_out_after_ten_seconds(browser: Browser, floor: World) -> None:
    """And the line says what it came to."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.observe("Odalys Brannagh 1")
        saved = time.monotonic()
        assert eventually(lambda: len(stored(floor)) == 1)
        assert time.monotonic() - saved > 8
        phone.tap(NOT_SENT)
        expect(phone.page.locator("#view")).to_contain_text("Odalys Brannagh 1: Met. It counts.")


def test_a_day_is_the_programs_however_far_off_the_phones_clock_is(browser: Browser, floor: World) -> None:
    """The program's clock stands on a Friday in October, the phone's runs; how far off it is, is kept."""
    with served(floor) as address, phone_at(browser, address) as phone:
        phone.sign_in("o-01")
        phone.get_ready()
        phone.observe("Odalys Brannagh 1")
        assert eventually(lambda: len(stored(floor)) == 1)
    row = stored(floor)[0]
    off = (datetime.now(UTC) - NOON).total_seconds()
    assert row.day == FRIDAY
    assert row.clock_seconds is not None
    assert abs(row.clock_seconds - off) < 120
    assert row.made_at is not None
    assert abs((row.made_at - NOON).total_seconds() - off) < 120
