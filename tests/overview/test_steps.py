"""What single step opens most: participants are counted as well, and the count is what trying each would give."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import date, time

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.tables import Expected as ExpectedRow
from mentor_training.calendar.tables import ProgramSession
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.dossier import Dossier, ParticipantFile, ProfileFrom
from mentor_training.clearance.rules import decide, ladder_for
from mentor_training.cli import main
from mentor_training.evidence.facts import Fact
from mentor_training.overview.rules import Expected, level_with, next_steps
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import Atom, Item, covers
from tests.builders import World
from tests.clearance.random_programs import days, editions, histories
from tests.sign_in import Visitor

ASKED = ("--on", "2026-10-16", "--known-at", "2026-10-16T18:00:00Z")
somebody = st.builds(
    Expected,
    needs=st.sampled_from([(), ("n",), ("m",), ("n", "m"), ("unheard-of",)]),
    keep_apart=st.sampled_from([(), (), (), ("v",)]),
    is_overdue=st.sampled_from([False, False, False, True]),
    stations=st.sampled_from([(), ("one",), ("two",), ("one", "two"), ("one", "gone")]),
)


@given(editions(), histories(), st.lists(somebody, max_size=6), days)
def test_as_many_participants_are_gained_as_trying_each_one_with_each_step_gives(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], people: Sequence[Expected], on: date
) -> None:
    """One by one, with the ladder that the station and the participant's needs make together."""
    edition = in_force(published, on)
    assert edition is not None
    dossier = Dossier("v", facts, published)
    decisions = [decide(dossier, slug, None, on) for slug in edition.program.stations]
    for step in next_steps(decisions, people):
        gained = sum(not works(decisions, one, None) and works(decisions, one, step.atom) for one in people)
        assert step.participants == gained


@given(editions(), histories(), st.lists(somebody, max_size=6), days)
def test_whatever_opens_somebody_by_itself_is_among_the_steps(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], people: Sequence[Expected], on: date
) -> None:
    """Every item of the program is tried, not only those that the smallest sets name."""
    edition = in_force(published, on)
    assert edition is not None
    dossier = Dossier("v", facts, published)
    decisions = [decide(dossier, slug, None, on) for slug in edition.program.stations]
    named = {step.atom for step in next_steps(decisions, people)}
    for name in ("module/a", "module/b", "skill/c", "skill/d", "paper/e", "paper/f"):
        opens = any(not works(decisions, one, None) and works(decisions, one, Item(name)) for one in people)
        assert not opens or Item(name) in named


def works(decisions: Sequence[Decision], person: Expected, extra: Atom | None) -> bool:
    """Tell whether one could work with somebody somewhere with one thing more held, every card taken as read."""
    if person.is_overdue or "v" in person.keep_apart or "unheard-of" in person.needs:
        return False
    file = ParticipantFile("p", (ProfileFrom(None, person.needs, ()),), ())

    def holds(atom: Atom) -> bool:
        return decisions[0].holdings.holds(atom) or (extra is not None and covers((extra,), atom))

    for one in decisions:
        paused = any(ground.kind != "entry" for ground in one.grounds)
        if one.station in person.stations and not paused:
            ladder = ladder_for(one.program, one.program.stations[one.station], file, one.on)
            if level_with(one.program, ladder, holds):
                return True
    return False


@pytest.fixture
def term(world: World) -> World:
    """Give a world with a volunteer who has all but a sign-off, and three participants, two of whom need it."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001", name="Odalys Brannagh")
    world.hold("v-001", "paper/background-check", "module/safety@1")
    for code, needs in (("p-01", "fall-risk"), ("p-02", "fall-risk"), ("p-03", "")):
        world.add_participant(code, needs)
    add_session(world, "s-01", date(2026, 10, 15), ("p-03",))
    add_session(world, "s-02", date(2026, 10, 17), ("p-01", "p-03"))
    add_session(world, "s-03", date(2026, 10, 20), ("p-01", "p-02"))
    return world


def add_session(world: World, code: str, day: date, participants: Sequence[str]) -> None:
    """Put a session on the balance lane and the desk into the calendar."""
    with world.writing() as db:
        db.add(
            ProgramSession(
                code=code, title="A session", day=day, starts=time(9), ends=time(10),
                stations=("balance-lane", "arrival-desk"), recorded_at=world.clock.now(),
            )
        )  # fmt: skip
        db.flush()
        db.add_all(ExpectedRow(session=code, kind="participant", code=one) for one in participants)


def run(world: World, *words: str) -> Result:
    """Run the command on the world's instance, on the world's day."""
    return CliRunner().invoke(main, ["--instance", str(world.instance.settings.folder), "steps", *words, *ASKED])


def test_the_json_counts_stations_and_participants(term: World) -> None:
    """Guarding raises the lane and lets two people of the coming sessions in; the third could be worked with before."""
    shown = json.loads(run(term, "v-001", "--format", "json").output)
    assert (shown["person"], shown["edition"]) == ("v-001", 1)
    assert shown["steps"][0] == {
        "step": "skill/guarding",
        "stations": [{"station": "balance-lane", "before": 1, "after": 2}],
        "participants": 2,
        "nearer": [],
    }
    assert [one["participants"] for one in shown["steps"][1:]] == [0] * (len(shown["steps"]) - 1)
    assert shown["steps"][1]["step"] == {"sessions": 3, "have": 0}


def test_whom_one_is_kept_apart_from_is_never_gained(term: World) -> None:
    """Nor whose review is overdue; a duty is no place to be with anybody."""
    term.add_participant("p-04", "fall-risk", keep_apart="v-001")
    term.add_participant("p-05", "fall-risk", review_by=date(2026, 10, 1))
    add_session(term, "s-04", date(2026, 10, 22), ("p-04", "p-05"))
    assert json.loads(run(term, "v-001", "--format", "json").output)["steps"][0]["participants"] == 2


def test_somebody_who_is_no_volunteer_is_bad_input(term: World) -> None:
    """Status 2."""
    assert run(term, "c-01").exit_code == 2


def test_my_path_says_with_how_many_more_one_could_work_and_names_none(
    term: World, visitor: Callable[[str], Visitor]
) -> None:
    """A number, and nobody's name or code."""
    page = visitor("v-001").get("/path").text
    assert (
        "This alone raises Balance lane to independent and lets you work with 2 more participants of the coming" in page
    )
    assert "Name01" not in page
    assert "p-01" not in page
