"""The pages about the program, through HTTP."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.program.queries import editions
from tests.builders import World
from tests.program.conftest import Put
from tests.sign_in import Visitor
from tests.small_program import GUARDING, PROGRAM, SAFETY

Enter = Callable[[str], Visitor]
ADDRESSES = (
    "/program",
    "/program/stations/balance-lane",
    "/program/stations/arrival-desk",
    "/program/needs",
    "/program/skills",
    "/program/skills/guarding",
    "/program/papers",
    "/program/standards",
    "/program/editions",
    "/program/editions/1",
)


@pytest.fixture
def coordinator(world: World, visitor: Enter) -> Visitor:
    """Give the coordinator, signed in."""
    world.add_person("c-01", "coordinator")
    return visitor("c-01")


def numbers(world: World) -> list[int]:
    """Return the numbers of the editions there are."""
    with world.reading() as db:
        return [one.number for one in editions(db)]


@pytest.mark.parametrize("role", ["volunteer", "observer", "course-instructor", "coordinator"])
def test_everybody_can_read_what_the_program_says(world: World, visitor: Enter, role: str) -> None:
    """Each page opens for each role."""
    world.add_person("x-01", role)
    reader = visitor("x-01")
    assert {address: reader.get(address).status_code for address in ADDRESSES} == dict.fromkeys(ADDRESSES, 200)


def test_nobody_reads_it_without_signing_in(world: World, visitor: Enter) -> None:
    """Every page leads to the sign-in page."""
    world.add_person("v-001")
    guest = visitor("v-001")
    guest.client.delete_cookie("session")
    assert {guest.get(address).status_code for address in (*ADDRESSES, "/program/files")} == {302}


def test_the_overview_says_who_may_be_on_the_floor_and_what_never(world: World, visitor: Enter) -> None:
    """Entry requirement, never list, deferral; and the edition that says so."""
    world.add_person("v-001")
    page = visitor("v-001").get("/program").text
    assert "Edition 1, in force since" in page
    assert "Background check (paper, on file)" in page
    assert "Lifting a person alone." in page
    assert "It is not medical, legal or therapy advice" in page
    assert "KIN-372: Practicum" in page
    assert "/program/files" not in page


def test_a_station_says_what_each_level_asks_for(world: World, visitor: Enter) -> None:
    """In words, with a link to each skill; and which needs count there."""
    world.add_person("v-001")
    reader = visitor("v-001")
    page = reader.get("/program/stations/balance-lane").text
    for words in ("Keep the lane dry.", "Safety (module, completed)", "10 approved hours of direct", "Fall risk"):
        assert words in page
    assert 'href="/program/skills/guarding"' in page
    games = reader.get("/program/stations/target-games").text
    assert "The same as independent" in games
    assert "3 sessions attended before the day" in games
    assert "Fall risk" not in games


def test_a_skill_shows_its_criteria_and_how_it_is_done_and_cannot_run_script(
    world: World, put: Put, coordinator: Visitor
) -> None:
    """HTML in a skill's text passes the same gate as its Markdown."""
    put(
        {
            "program/skills/guarding.md": GUARDING
            + "\n**Stay** <script>alert(1)</script> close <b onclick='x()'>by</b>.\n"
        }
    )
    coordinator.send("/program/files", "/program/files/publish", effective="2026-10-16")
    page = coordinator.get("/program/skills/guarding").text
    assert "Lane clear and dry." in page
    assert "2 observations met, none older than 120 days" in page
    assert "by 2 different observers" in page
    assert "<strong>Stay</strong>" in page
    assert "alert(1)" not in page
    assert "onclick" not in page


@pytest.mark.parametrize("address", ["/program/stations/x", "/program/skills/x", "/program/editions/9"])
def test_what_is_not_there_is_said(world: World, visitor: Enter, address: str) -> None:
    """A page, not an error."""
    world.add_person("v-001")
    assert visitor("v-001").get(address).status_code == 404


