"""Who was cleared then, as known then: the page, the command, and the floor of a session as it ran."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, time

import pytest
from click.testing import CliRunner, Result

from mentor_training.calendar.tables import ProgramSession
from mentor_training.cli import main
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import VOIDED
from mentor_training.journal.tables import JournalEntry
from mentor_training.planning.tables import Closing
from tests.builders import World
from tests.sign_in import Visitor

DAY = date(2026, 10, 15)
CLOSED = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)
THEN = ("--on", "2026-10-15", "--known-at", "2026-10-16T16:30:00Z")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Give the coordinator; a sign-off of a volunteer who had been placed is voided an hour after the closing."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("v-002", name="Teodor Vance")
    world.add_participant("p-01", needs="fall-risk")
    for person in ("v-001", "v-002"):
        world.hold(person, "paper/background-check", "module/safety@1", "card/p-01@1", "skill/guarding")
    close_a_session(world)
    world.clock.forward(hours=1)
    with world.writing() as db:
        record(db, world.clock.now(), "c-01", "v-001", VOIDED, "skill/guarding", DAY, refers_to="r-0004", note="No.")
    world.clock.forward(hours=1)
    return visitor("c-01")


def close_a_session(world: World) -> None:
    """Store the floor of a closed session: one pair through two blocks, and a second mentor on the desk."""
    pair = {"station": "balance-lane", "mentor": "v-001", "role": "mentor", "participant": "p-01", "level": 2}
    desk = {"station": "arrival-desk", "mentor": "v-002", "role": "duty", "participant": None, "level": 2}
    placements = [{"block": 1, **pair}, {"block": 2, **pair}, {"block": 1, **desk}]
    with world.writing() as db:
        db.add(
            ProgramSession(
                code="s-01", title="Thursday", day=DAY, starts=time(9), ends=time(10), stations=("balance-lane",),
                recorded_at=CLOSED,
            )
        )  # fmt: skip
        db.flush()
        floor = {"session": "s-01", "day": DAY.isoformat(), "placements": placements}
        db.add(Closing(session="s-01", closed_at=CLOSED, closed_by="c-01", floor=floor))


def run(world: World, *words: str) -> Result:
    """Run a command on the world's instance."""
    return CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), "then", *words])


def test_the_json_shows_both_answers_and_what_was_recorded_later(world: World, coordinator: Visitor) -> None:
    """The documented form: cleared as known then, supervised now, because of the void."""
    shown = json.loads(run(world, *THEN, "--station", "balance-lane", "--format", "json").output)
    assert (shown["on"], shown["known_at"], shown["session"]) == ("2026-10-15", "2026-10-16T16:30:00Z", None)
    first, second = shown["rows"]
    assert (first["person"], first["then"], first["now"]) == ("v-001", 2, 1)
    assert first["later"] == [
        {
            "kind": "record",
            "code": "r-0009",
            "what": "voided",
            "item": "skill/guarding",
            "first_day": "2026-10-15",
            "last_day": None,
            "refers_to": "r-0004",
            "recorded_at": "2026-10-16T17:00:00Z",
            "recorded_by": "c-01",
        }
    ]
    assert (second["person"], second["then"], second["now"], second["later"]) == ("v-002", 2, 2, [])


def test_only_what_differs_can_be_asked_for(world: World, coordinator: Visitor) -> None:
    """One of two volunteers at three stations."""
    assert len(json.loads(run(world, *THEN, "--format", "json").output)["rows"]) == 6
    rows = json.loads(run(world, *THEN, "--differing", "--format", "json").output)["rows"]
    assert [(row["person"], row["station"]) for row in rows] == [("v-001", "balance-lane")]


def test_as_known_before_anything_was_recorded_nobody_was_cleared(world: World, coordinator: Visitor) -> None:
    """And every record that clears them now is named."""
    words = ("--on", "2026-10-15", "--known-at", "2026-10-01T00:00:00Z", "--person", "v-002", "--format", "json")
    desk = json.loads(run(world, *words, "--station", "arrival-desk").output)["rows"][0]
    assert (desk["then"], desk["now"]) == (0, 2)
    assert [one["item"] for one in desk["later"]] == ["paper/background-check", "module/safety@1"]


