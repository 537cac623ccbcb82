"""Observing and signing off on a real database: what is stored, what is refused, and what the journal keeps."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import func, select

from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.queries import entries, find_break
from mentor_training.observing.actions.reviews import close_review
from mentor_training.observing.actions.standings import end_standing, set_standing
from mentor_training.observing.queries.history import history_of
from mentor_training.observing.queries.reviews import open_reviews
from mentor_training.observing.tables import Mark, Observation
from mentor_training.people.actions import WrongPassword, set_conflicts
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, World
from tests.observing.floor import GOOD, add_observer, look, see, see_on, sign

THURSDAY = FRIDAY - timedelta(days=1)
MONDAY = FRIDAY - timedelta(days=4)


@pytest.fixture
def floor(world: World) -> World:
    """Give a world with a volunteer and two observers who count."""
    world.add_person("v-001", name="Odalys Brannagh")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    return world


def kinds(world: World, person: str = "v-001") -> list[tuple[str, str, date]]:
    """Return what is recorded about a volunteer."""
    with world.reading() as db:
        return [(fact.kind, fact.item, fact.first_day) for fact in facts_of(db, person, world.clock.now())]


def count(world: World, table: type) -> int:
    """Count the rows of a table."""
    with world.reading() as db:
        return db.scalar(select(func.count()).select_from(table)) or 0


def test_a_met_observation_becomes_evidence_of_its_day(floor: World) -> None:
    """The detail stays here; the outcome is a record with the day that was seen, and both are in the journal."""
    row = see(floor, "o-01", look("v-001", "done another-way reminded done", THURSDAY, station="balance-lane"))
    assert (row.result, row.day, row.program_edition) == ("met", THURSDAY, 1)
    assert kinds(floor) == [("met", "skill/guarding", THURSDAY)]
    with floor.reading() as db:
        ways = list(db.scalars(select(Mark.way).order_by(Mark.criterion)))
        assert ways == ["", "as agreed", "", ""]
        assert [entry.kind for entry in entries(db, "v-001")][:2] == ["observed", "met"]
        assert find_break(db) is None


@pytest.mark.parametrize("marks", ["done done helped helped", "helped done done done", "done not-seen done done"])
def test_what_was_not_met_is_kept_and_is_no_evidence(floor: World, marks: str) -> None:
    """Not yet, and not countable alike."""
    assert see(floor, "o-01", look("v-001", marks)).result != "met"
    assert count(floor, Observation) == 1
    assert kinds(floor) == []


def test_an_observation_sent_twice_counts_once(floor: World) -> None:
    """The same key leads to the same row, whatever the retries; nothing is recorded again."""
    first = see(floor, "o-01", look("v-001", key="k"))
    again = see(floor, "o-01", look("v-001", key="k"))
    assert (first.id, count(floor, Observation), len(kinds(floor))) == (again.id, 1, 1)


def test_a_key_of_another_observation_is_refused(floor: World) -> None:
    """A key says which observation it is; it cannot say two."""
    floor.add_person("v-002")
    see(floor, "o-01", look("v-001", key="k"))
    for observer, what in (("o-02", look("v-001", key="k")), ("o-01", look("v-002", key="k"))):
        with pytest.raises(Refused, match="under this key already"):
            see(floor, observer, what)


@pytest.mark.parametrize("more", [{"marks": "stopped done done done"}, {"day": MONDAY}, {"remark": "Too far off."}])
def test_a_page_sent_again_with_something_else_on_it_is_refused_and_not_passed_over(
    floor: World, more: dict[str, Any]
) -> None:
    """A stop marked on a page that was stored before is not lost in silence: the observer hears of it."""
    see(floor, "o-01", look("v-001", key="k"))
    with pytest.raises(Refused, match="stored already, and said something else"):
        see(floor, "o-01", look("v-001", key="k", **more))
    assert (count(floor, Observation), len(kinds(floor))) == (1, 1)


def test_a_missing_mark_is_refused_and_nothing_is_stored(floor: World) -> None:
    """Every missing one is named by its number."""
    with pytest.raises(Refused) as refused:
        see(floor, "o-01", look("v-001", "done done"))
    assert [reason[:12] for reason in refused.value.reasons] == ["Criterion 3:", "Criterion 4:"]
    assert count(floor, Observation) == count(floor, Mark) == 0


def test_every_other_fault_is_said_at_once(floor: World) -> None:
    """A day ahead, a station and a participant nobody knows, a remark too long."""
    what = look(
        "v-001", GOOD, FRIDAY + timedelta(days=1), station="moon-lane", participant="p-99", remark="x" * 2001
    )  # fmt: skip
    with pytest.raises(Refused) as refused:
        see(floor, "o-01", what)
    said = " ".join(refused.value.reasons)
    for word in ("still ahead", "moon-lane", "p-99", "2001 characters"):
        assert word in said


def test_a_skill_that_is_not_in_the_program_is_not_found(floor: World) -> None:
    """The edition in force on the observation's day says what there is."""
    with pytest.raises(NotFound, match="skill juggling"):
        see(floor, "o-01", look("v-001", skill="juggling"))


