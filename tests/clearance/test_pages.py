"""The board, the explanation of a decision, stand-downs and waivers, through HTTP; and the documented JSON."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from click.testing import CliRunner

from mentor_training.cli import main
from tests.builders import FRIDAY, World
from tests.sign_in import Visitor

ENTRY = ("paper/background-check", "module/safety@1")


@pytest.fixture
def coordinator(world: World, visitor: Callable[[str], Visitor]) -> Visitor:
    """Sign the coordinator in to a world with one ready volunteer and one newcomer."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("v-002", name="Teodor Vance", sections="KIN-372-B")
    world.hold("v-001", *ENTRY, "skill/guarding")
    return visitor("c-01")


def run(world: World, *words: str) -> str:
    """Run a command on the world's instance and return what it printed."""
    result = CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), *words])
    assert result.exit_code in (0, 1), result.output
    return result.output


def test_the_board_shows_each_level_in_words(coordinator: Visitor) -> None:
    """A level is always written."""
    page = coordinator.get("/clearance").text
    assert "Independent" in page
    assert "Not yet" in page
    assert "Odalys Brannagh" in page


def test_a_no_says_why_and_what_would_make_it_a_yes(coordinator: Visitor) -> None:
    """Everything that is missing is named on the decision's page."""
    page = coordinator.get("/clearance/people/v-002/at/balance-lane").text
    assert "complete the module Safety" in page
    assert "Background check" in page


def test_what_is_missing_leads_to_where_it_can_be_done(visitor: Callable[[str], Visitor], coordinator: Visitor) -> None:
    """A volunteer is led to their own pages, the coordinator to the volunteer's; nobody to what is not theirs."""
    address = "/clearance/people/v-002/at/balance-lane"
    own, theirs = visitor("v-002").get(address).text, coordinator.get(address).text
    for way in ("/learn/safety", "/papers?paper=background-check#put", "/path/skills/guarding"):
        assert f'href="{way}"' in own
        assert f'href="{way}"' not in theirs
    for way in ("/papers/of/v-002?paper=background-check#put", "/observe/v-002/guarding/sign-off"):
        assert f'href="{way}"' in theirs
        assert f'href="{way}"' not in own
    assert 'href="/papers/of/v-002?paper=background-check#put"' in coordinator.get("/clearance/people/v-002").text


def test_the_fields_of_two_forms_on_one_page_keep_apart(coordinator: Visitor) -> None:
    """Each label belongs to one field, for whoever hears the page instead of seeing it."""
    page = coordinator.get("/clearance/people/v-001/records").text
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert sorted(ids) == sorted(set(ids))
    assert {"waived-from", "waived-through", "first_day", "last_day"} <= set(ids)
    assert set(re.findall(r'<label for="([^"]+)"', page)) <= set(ids)


def test_a_stand_down_is_in_force_at_once_and_lifting_ends_it(world: World, coordinator: Visitor) -> None:
    """From its first day the level is 0, with the record named; lifted, the level is back."""
    records = "/clearance/people/v-001/records"
    sent = coordinator.send(
        records, "/clearance/people/v-001/pause", kind="stood-down", scope="balance-lane", reason="Asked to pause."
    )
    assert sent.status_code == 303
    assert "stood down" in coordinator.get("/clearance/people/v-001/at/balance-lane").text
    assert "Independent" in coordinator.get("/clearance/people/v-001/at/target-games").text
    shown = json.loads(run(world, "clearance", "--person", "v-001", "--on", "2026-10-16", "--format", "json"))
    lane = next(row for row in shown["clearances"] if row["station"] == "balance-lane")
    record = lane["missing"]["supervised"][-1]["stand_down"]
    assert lane["level"] == 0
    assert (
        coordinator.send(f"/records/{record}/correct", f"/records/{record}/correct", reason="Talked.").status_code
        == 303
    )
    assert "stood down" not in coordinator.get("/clearance/people/v-001/at/balance-lane").text


def test_a_stand_down_without_a_reason_is_refused_and_keeps_what_was_typed(coordinator: Visitor) -> None:
    """The error stands beside the field, and nothing is stored."""
    answer = coordinator.send(
        "/clearance/people/v-001/records", "/clearance/people/v-001/pause", kind="restricted", scope="activity/throwing"
    )
    assert answer.status_code == 422
    assert "Write the reason" in answer.text
    assert re.search(r'<option[^>]*activity/throwing"[^>]*\bselected|selected[^>]*activity/throwing', answer.text)
    assert "0 records" not in coordinator.get("/clearance/people/v-001/records").text