def test_another_day_shows_what_was_in_force_then(world: World, put: Put, coordinator: Visitor) -> None:
    """And a day before the first edition shows that there was none."""
    put({"program/program.toml": PROGRAM.replace("Lifting a person alone.", "Driving the bus.")})
    coordinator.send("/program/files", "/program/files/publish", effective="2026-10-20")
    assert "Driving the bus." not in coordinator.get("/program").text
    assert "Driving the bus." in coordinator.get("/program?on=2026-10-20").text
    assert "No edition of the program is in force" in coordinator.get("/program?on=2026-07-01").text


def test_only_the_coordinator_sees_the_files_and_publishes(world: World, visitor: Enter) -> None:
    """The others are told so."""
    world.add_person("o-01", "observer")
    assert visitor("o-01").get("/program/files").status_code == 403


def test_the_coordinator_publishes_the_files_on_the_disk(world: World, put: Put, coordinator: Visitor) -> None:
    """The page says what is found and what changes; the form publishes it, with a day."""
    put({"program/program.toml": PROGRAM.replace("Small", "Smaller")})
    page = coordinator.get("/program/files").text
    assert "No fault: the files can be published as edition 2." in page
    assert "changed: program/program.toml" in page
    assert "modules/safety.md:17" in page
    answer = coordinator.fill(page, "/program/files/publish", effective="2026-10-20")
    assert (answer.status_code, answer.location) == (303, "/program/editions")
    listing = coordinator.get("/program/editions").text
    assert "Edition 2 is published. It takes effect on 2026-10-20." in listing
    assert "c-01" in listing
    assert "changed: program/program.toml" in coordinator.get("/program/editions/2").text
    assert numbers(world) == [2, 1]


def test_nothing_else_is_published_than_what_was_shown(world: World, put: Put, coordinator: Visitor) -> None:
    """If the files change between looking and pressing, the page is shown anew."""
    put({"program/program.toml": PROGRAM.replace("Small", "Smaller")})
    page = coordinator.get("/program/files").text
    put({"program/program.toml": PROGRAM.replace("Small", "Another")})
    answer = coordinator.fill(page, "/program/files/publish", effective="2026-10-20")
    assert answer.status_code == 422
    assert "The files have changed since this page was made" in answer.text
    assert numbers(world) == [1]
    assert coordinator.fill(answer.text, "/program/files/publish", effective="2026-10-20").status_code == 303


@pytest.mark.parametrize(
    ("effective", "words"),
    [
        ("2026-10-15", "An edition after the first cannot take effect before the day it is published"),
        ("", "Choose the day on which it takes effect."),
        ("2026-02-30", "Not a valid date value."),
    ],
)
def test_a_day_that_does_not_do_is_refused_beside_the_form(
    world: World, put: Put, coordinator: Visitor, effective: str, words: str
) -> None:
    """What was typed is kept, and nothing is published."""
    put({"program/program.toml": PROGRAM.replace("Small", "Smaller")})
    answer = coordinator.send("/program/files", "/program/files/publish", effective=effective)
    assert answer.status_code == 422
    assert words in answer.text
    assert f'value="{effective}"' in answer.text
    assert numbers(world) == [1]


def test_faults_stand_in_the_way_and_there_is_no_button(world: World, put: Put, coordinator: Visitor) -> None:
    """Each fault with its file and line and what would be right."""
    put(
        {
            "program/program.toml": PROGRAM.replace("entry", "entri"),
            "modules/safety.md": SAFETY.replace("[caution", "[causion"),
        }
    )
    page = coordinator.get("/program/files").text
    assert "2 faults stand in the way of publishing." in page
    assert "program/program.toml:2" in page
    assert "did you mean <code>entry</code>?" in page
    assert "/program/files/publish" not in page


def test_files_that_are_published_already_offer_nothing_to_publish(put: Put, coordinator: Visitor) -> None:
    """The page says so, and has no form."""
    page = coordinator.get("/program/files").text
    assert "The files are the ones of edition 1; there is nothing to publish." in page
    assert "/program/files/publish" not in page


def test_what_a_finding_quotes_from_a_file_is_text_on_the_page(put: Put, coordinator: Visitor) -> None:
    """A key of a file may look like HTML."""
    put({"program/program.toml": PROGRAM + '"<script>alert(1)</script>" = 1\n'})
    page = coordinator.get("/program/files").text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert "<script>alert(1)" not in page