def test_nobody_observes_themselves_their_pairing_or_a_conflict(floor: World) -> None:
    """A conflict counts whoever of the two named it."""
    add_observer(floor, "o-03", roles="observer;volunteer")
    with pytest.raises(Refused, match="themselves"):
        see(floor, "o-03", look("o-03"))
    with pytest.raises(Refused, match="paired with each other"):
        see(floor, "o-03", look("v-001"), partners=["v-001"])
    for named_by, other in (("o-01", "v-001"), ("v-001", "o-02")):
        with floor.writing() as db:
            set_conflicts(db, floor.clock.now(), CONSOLE, named_by, (other,))
    for observer in ("o-01", "o-02"):
        with pytest.raises(Refused, match="conflict list"):
            see(floor, observer, look("v-001"))
    assert see(floor, "o-03", look("v-001")).result == "met"


@pytest.mark.parametrize(
    ("day", "observer", "why"),
    [
        (FRIDAY - timedelta(days=7), "o-01", ""),
        (FRIDAY - timedelta(days=8), "o-01", "late"),
        (FRIDAY, "o-08", "not-calibrated;not-entitled"),
        (FRIDAY, "o-09", "not-entitled"),
    ],
)
def test_what_does_not_count_is_kept_with_every_reason(floor: World, day: date, observer: str, why: str) -> None:
    """Entered more than seven days later, or by somebody who was not calibrated or not entitled on that day."""
    floor.add_person("o-08", "observer")
    add_observer(floor, "o-09", skill="leading")
    row = see(floor, observer, look("v-001", GOOD, day))
    assert (row.result, row.not_counted) == (("not-countable", why) if why else ("met", ""))
    assert len(kinds(floor)) == (0 if why else 1)


def test_an_observer_counts_by_what_they_were_on_the_day(floor: World) -> None:
    """An end from today on leaves what was seen yesterday."""
    with floor.writing() as db:
        end_standing(db, floor.clock.now(), CONSOLE, "o-01", "calibrated", "*", FRIDAY)
    assert see(floor, "o-01", look("v-001", GOOD, THURSDAY)).result == "met"
    assert see(floor, "o-01", look("v-001", GOOD, FRIDAY)).not_counted == "not-calibrated"


def test_a_standing_names_its_faults(floor: World) -> None:
    """Unknown kinds, unknown skills, an end before the beginning, somebody who is no observer."""
    now = floor.clock.now()
    with floor.writing() as db:
        with pytest.raises(Refused) as refused:
            set_standing(db, now, CONSOLE, "o-01", "famous", "juggling", FRIDAY, THURSDAY)
        assert len(refused.value.reasons) == 3
        with pytest.raises(Refused, match="is no standing"):
            end_standing(db, now, CONSOLE, "o-01", "famous", "*", FRIDAY)
        with pytest.raises(NotFound, match="observer v-001"):
            set_standing(db, now, CONSOLE, "v-001", "calibrated", "*", FRIDAY, reason="Elsewhere.")


