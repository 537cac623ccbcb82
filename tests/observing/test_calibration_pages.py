"""Calibrations through HTTP: set up by an instructor, scored by an observer, acted on by a coordinator."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from mentor_training.cli import main
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, add_session, see_on, sign
from tests.observing.staging import fill_staff, finish, mark, stage
from tests.sign_in import Visitor

NEW = "/calibrations/new"
RIGHT = ("done not-done done another-way", "done stopped")
LENIENT = ("done done done done", "done done")
SECRETS = ("Stands too far off.", "Not done or", "Hadrian Mossop and")


@pytest.fixture
def staff(world: World) -> World:
    """Give a world with those who set up and score calibrations."""
    fill_staff(world)
    return world


def marks(words: str) -> dict[str, str]:
    return {f"mark_{number}": word for number, word in enumerate(words.split(), 1)}


def test_from_setting_a_set_up_to_an_observer_who_is_calibrated(
    staff: World, visitor: Callable[[str], Visitor]
) -> None:
    """Set up, keyed performance by performance, scored on the phone, closed, and one tap by the coordinator."""
    instructor = visitor("i-01")
    rows = {
        "title": "Before the term", "day": "2026-10-16",
        "skill_1": "guarding", "called_1": "By the rail", "played_1": "Stands too far off.", "source_1": "Clip 1",
        "skill_2": "leading", "called_2": "The start", "played_2": "Nobody counts.", "source_2": "Role-play",
    }  # fmt: skip
    made = instructor.send(NEW, NEW, **rows)
    assert (made.status_code, made.location) == (303, "/calibrations/1/key/1")
    second = instructor.send(
        made.location,
        made.location,
        **marks("done not-done done done"),
        or_4="another-way",
        first="i-01",
        second="c-01",
    )
    assert second.location == "/calibrations/1/key/2"
    assert instructor.send(second.location, second.location, **marks("done stopped")).location == "/calibrations/1"

    observer = visitor("o-01")
    assert "Observer calibration is due" in observer.get("/observe").text
    assert "/calibrations/1/score" in observer.get("/calibrations/mine").text
    first = observer.send("/calibrations/1/score/1", "/calibrations/1/score/1", **marks("done not-done done done"))
    assert first.location == "/calibrations/1/score/2"
    assert "1 of 2 performances scored" in observer.get("/calibrations/1/score").text
    last = observer.send(first.location, first.location, **marks("done stopped"))
    assert last.location == "/calibrations/1/score"
    closed = observer.send(last.location, "/calibrations/1/close")
    assert closed.location == "/calibrations/1/mine"
    assert "Passed: Before the term" in observer.get(closed.location).text

    coordinator = visitor("c-01")
    page, calibrate = "/calibrations/1", "/calibrations/1/calibrate/o-01"
    assert coordinator.send(page, calibrate, last_day="").status_code == 422
    assert coordinator.send(page, calibrate).location == page
    assert "Passed; calibrated Fri 16 Oct 2026 to" in coordinator.get(page).text
    assert 'by calibration <a href="/calibrations/1">1</a>' in coordinator.get("/observers").text
    assert 'by calibration <a href="/calibrations/1">1</a>' in coordinator.get("/observers/o-01").text
    assert "Observer calibration is due" not in observer.get("/observe").text
    assert "You are calibrated through" in observer.get("/calibrations/mine").text


def test_neither_the_key_nor_what_others_marked_is_seen_before_ones_own_scores_are_closed(
    staff: World, visitor: Callable[[str], Visitor]
) -> None:
    """No page of the observer's shows them; whoever coordinates as well waits as everybody does."""
    number = stage(staff).number
    finish(staff, "o-02", number, *LENIENT)
    for place, words in enumerate(RIGHT, 1):
        mark(staff, "o-01", number, place, words)
    observer = visitor("o-01")
    for page in ("/calibrations/mine", "/calibrations/1/score", "/calibrations/1/score/1"):
        text = observer.get(page).text
        assert not [secret for secret in (*SECRETS, "Barnaby Ostrowick") if secret in text], page
    closed_to_them = ["/calibrations/1", "/calibrations/1/mine", "/calibrations/1/key/1", "/calibrations/1/marks.csv"]
    for page in (*closed_to_them, "/calibrations", "/calibrations/live", "/calibrations/1/agreement.csv"):
        assert observer.get(page).status_code == 403, page
    both = visitor("b-01")
    for page in closed_to_them:
        assert both.get(page).status_code == 403, page
    assert "once your own scores are closed" in both.get("/calibrations").text
    observer.send("/calibrations/1/score", "/calibrations/1/close")
    own = observer.get("/calibrations/1/mine").text
    assert "every mark is as the key says" in own
    assert "Barnaby Ostrowick" not in own
    finish(staff, "b-01", number, *RIGHT)
    assert "Barnaby Ostrowick" in both.get("/calibrations/1").text