def test_only_what_is_waivable_is_offered_for_a_waiver(coordinator: Visitor) -> None:
    """The background check cannot be waived; the photo choice can."""
    page = coordinator.get("/clearance/people/v-002/records").text
    form = page.split('action="/clearance/people/v-002/waive"')[1].split("</form>")[0]
    assert "Photo choice" in form
    assert "Background check" not in form


def test_the_documented_json_has_a_row_for_each_volunteer_and_station(world: World, coordinator: Visitor) -> None:
    """Volunteers in the order of their codes, stations in that of the file."""
    shown = json.loads(
        run(world, "clearance", "--on", "2026-10-16", "--known-at", "2026-10-16T18:00:00Z", "--format", "json")
    )
    assert shown["on"] == "2026-10-16"
    assert shown["known_at"] == "2026-10-16T18:00:00Z"
    assert shown["edition"] == 1
    rows = [(row["person"], row["station"]) for row in shown["clearances"]]
    stations = ["balance-lane", "target-games", "arrival-desk"]
    assert rows == [(person, station) for person in ("v-001", "v-002") for station in stations]
    lane = shown["clearances"][0]
    assert lane == {
        "person": "v-001",
        "station": "balance-lane",
        "participant": None,
        "level": 2,
        "holds_through": "2027-09-01",
        "missing": {"lead": ["skill/leading", {"hours": "direct", "at_least": 10, "have": 0.0}]},
    }


def test_what_was_recorded_later_is_not_known_earlier(world: World, coordinator: Visitor) -> None:
    """Asked as known before anything was recorded, nobody is cleared."""
    shown = json.loads(
        run(world, "clearance", "--on", "2026-10-16", "--known-at", "2026-10-01T00:00:00Z", "--format", "json")
    )
    assert {row["level"] for row in shown["clearances"]} == {0}


def test_with_a_participant_the_unread_card_is_a_ground_of_its_own(world: World, coordinator: Visitor) -> None:
    """The pair's level is 0 until the card in force has been read."""
    world.add_participant("p-01", needs="fall-risk")
    words = ("clearance", "--person", "v-001", "--station", "balance-lane", "--participant", "p-01", "--format", "json")
    row = json.loads(run(world, *words))["clearances"][0]
    assert row["participant"] == "p-01"
    assert row["level"] == 0
    assert {"read_card": "p-01@1"} in row["missing"]["supervised"]
    world.hold("v-001", "card/p-01@1")
    assert json.loads(run(world, *words))["clearances"][0]["level"] == 2


def test_why_explains_and_its_status_is_the_answer(world: World, coordinator: Visitor) -> None:
    """Status 0 for cleared, 1 for not, 2 for an unknown code."""
    folder = str(world.instance.settings.folder)
    runner = CliRunner()
    yes = runner.invoke(main, ["--instance", folder, "why", "v-001", "balance-lane", "--on", FRIDAY.isoformat()])
    no = runner.invoke(main, ["--instance", folder, "why", "v-002", "balance-lane", "--on", FRIDAY.isoformat()])
    unknown = runner.invoke(main, ["--instance", folder, "why", "v-099", "balance-lane"])
    assert (yes.exit_code, no.exit_code, unknown.exit_code) == (0, 1, 2)
    assert "independent" in yes.output
    assert "complete the module Safety" in no.output


def test_an_observer_sees_the_volunteers_of_the_own_sessions_only(
    world: World, visitor: Callable[[str], Visitor], coordinator: Visitor
) -> None:
    """Least is the rule: nobody of another session."""
    world.add_person("o-01", "observer")
    assert "Odalys" not in visitor("o-01").get("/clearance").text
    assert visitor("o-01").get("/clearance/people/v-001").status_code == 404


def test_a_volunteer_sees_the_own_clearance_and_nobody_elses(
    world: World, visitor: Callable[[str], Visitor], coordinator: Visitor
) -> None:
    """The door answers for each volunteer."""
    assert visitor("v-001").get("/clearance/people/v-001").status_code == 200
    assert visitor("v-001").get("/clearance/people/v-002").status_code == 404
    assert visitor("v-001").get("/clearance").status_code == 403


def test_the_board_as_csv_is_safe_to_open(coordinator: Visitor) -> None:
    """Texts are quoted, and the day is in the file's name."""
    answer = coordinator.get("/clearance.csv?on=2026-10-16")
    assert answer.headers["Content-Disposition"] == "attachment; filename=clearance-2026-10-16.csv"
    assert answer.text.splitlines()[1].startswith('"v-001","Odalys Brannagh","balance-lane",2')
