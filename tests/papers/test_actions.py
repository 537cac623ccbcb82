"""Putting papers on file, verifying and declining them, on a real database."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.queries import entries, find_break
from mentor_training.papers.actions.deciding import decline, verify
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.papers.queries import ending, papers_of, waiting
from mentor_training.papers.rules import PaperState, Seen
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World

ISSUED = date(2025, 2, 28)


@pytest.fixture
def desk(world: World) -> World:
    """Give a world with two volunteers, a coordinator, and a coordinator who is a volunteer too."""
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("v-002", name="Teodor Vance")
    world.add_person("c-01", "coordinator")
    world.add_person("c-02", "coordinator;volunteer")
    return world


def put(
    world: World, by: str = "v-001", person: str = "v-001", paper: str = "background-check",
    issued: date = ISSUED, last_day: date | None = None,
) -> PaperOnFile:  # fmt: skip
    """Put a paper on file."""
    with world.writing() as db:
        actor = actor_of(person_for(db, by))
        return put_on_file(db, world.clock.now(), FRIDAY, actor, person, paper, issued, last_day)


def check(world: World, number: int, by: str = "c-01", seen: Seen | None = None) -> PaperOnFile:
    """Verify a paper."""
    with world.writing() as db:
        return verify(db, world.clock.now(), FRIDAY, actor_of(person_for(db, by)), number, seen)


def turn_down(world: World, number: int, reason: str, by: str = "c-01") -> PaperOnFile:
    """Decline a paper."""
    with world.writing() as db:
        return decline(db, world.clock.now(), actor_of(person_for(db, by)), number, reason)


def state(world: World, paper: str = "background-check", on: date = FRIDAY) -> PaperState:
    """Return how a paper of the volunteer stands."""
    with world.reading() as db:
        lines = papers_of(db, "v-001", on, world.clock.now())
        return next(line.state for line in lines if line.paper.slug == paper)


def test_a_paper_counts_from_its_verification_with_the_dates_that_are_printed_on_it(desk: World) -> None:
    """Put on file it waits; verified it is evidence from its day of issue on, cut at its months where it is shown."""
    row = put(desk)
    assert state(desk) == PaperState("not-on-file")
    check(desk, row.id)
    with desk.reading() as db:
        facts = facts_of(db, "v-001", desk.clock.now())
        assert [(one.kind, one.item, one.first_day, one.last_day) for one in facts] == [
            ("on-file", "paper/background-check", ISSUED, None)
        ]
        assert [entry.kind for entry in entries(db, "v-001")][:3] == ["paper-verified", "on-file", "paper-put"]
        assert find_break(db) is None
    assert state(desk) == PaperState("in-force", date(2027, 2, 28))


def test_a_stated_last_day_goes_into_the_record(desk: World) -> None:
    """What the paper says is kept as it says it."""
    check(desk, put(desk, last_day=date(2026, 12, 31)).id)
    assert state(desk) == PaperState("in-force", date(2026, 12, 31))


def test_a_renewal_runs_on_from_the_earlier_paper(desk: World) -> None:
    """Two papers of one kind add up."""
    check(desk, put(desk).id)
    check(desk, put(desk, issued=FRIDAY).id)
    assert state(desk) == PaperState("in-force", date(2028, 10, 16))


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"paper": "library-card"}, "There is no paper 'library-card'"),
        ({"issued": FRIDAY + timedelta(days=1)}, "still ahead"),
        ({"last_day": ISSUED - timedelta(days=1)}, "before it was issued"),
    ],
)
def test_what_cannot_be_is_refused(desk: World, fields: dict[str, object], says: str) -> None:
    """And nothing waits."""
    with pytest.raises(Refused, match=says):
        put(desk, **fields)  # type: ignore[arg-type]
    with desk.reading() as db:
        assert waiting(db) == []


def test_the_same_paper_is_put_on_file_once(desk: World) -> None:
    """Waiting or verified; declined or withdrawn it may come again."""
    first = put(desk)
    with pytest.raises(Refused, match="on file already, and waiting"):
        put(desk)
    turn_down(desk, first.id, "The date cannot be read.")
    second = check(desk, put(desk).id)
    with pytest.raises(Refused, match="on file already, and verified"):
        put(desk)
    with desk.writing() as db:
        record(
            db, desk.clock.now(), "c-01", "v-001", "voided", "paper/background-check", ISSUED, refers_to=second.record
        )
    assert state(desk) == PaperState("not-on-file")
    assert put(desk).id > second.id


def test_nobody_puts_anothers_paper_on_file_but_the_coordinator(desk: World) -> None:
    """Least is the rule; an observer may look a volunteer up and still puts nothing on file for them."""
    desk.add_person("o-01", "observer")
    for other in ("v-002", "o-01"):
        with pytest.raises(NotAllowed):
            put(desk, by=other)
    assert put(desk, by="c-01").put_by == "c-01"


def test_nobody_verifies_their_own(desk: World) -> None:
    """A coordinator who volunteers has another one look."""
    row = put(desk, by="c-02", person="c-02")
    with pytest.raises(Refused, match="their own"):
        check(desk, row.id, by="c-02")
    with pytest.raises(Refused, match="their own"):
        turn_down(desk, row.id, "No.", by="c-02")
    assert check(desk, row.id, by="c-01").verified_by == "c-01"


def test_a_paper_is_decided_on_once(desk: World) -> None:
    """Whoever comes second hears so; a declined one never counts."""
    row = put(desk)
    with pytest.raises(Refused, match="why it is declined"):
        turn_down(desk, row.id, " ")
    turn_down(desk, row.id, "Another person's name.")
    with pytest.raises(Refused, match="declined already"):
        check(desk, row.id)
    with pytest.raises(Refused, match="declined already"):
        turn_down(desk, row.id, "Again.")
    with pytest.raises(NotFound):
        check(desk, 99)
    assert state(desk) == PaperState("not-on-file")


def test_the_reason_of_a_decline_is_not_in_the_journal(desk: World) -> None:
    """Free text about a person stands there as a hash."""
    turn_down(desk, put(desk).id, "Another person's name.")
    with desk.reading() as db:
        assert not any("Another" in entry.record for entry in entries(db))


def test_papers_moved_in_and_waivers_show_without_an_entry(desk: World) -> None:
    """The records are what counts; a waiver is named, and only where the paper is waivable."""
    desk.hold("v-001", "paper/background-check", first_day=ISSUED, last_day=date(2026, 11, 1))
    with desk.writing() as db:
        for paper in ("photo-choice", "background-check"):
            record(db, desk.clock.now(), "c-01", "v-001", "waived", f"paper/{paper}", ISSUED, date(2026, 12, 1))
    assert state(desk) == PaperState("in-force", date(2026, 11, 1))
    assert state(desk, "photo-choice") == PaperState("in-force", date(2026, 12, 1), waiver=True)


def test_what_ends_within_ninety_days_is_listed_the_first_to_end_first(desk: World) -> None:
    """With its renewal where one waits; what ended already or is open is not on it."""
    desk.hold("v-001", "paper/background-check", first_day=ISSUED, last_day=FRIDAY + timedelta(days=90))
    desk.hold("v-001", "paper/photo-choice", first_day=ISSUED)
    desk.hold("v-002", "paper/background-check", first_day=ISSUED, last_day=FRIDAY)
    desk.hold("c-02", "paper/background-check", first_day=ISSUED, last_day=FRIDAY - timedelta(days=1))
    put(desk, issued=FRIDAY)
    with desk.reading() as db:
        found = ending(db, FRIDAY, desk.clock.now())
        assert [(one.person.code, one.day, len(one.line.waiting)) for one in found] == [
            ("v-002", FRIDAY, 0),
            ("v-001", FRIDAY + timedelta(days=90), 1),
        ]
        assert [one.person.code for one in ending(db, FRIDAY, desk.clock.now(), days=89)] == ["v-002"]


def test_a_question_about_an_earlier_moment_is_answered_as_known_then(desk: World) -> None:
    """What was verified later was still waiting then."""
    row = put(desk)
    then = desk.clock.now()
    desk.clock.forward(hours=1)
    check(desk, row.id)
    with desk.reading() as db:
        line = papers_of(db, "v-001", FRIDAY, then)[0]
        assert (line.state.kind, [entry.state for entry in line.entries]) == ("not-on-file", ["waiting"])
        line = papers_of(db, "v-001", FRIDAY, desk.clock.now())[0]
        assert (line.state.kind, [entry.state for entry in line.entries]) == ("in-force", ["verified"])