def test_an_observer_who_missed_an_unsafe_act_reads_what_it_would_have_meant(
    staff: World, visitor: Callable[[str], Visitor]
) -> None:
    """And what to do: another set is offered once there is one."""
    finish(staff, "o-01", stage(staff).number, *LENIENT)
    observer = visitor("o-01")
    page = observer.get("/calibrations/1/mine").text
    assert "Not yet: Before the term" in page
    assert "2 of 2 unsafe acts missed" in page
    assert "on the floor it would have counted toward a sign-off" in page
    assert "ask them to set up another set" in page
    assert "You have closed this set" in observer.get("/calibrations/1/score/1").text
    stage(staff)
    assert "/calibrations/2/score" in observer.get("/calibrations/1/mine").text
    assert "Not yet: retrain, then another set" in visitor("c-01").get("/calibrations/1").text


def test_marks_that_are_missing_are_said_beside_them_and_the_rest_is_kept(
    staff: World, visitor: Callable[[str], Visitor]
) -> None:
    """For the key as for a score; nothing is chosen beforehand."""
    number = stage(staff, keyed=False).number
    instructor, page = visitor("i-01"), "/calibrations/1/key/1"
    assert " checked" not in instructor.get(page).text
    answer = instructor.send(page, page, mark_1="done", mark_2="done", or_2="done", first="i-01", second="i-01")
    assert answer.status_code == 422
    assert answer.text.count("Agree on a mark for this one too") == 4
    assert "either of two different ones" in answer.text
    full = marks("done done done done")
    assert "2 different people" in instructor.send(page, page, **full, first="i-01", second="i-01").text
    stage(staff)
    observer, score = visitor("o-01"), f"/calibrations/{number + 1}/score/1"
    assert " checked" not in observer.get(score).text
    answer = observer.send(score, score, mark_1="done", mark_2="another-way")
    assert (answer.status_code, answer.text.count("Mark this one too")) == (422, 4)
    assert "Say which other way it was done." in answer.text
    assert 'value="done" checked' in answer.text
    answer = instructor.send(NEW, NEW, title="", skill_2="guarding")
    assert answer.status_code == 422
    assert "Write what the set is called." in answer.text
    answer = instructor.send(NEW, NEW, title="A set", skill_2="guarding")
    assert "Performance 1: write what it is called." in answer.text


def test_whoever_knows_the_key_is_told_why_they_do_not_score(staff: World, visitor: Callable[[str], Visitor]) -> None:
    """They set it up themselves."""
    stage(staff, by="b-01")
    both = visitor("b-01")
    assert "You know the key of this set" in both.get("/calibrations/1/score/1").text
    assert "You know the key of this set" in both.get("/calibrations/1/score").text
    assert "No set waits for you." in both.get("/calibrations/mine").text


def test_the_instructors_page_shows_how_far_observers_agree_and_the_file_computes_the_same(
    staff: World, visitor: Callable[[str], Visitor], tmp_path: Path
) -> None:
    """Coefficients with intervals, leniency, who missed what, where they differ; and the command from the CSV."""
    number = stage(staff).number
    finish(staff, "o-01", number, *RIGHT)
    finish(staff, "o-02", number, *LENIENT)
    instructor = visitor("i-02")
    page = instructor.get("/calibrations/1").text
    for said in ("Cohen&#39;s kappa", "bootstrap", "seed 1", "Leniency", "Where they differ"):
        assert said in page
    assert "1 of the 2 who closed it passed" in page
    assert "Calibrate Sunniva" not in page
    file = tmp_path / "marks.csv"
    file.write_bytes(instructor.get("/calibrations/1/marks.csv").data)
    critical = [f"--critical={name}" for name in ("guarding/1", "guarding/2", "leading/2")]
    ran = CliRunner().invoke(main, ["agreement", "--marks", str(file), "--key", "key", *critical, "--format", "json"])
    found = json.loads(ran.stdout)
    assert [(one["observer"], len(one["missed"])) for one in found["against_key"]] == [("o-01", 0), ("o-02", 2)]
    assert f"{found['percent']['value']:.1f}" in page
    written = instructor.get("/calibrations/1/agreement.csv").text
    assert f"{found['ac1']['value']:.3f}" in written
    for name in critical:
        assert name.replace("=", " ") in page