def test_the_floor_as_it_ran_has_each_placement_with_the_level_that_was_frozen(
    world: World, coordinator: Visitor
) -> None:
    """Blocks of one pairing stand together; as known when it was closed, unless another moment is asked about."""
    shown = json.loads(run(world, "--session", "s-01", "--format", "json").output)
    assert shown["known_at"] == "2026-10-16T16:00:00Z"
    pair, desk = shown["rows"]
    assert (pair["blocks"], pair["participant"], pair["frozen"], pair["then"], pair["now"]) == ([1, 2], "p-01", 2, 2, 0)
    assert [one["code"] for one in pair["later"]] == ["r-0009"]
    assert (desk["role"], desk["frozen"], desk["then"], desk["now"]) == ("duty", 2, 2, 2)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--session", "s-09"), "there is no session s-09"),
        (("--session", "s-01", "--station", "balance-lane"), "leave --on and --station out"),
        (("--station", "moon", "--on", "2026-10-15"), "there are balance-lane"),
        (("--person", "v-099", "--on", "2026-10-15"), "there is no volunteer v-099"),
    ],
)
def test_what_there_is_not_is_bad_input(world: World, coordinator: Visitor, words: tuple[str, ...], said: str) -> None:
    """Status 2, with what would be right."""
    answer = run(world, *words)
    assert answer.exit_code == 2
    assert said in answer.output


def test_the_page_shows_what_differs_or_a_station_in_full(coordinator: Visitor) -> None:
    """With the record, who made it and when."""
    address = "/clearance/then?on=2026-10-15&known_at=2026-10-16T16:30:00Z"
    page = coordinator.get(address).text
    assert "1 of 6 answers about that day is different" in page
    assert "r-0009: voided skill/guarding about r-0004 from 2026-10-15, recorded 2026-10-16 13:00 by c-01" in page
    assert "lower now" in page
    assert "Teodor" not in page
    assert "Teodor" in coordinator.get(f"{address}&station=balance-lane").text


def test_one_volunteer_is_looked_back_on_at_every_station(coordinator: Visitor) -> None:
    """Led to from the volunteer's name; the form keeps whom."""
    address = "/clearance/then?on=2026-10-15&known_at=2026-10-16T16:30:00Z"
    assert "person=v-001" in coordinator.get(address).text
    page = coordinator.get(f"{address}&person=v-001").text
    assert "Cleared then: Odalys Brannagh" in page
    assert "1 of 3 answers about that day is different" in page
    assert 'name="person" value="v-001"' in page
    assert coordinator.get(f"{address}&person=v-099").status_code == 404


def test_where_very_many_differ_the_page_says_how_to_see_the_rest(
    coordinator: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is left out in silence."""
    monkeypatch.setattr("mentor_training.overview.pages.then.MOST", 0)
    address = "/clearance/then?on=2026-10-15&known_at=2026-10-16T16:30:00Z"
    assert "More differ than a page can look into" in coordinator.get(address).text
    page = coordinator.get(f"{address}&station=balance-lane").text
    assert "Look into Odalys Brannagh" in page
    assert "r-0009" not in page


def test_left_empty_the_moment_is_the_end_of_that_day(coordinator: Visitor) -> None:
    """In the program's zone; nothing was recorded by the end of the 15th."""
    page = coordinator.get("/clearance/then?on=2026-10-15").text
    assert "As known Thu 15 Oct 2026, 23:59" in page
    assert (
        "With what is known now, all 6 answers about that day are the same" in coordinator.get("/clearance/then").text
    )


def test_each_participant_on_a_floor_that_is_looked_back_on_is_journaled(world: World, coordinator: Visitor) -> None:
    """The page shows what became of the pair, and that it was looked at."""
    page = coordinator.get("/clearance/then?session=s-01").text
    assert "The floor of s-01 as it ran" in page
    assert "Name01" in page
    with world.reading() as db:
        looked = [row for row in db.query(JournalEntry) if row.kind == "looked"]
    assert [(row.subject, row.who) for row in looked] == [("p-01", "c-01")]


def test_nobody_but_the_coordinator_looks_back(world: World, visitor: Callable[[str], Visitor]) -> None:
    """It shows everybody, and pairs."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    assert visitor("v-001").get("/clearance/then").status_code == 403
    assert visitor("o-01").get("/clearance/then").status_code == 403


def test_a_session_that_is_not_closed_has_no_floor_to_look_back_on(world: World, coordinator: Visitor) -> None:
    """It says so, and so does the command; there may be no such session either."""
    with world.writing() as db:
        db.add(
            ProgramSession(
                code="s-02", title="Friday", day=date(2026, 10, 16), starts=time(9), ends=time(10), stations=(),
                recorded_at=CLOSED,
            )
        )  # fmt: skip
    answer = coordinator.get("/clearance/then?session=s-02")
    assert answer.status_code == 404
    assert "it has not been closed" in answer.text
    assert coordinator.get("/clearance/then?session=s-77").status_code == 404
    assert "it has not been closed" in run(world, "--session", "s-02").output
