"""Who is cleared here, for this participant, or for both: the page and the command."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, time

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import select

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.cli import main
from mentor_training.journal.tables import JournalEntry
from tests.builders import World
from tests.sign_in import Visitor

ASKED = ("--on", "2026-10-16", "--known-at", "2026-10-16T18:00:00Z")
ENTRY = ("paper/background-check", "module/safety@1")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the coordinator; one volunteer of each level at the balance lane, one lapsing before the next session."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("v-002", name="Teodor Vance")
    world.add_person("v-003", name="Maren Okpara")
    world.hold("v-001", *ENTRY, "skill/guarding", "card/p-01@1")
    world.hold("v-002", *ENTRY[:1], last_day=date(2026, 10, 18))
    world.hold("v-002", *ENTRY[1:])
    world.add_participant("p-01", needs="fall-risk")
    for day, code in ((16, "s-01"), (20, "s-02")):
        add_session(world, code, date(2026, 10, day))
    return visitor("c-01")


def add_session(world: World, code: str, day: date) -> None:
    """Put a session into the calendar."""
    with world.writing() as db:
        db.add(
            ProgramSession(
                code=code, title="A session", day=day, starts=time(9), ends=time(10), stations=("balance-lane",),
                recorded_at=world.clock.now(),
            )
        )  # fmt: skip


def run(world: World, *words: str) -> Result:
    """Run the command on the world's instance, on the world's day."""
    return CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), "who", *words, *ASKED])


def rows(world: World, *words: str) -> list[tuple[str, str, int, bool]]:
    """Return person, station, level and whether it lapses, of each row of the documented JSON."""
    shown = json.loads(run(world, *words, "--format", "json").output)
    return [(one["person"], one["station"], one["level"], one["lapses_before_session"]) for one in shown["cleared"]]


def looked(world: World) -> list[tuple[str, str]]:
    """Return which participants were looked at, and by whom."""
    with world.reading() as db:
        found = db.scalars(select(JournalEntry).where(JournalEntry.kind == "looked"))
        return [(row.subject, row.who) for row in found]


def test_everybody_at_a_station_by_level_the_highest_first(world: World, coordinator: Visitor) -> None:
    """With what falls before the next session, which is the one after the day asked about."""
    assert rows(world, "--station", "balance-lane") == [
        ("v-001", "balance-lane", 2, False),
        ("v-002", "balance-lane", 1, True),
        ("v-003", "balance-lane", 0, False),
    ]
    shown = json.loads(run(world, "--format", "json").output)
    assert shown["next_session"] == {"session": "s-02", "day": "2026-10-20"}
    assert len(shown["cleared"]) == 9
    assert shown["cleared"][0]["holds_through"] == "2027-09-01"


def test_with_a_participant_it_is_the_pairs_level_and_the_journal_keeps_the_look(
    world: World, coordinator: Visitor
) -> None:
    """Whoever has not read the card is not cleared; the console is who looked."""
    assert rows(world, "--station", "balance-lane", "--participant", "p-01")[:2] == [
        ("v-001", "balance-lane", 2, False),
        ("v-002", "balance-lane", 0, False),
    ]
    assert looked(world) == [("p-01", "console")]
    assert {row[1] for row in rows(world, "--participant", "p-01")} == {"balance-lane", "target-games", "arrival-desk"}


def test_what_there_is_not_is_bad_input(world: World, coordinator: Visitor) -> None:
    """Status 2, and no look is journaled of somebody who is not there."""
    assert run(world, "--station", "moon").exit_code == 2
    assert run(world, "--participant", "p-99").exit_code == 2
    assert looked(world) == []


def test_the_page_of_a_station_names_everybody_by_level(coordinator: Visitor) -> None:
    """With until when, what lapses before the session, and why not."""
    page = coordinator.get("/clearance/who?station=balance-lane").text
    assert "2 of 3 can work here; 1 of them lapses before the session on" in page
    assert "which is before the session" in page
    assert page.index("Odalys") < page.index("Teodor") < page.index("Maren")
    assert "complete the module Safety" in page


def test_the_page_without_a_station_counts_them_everywhere(coordinator: Visitor) -> None:
    """And leads on to who they are."""
    page = coordinator.get("/clearance/who").text
    assert "3 of 3 stations and duties have somebody who can work there" in page
    assert 'href="/clearance/who?station=balance-lane"' in page


def test_the_page_for_a_participant_and_for_both_is_journaled(world: World, coordinator: Visitor) -> None:
    """Each look by itself; the links keep the participant."""
    page = coordinator.get("/clearance/who?participant=p-01").text
    assert "station=balance-lane&amp;participant=p-01" in page
    both = coordinator.get("/clearance/who?station=balance-lane&participant=p-01").text
    assert "1 of 3 can work here with Name01 (p-01)" in both
    assert "the card p-01@1 has not been read" in both
    assert looked(world) == [("p-01", "c-01"), ("p-01", "c-01")]


def test_the_page_keeps_the_day_that_is_looked_at(coordinator: Visitor) -> None:
    """In the form, in the links and in the band."""
    page = coordinator.get("/clearance/who?station=balance-lane&on=2026-10-19").text
    assert "1 of 3 can work here" in page
    assert '<input type="hidden" name="on" value="2026-10-19">' in page
    assert "Shown as of" in page


def test_an_observer_asks_about_stations_and_the_own_sessions_only(
    world: World, visitor: Callable[[str], Visitor], coordinator: Visitor
) -> None:
    """Nobody but the coordinator asks about a participant; nothing is journaled for the one who is refused."""
    world.add_person("o-01", "observer")
    with world.writing() as db:
        for kind, code in (("observer", "o-01"), ("volunteer", "v-001")):
            db.add(Expected(session="s-01", kind=kind, code=code))
    observer = visitor("o-01")
    page = observer.get("/clearance/who?station=balance-lane").text
    assert "1 of 1 can work here" in page
    assert "Name01" not in page
    assert "With the participant" not in page
    assert observer.get("/clearance/who?participant=p-01").status_code == 404
    assert visitor("v-001").get("/clearance/who").status_code == 403
    assert looked(world) == []
