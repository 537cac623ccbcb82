"""A volunteer's path: the next step on top, and everything else as it stands, through HTTP."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime

from mentor_training.evidence.actions import record
from mentor_training.participants.actions import write_card
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, put, saturday
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]


def words_of(page: str) -> str:
    """Return what a page says, without its tags."""
    return re.sub(r" ([.,;:])", r"\1", " ".join(re.sub(r"<[^>]+>", " ", page).split()))


def next_box(page: str) -> str:
    """Return the one thing to do next, with its address."""
    found = re.search(r'<section class="next-step".*?</section>', page, re.DOTALL)
    return found[0] if found else ""


def test_a_newcomer_is_led_to_the_first_module_and_told_what_it_takes(world: World, visitor: Visit) -> None:
    """Nothing opens by one step yet: the module comes first, and what else is wanted is said."""
    world.add_person("v-001")
    page = visitor("v-001").get("/path").text
    box = next_box(page)
    assert "Read the module Safety. With one other thing it opens the next level of Balance lane" in words_of(box)
    assert 'href="/learn/safety"' in box
    assert "You may work at 0 of 3 stations and duties." in words_of(page)
    assert page.count('class="next-step"') == 1


def test_the_one_step_that_opens_most_is_named_with_what_it_opens(world: World, visitor: Visit) -> None:
    """With the module done, the paper alone opens three places; the button leads to where it is put on file."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    page = visitor("v-001").get("/path").text
    box = next_box(page)
    assert "Put on file: Background check. This alone opens Balance lane, Target games and Arrival desk." in words_of(
        box
    )
    assert 'href="/papers?paper=background-check"' in box


def test_a_paper_that_waits_is_not_asked_for_again(world: World, visitor: Visit) -> None:
    """It is in the coordinator's hands; with nothing else to do the box says so."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    person = visitor("v-001")
    person.send("/papers", "/papers", paper="background-check", issued="2026-09-01")
    said = "Show it to the coordinator, for it waits to be verified: Background check"
    assert said in words_of(next_box(person.get("/path").text))


def test_a_skill_is_asked_for_when_the_rest_is_there(world: World, visitor: Visit) -> None:
    """Observed guarding raises the balance lane; the way leads to what is looked at."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety", "paper/background-check")
    page = visitor("v-001").get("/path").text
    assert "Ask to be observed: Guarding a balance task. This alone raises Balance lane to independent." in words_of(
        next_box(page)
    )
    assert 'href="/path/skills/guarding"' in next_box(page)
    assert "Not seen yet. A sign-off takes 2 met observations by 2 observers." in words_of(page)
    assert "Target games Supervised" not in words_of(page)


def test_somebody_stood_down_is_told_so_before_anything_else(world: World, visitor: Visit) -> None:
    """Nothing that they do themselves opens anything, so no step is offered."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety", "paper/background-check")
    with world.writing() as db:
        record(db, world.clock.now(), "c-01", "v-001", "stood-down", "", FRIDAY, note="To be talked over.")
    page = visitor("v-001").get("/path").text
    assert "You are not to work now" in words_of(page)
    assert "talk with the coordinator" in words_of(page)
    assert next_box(page) == ""


def test_a_restriction_somewhere_leaves_the_other_steps(world: World, visitor: Visit) -> None:
    """It is named, and what opens the other stations is still on top."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    with world.writing() as db:
        record(db, world.clock.now(), "v-001", "v-001", "restricted", "activity/throwing", FRIDAY)
    page = words_of(visitor("v-001").get("/path").text)
    assert "Somewhere you are not to work now" in page
    assert "This alone opens Balance lane and Arrival desk." in page