def test_what_is_not_defined_and_the_paradox_are_said_beside_the_coefficients(
    staff: World, visitor: Callable[[str], Visitor]
) -> None:
    """Everything done leaves nothing to agree beyond; one mark that differs makes kappa low and agreement high."""
    stage(staff)
    instructor = visitor("i-02")
    finish(staff, "o-01", 1, *LENIENT)
    assert "No criterion was marked by two observers" in instructor.get("/calibrations/1").text
    finish(staff, "o-02", 1, *LENIENT)
    page = instructor.get("/calibrations/1").text
    assert "All marks that can be compared are one and the same." in page
    assert page.count("not defined") >= 5
    finish(staff, "b-01", 1, "done not-done done done", "done done")
    page = instructor.get("/calibrations/1").text
    assert "High agreement and a low kappa: 88.9 percent of pairs agree" in page
    assert "AC1, which this moves less" in page


def test_a_set_that_nobody_has_closed_says_what_comes_next(staff: World, visitor: Callable[[str], Visitor]) -> None:
    """Keys first, then observers; and with no set at all how to begin."""
    instructor = visitor("i-01")
    assert "There is none yet." in instructor.get("/calibrations").text
    stage(staff, keyed=False)
    assert "2 of 2 keys are still to be agreed" in instructor.get("/calibrations/1").text
    stage(staff)
    mark(staff, "o-01", 2, 1, RIGHT[0])
    page = instructor.get("/calibrations/2").text
    assert "nobody has closed it yet" in page
    assert "1 of 2" in page
    assert "stays as it is; make a new set instead" in instructor.get("/calibrations/2/key/1").text
    assert "2 to agree" in instructor.get("/calibrations").text


def test_two_who_see_the_same_differently_are_to_calibrate_again_and_their_sign_offs_are_listed(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """Listed for the coordinator, and for an instructor those of the own sections; none is cancelled."""
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("c-01", "coordinator")
    world.add_person("i-01", "course-instructor", sections="KIN-372-A")
    world.add_person("i-02", "course-instructor", sections="KIN-372-B")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    see_on(world, FRIDAY - timedelta(days=4), "o-02", "v-001")
    for days in (3, 2):
        see_on(world, FRIDAY - timedelta(days=days), "o-01", "v-001")
        see_on(world, FRIDAY - timedelta(days=days), "o-02", "v-001", "done done helped helped")
    sign(world, "o-01", "v-001", reason="Seen well by both since.")
    page = visitor("c-01").get("/calibrations/live").text
    assert "2 observers are to calibrate again" in page
    assert page.count("calibrate again") >= 2
    assert "Odalys Brannagh" in page
    assert "/observe/v-001/guarding/sign-off" in page
    assert "Odalys Brannagh" in visitor("i-01").get("/calibrations/live").text
    other = visitor("i-02").get("/calibrations/live").text
    assert "Odalys Brannagh" not in other
    assert "50%" in other


def test_what_an_uncalibrated_observer_records_says_that_calibration_is_due(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """On the form, on what was saved, and in what a phone keeps; each with the way out."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    add_session(world, "s-01", FRIDAY, "v-001", "o-01")
    observer, form = visitor("o-01"), "/observe/v-001/guarding"
    assert "/calibrations/mine" in observer.get(form).text
    saved = observer.send(form, form, **marks("done done done done"), live="live")
    page = observer.get(saved.location).text
    assert "Observer calibration due: the observer was not calibrated on that day." in page
    assert "/calibrations/mine" in page
    assert observer.get("/observe/floor.json").json["calibrated"] is False  # type: ignore[index]
    assert "/calibrations/mine" in observer.get("/observe/floor").text