def test_a_stop_opens_a_review_and_sets_back(floor: World) -> None:
    """Also where the rest was not seen."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001", "stopped not-seen not-seen not-seen")
    with floor.reading() as db:
        assert [(one.person, one.skill) for one in open_reviews(db)] == [("v-001", "guarding")]
    with pytest.raises(Refused, match=r"Not ready: 2 more met observations \(0 of 2 so far\)"):
        sign(floor, "o-01", "v-001")


def test_a_missed_critical_criterion_opens_a_review_only_after_a_sign_off(floor: World) -> None:
    """Before it, it is simply not yet; after it, somebody has to look."""
    see_on(floor, MONDAY, "o-01", "v-001", "helped done done done")
    with floor.reading() as db:
        assert open_reviews(db) == []
    floor.hold("v-001", "skill/guarding")
    see_on(floor, THURSDAY, "o-01", "v-001", "done done helped helped")
    with floor.reading() as db:
        assert open_reviews(db) == []
    see_on(floor, FRIDAY, "o-01", "v-001", "reminded done done done")
    with floor.reading() as db:
        assert len(open_reviews(db)) == 1


def test_a_review_is_closed_once_with_what_was_decided(floor: World) -> None:
    """Never without words, never twice."""
    see(floor, "o-01", look("v-001", "stopped done done done"))
    now = floor.clock.now()
    with floor.writing() as db:
        with pytest.raises(Refused, match="what was decided"):
            close_review(db, now, CONSOLE, 1, "  ")
        close_review(db, now, CONSOLE, 1, "Talked through; seen again next week.")
        with pytest.raises(Refused, match="closed already"):
            close_review(db, now, CONSOLE, 1, "Again.")
        with pytest.raises(NotFound):
            close_review(db, now, CONSOLE, 7, "Nothing.")
        assert open_reviews(db) == []


def test_a_ready_skill_is_signed_off_with_the_password_and_becomes_evidence(floor: World) -> None:
    """From today on, resting on the observations that made it ready."""
    first = see_on(floor, MONDAY, "o-01", "v-001")
    second = see_on(floor, THURSDAY, "o-02", "v-001")
    with pytest.raises(WrongPassword, match="not your password"):
        sign(floor, "o-01", "v-001", password="something else entirely")
    row = sign(floor, "o-01", "v-001")
    assert row.observations == (str(first.id), str(second.id))
    assert ("signed-off", "skill/guarding", FRIDAY) in kinds(floor)


def test_a_skill_that_is_not_ready_is_refused_with_every_reason(floor: World) -> None:
    """And who is not entitled hears that too."""
    add_observer(floor, "o-09", skill="leading")
    see_on(floor, MONDAY, "o-01", "v-001")
    with pytest.raises(Refused) as refused:
        sign(floor, "o-09", "v-001")
    assert len(refused.value.reasons) == 4
    assert refused.value.reasons[0].startswith("You are not entitled")
    assert kinds(floor) == [("met", "skill/guarding", MONDAY)]


def test_an_observation_that_disagrees_needs_a_written_reason(floor: World) -> None:
    """The skill is ready, and one day it was not there: whoever signs says why all the same."""
    see_on(floor, MONDAY - timedelta(days=4), "o-01", "v-001", "helped done done done")
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    with pytest.raises(Refused, match="disagrees"):
        sign(floor, "o-02", "v-001")
    row = sign(floor, "o-02", "v-001", reason="That was in the first week.")
    assert row.statement.endswith("That was in the first week.")


def test_nobody_signs_off_their_own_pairing(floor: World) -> None:
    """Whatever is ready."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    with pytest.raises(Refused, match="paired with each other"):
        sign(floor, "o-01", "v-001", partners=["v-001"])


def test_the_same_observations_do_not_carry_a_second_sign_off_unless_the_first_is_withdrawn(floor: World) -> None:
    """Nothing is lengthened without looking again."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    row = sign(floor, "o-01", "v-001")
    with pytest.raises(Refused, match="needs a new observation"):
        sign(floor, "o-02", "v-001")
    with floor.writing() as db:
        record(db, floor.clock.now(), "c-01", "v-001", "withdrawn", "skill/guarding", FRIDAY, refers_to=row.record)
    assert sign(floor, "o-02", "v-001").record != row.record


@pytest.mark.parametrize("kind", ["voided", "withdrawn"])
def test_a_met_observation_that_was_struck_no_longer_counts(floor: World, kind: str) -> None:
    """Voided, or withdrawn from its own day on."""
    row = see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    with floor.writing() as db:
        record(db, floor.clock.now(), "c-01", "v-001", kind, "skill/guarding", MONDAY, refers_to=row.record)
    with floor.reading() as db:
        assert [one.struck for one in history_of(db, "v-001", "guarding", floor.clock.now())] == [True, False]
    with pytest.raises(Refused, match="Not ready"):
        sign(floor, "o-01", "v-001")


def test_the_journal_holds_no_free_text_about_a_person(floor: World) -> None:
    """Remarks, other ways, reasons and outcomes stand there as hashes, so that a person can be erased."""
    private = "a-private-word"
    see_on(floor, MONDAY, "o-01", "v-001", "stopped done done done", remark=private)
    see(floor, "o-02", look("v-001", "done another-way done done", remark=private))
    see_on(floor, FRIDAY + timedelta(days=1), "o-01", "v-001")
    sign(floor, "o-01", "v-001", reason=private)
    with floor.writing() as db:
        close_review(db, floor.clock.now(), CONSOLE, 1, private)
        said = " ".join(entry.record for entry in entries(db))
    assert private not in said
    assert "as agreed" not in said
    assert said.count("sha256:") >= 4