def test_the_next_session_shows_the_way_to_the_pairing_and_the_cards_to_read(world: World, visitor: Visit) -> None:
    """From two days before on; a card that has a new version since is to be read again."""
    saturday(world)
    put(world, 1, "balance-lane", "v-002", "p-01")
    page = words_of(visitor("v-002").get("/path").text)
    assert "Sat 17 Oct 2026, 09:30 to 11:15: Week 6, Saturday morning." in page
    assert "09:50, Balance lane, with Name01" in page
    assert "The card of" not in page
    visitor("c-01").send(
        "/participants/p-01/card", "/participants/p-01/card",
        first_day="2026-10-16", review_by="2027-06-30", text="Stay on the left.",
    )  # fmt: skip
    page = visitor("v-002").get("/path").text
    assert "The card of Name01" in page
    assert 'href="/pairing/cards/p-01/2"' in page


def test_papers_that_end_soon_are_named_with_their_day(world: World, visitor: Visit) -> None:
    """Within ninety days; one that lasts longer is left out."""
    world.add_person("v-001")
    world.hold("v-001", "paper/background-check", last_day=date(2026, 11, 30))
    world.hold("v-001", "paper/photo-choice")
    page = words_of(visitor("v-001").get("/path").text)
    assert "Background check In force through Mon 30 Nov 2026" in page
    assert "Photo choice In force" not in page


def test_hours_stand_toward_the_requirement(world: World, visitor: Visit) -> None:
    """Approved minutes against those of the course of the own section."""
    world.add_person("v-001", sections="KIN-372-A")
    with world.writing() as db:
        record(db, world.clock.now(), "console", "v-001", "hours", "direct", date(2026, 9, 12), note="735")
    page = words_of(visitor("v-001").get("/path").text)
    assert "Toward KIN-372, Practicum" in page
    assert "Direct 12.25 h 10.00 h nothing" in page
    assert "Training 0.00 h 1.00 h 1.00 h" in page


def test_another_day_can_be_looked_at(world: World, visitor: Visit) -> None:
    """What will have lapsed by then is missing then."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    world.hold("v-001", "paper/background-check", last_day=date(2026, 11, 30))
    visit = visitor("v-001")
    assert "You may work at 3 of 3" in visit.get("/path").text
    later = words_of(visit.get("/path?on=2026-12-01").text)
    assert "You may work at 0 of 3" in later
    assert "Put on file: Background check" in later


def test_at_the_top_there_is_no_step(world: World, visitor: Visit) -> None:
    """Whoever leads everywhere is told so, and what ends soon stays in sight."""
    saturday(world)
    world.hold("v-006", "skill/guarding", "skill/leading")
    with world.writing() as db:
        record(db, world.clock.now(), "console", "v-006", "hours", "direct", date(2026, 10, 1), note="600")
    page = visitor("v-006").get("/path").text
    assert next_box(page) == ""
    assert "You have climbed every ladder there is." in page


def test_before_the_first_edition_the_page_says_what_is_to_come(world: World, visitor: Visit) -> None:
    """No error page: the day on which the program begins."""
    world.add_person("v-001")
    page = words_of(visitor("v-001").get("/path?on=2026-07-01").text)
    assert "No program is in force on Wed 1 Jul 2026" in page
    assert "The first edition of the program takes effect on Sat 1 Aug 2026." in page


def test_my_path_is_ones_own_and_nobody_elses(world: World, visitor: Visit) -> None:
    """The address names nobody, and other roles have no such page."""
    saturday(world)
    assert visitor("o-01").get("/path").status_code == 403
    assert visitor("c-01").get("/path").status_code == 403


def test_choosing_a_day_in_the_address_opens_no_pairing_before_its_time(world: World, visitor: Visit) -> None:
    """With whom somebody is paired shows from two days before the session, whatever day the address asks about."""
    world.clock.moment = datetime(2026, 10, 14, 16, tzinfo=UTC)  # three days before
    saturday(world)
    put(world, 1, "target-games", "v-002", "p-02")
    with world.writing() as db:
        write_card(db, world.clock.now(), COORDINATES, "p-02", 1, date(2026, 10, 14), date(2027, 6, 30), "Wait.")
    page = visitor("v-002").get("/path?on=2026-10-17").text
    assert "With whom and where shows from" in page
    assert "Name02" not in page
    assert "/pairing/cards/" not in page
