"""Who was cleared then, as known then: held to the naive model, and what made the difference to what it must do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.clearance.dossier import CardFrom, Dossier, ParticipantFile, ProfileFrom
from mentor_training.clearance.hindsight import Hindsight, Known, Later, look_back, recorded_between
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram
from tests.clearance.naive import NaiveModel
from tests.clearance.random_programs import days, editions, histories, participants
from tests.clearance.test_worked_roster import DAY, EDITIONS, IMRE, MOMENT, dossier


def known_of(
    facts: Sequence[Fact],
    published: Sequence[PublishedProgram],
    participant: ParticipantFile | None = None,
    person: str = "v",
) -> Known:
    """Return what is known, from its parts."""
    return Known(Dossier(person, tuple(facts), tuple(published)), participant)


@st.composite
def knowledge(draw: st.DrawFn) -> tuple[Known, Known]:
    """Draw what was known then and what is known now: the same and more, in the same order."""
    facts, published = draw(histories()), draw(editions())
    participant = draw(st.one_of(st.none(), participants()))
    now = known_of(facts, published, participant)
    known_facts = facts[: draw(st.integers(0, len(facts)))]
    known_editions = published[: draw(st.integers(0, len(published)))]
    if participant is None:
        return known_of(known_facts, known_editions), now
    profiles = participant.profiles[: draw(st.integers(1, len(participant.profiles)))]
    cards = participant.cards[: draw(st.integers(0, len(participant.cards)))]
    return known_of(known_facts, known_editions, ParticipantFile("p-1", profiles, cards)), now


@given(knowledge(), days, st.sampled_from(["one", "two"]))
def test_both_levels_are_those_of_the_naive_model(both: tuple[Known, Known], on: date, station: str) -> None:
    """Asked with what was known then, and with what is known now."""
    then, now = both
    found = look_back(station, on, then, now)
    assert found.then == naive(then, station, on)
    assert found.now == naive(now, station, on)


@given(knowledge(), days, st.sampled_from(["one", "two"]))
def test_what_is_named_makes_the_whole_difference_and_nothing_of_it_can_be_left_out(
    both: tuple[Known, Known], on: date, station: str
) -> None:
    """Added to what was known then it gives the answer of now, by the naive model; less of it does not."""
    then, now = both
    found = look_back(station, on, then, now)
    if found.differs:
        assert naive(added(then, now, found.later), station, on) == found.now
        for gone in range(len(found.later)):
            fewer = found.later[:gone] + found.later[gone + 1 :]
            assert naive(added(then, now, fewer), station, on) != found.now


@given(knowledge(), days, st.sampled_from(["one", "two"]))
def test_something_is_named_exactly_where_the_answer_differs_and_only_what_was_recorded_later(
    both: tuple[Known, Known], on: date, station: str
) -> None:
    """What was known then already is never blamed."""
    then, now = both
    found = look_back(station, on, then, now)
    assert bool(found.later) == found.differs
    later = [id(one.value) for one in recorded_between(then, now)]
    assert {id(one.value) for one in found.later} <= set(later)
    assert not {id(one.value) for one in found.later} & {id(fact) for fact in then.facts}


def naive(known: Known, station: str, on: date) -> int:
    """Return the naive model's level."""
    return NaiveModel("v", known.facts, known.editions).level(station, known.participant, on)


def added(then: Known, now: Known, later: Sequence[Later]) -> Known:
    """Return what was known then with some of what was recorded later, in the order in which all of it is known now."""
    codes = {fact.code for fact in then.facts} | {one.code for one in later if one.kind == "record"}
    numbers = {edition.number for edition in then.editions}
    numbers |= {int(one.code) for one in later if one.kind == "edition"}
    participant = now.participant
    if participant and then.participant:
        values = [one.value for one in later]
        profiles = participant.profiles[: len(then.participant.profiles)]
        profiles += tuple(one for one in participant.profiles[len(profiles) :] if any(one is v for v in values))
        cards = participant.cards[: len(then.participant.cards)]
        cards += tuple(one for one in participant.cards[len(cards) :] if any(one is v for v in values))
        participant = ParticipantFile(participant.code, profiles, cards)
    return known_of(
        tuple(fact for fact in now.facts if fact.code in codes),
        tuple(edition for edition in now.editions if edition.number in numbers),
        participant,
    )


def known(name: str, *more: Fact) -> Known:
    """Return what is known of a mentor of the worked roster, with more records."""
    return known_of((*dossier(name).facts, *more), EDITIONS, IMRE, name)


def fact(code: str, kind: str, item: str, first_day: date, refers_to: str | None = None) -> Fact:
    """Return a record about Odalys."""
    return Fact(code, "odalys", kind, item, first_day, None, MOMENT, refers_to=refers_to)


def test_a_sign_off_voided_later_is_shown_apart() -> None:
    """Cleared then, as known then; not now, because of the void alone."""
    void = fact("r-50", "voided", "skill/guarding", DAY, refers_to="r-10")
    hours = fact("r-51", "hours", "direct", DAY)
    found = look_back("lane", DAY, known("odalys"), known("odalys", hours, void))
    assert found == Hindsight(
        "odalys", "lane", "imre", DAY, Level.INDEPENDENT, found.now, (Later("record", "r-50", void),)
    )
    assert found.now < Level.INDEPENDENT


def test_two_records_that_only_do_it_together_are_both_named() -> None:
    """Maren lacked two skills; either sign-off alone changes nothing for Imre."""
    more = [
        Fact(f"r-6{place}", "maren", "signed-off", item, DAY, None, MOMENT)
        for place, item in enumerate(("skill/guarding", "skill/effort", "skill/guide"))
    ]
    found = look_back("lane", DAY, known("maren"), known("maren", *more))
    assert (found.then, found.now) == (Level.NOT_YET, Level.INDEPENDENT)
    assert [one.code for one in found.later] == ["r-60", "r-62"]


def test_of_two_records_that_would_each_do_the_earlier_is_named() -> None:
    """The later one changed nothing any more."""
    more = [Fact(f"r-7{n}", "teodor", "on-file", "paper/cpr", DAY, None, MOMENT) for n in (1, 2)]
    then = Known(dossier("teodor"))
    found = look_back("lane", DAY, then, known_of((*then.facts, *more), EDITIONS, None, "teodor"))
    assert [one.code for one in found.later] == ["r-71"]


def test_what_was_learned_of_the_participant_later_is_named_as_what_it_is() -> None:
    """A keep-apart list written afterwards, and a card version that nobody could have read."""
    apart = ParticipantFile(
        "imre", (*IMRE.profiles, ProfileFrom(None, IMRE.profiles[0].needs, ("odalys",))), IMRE.cards
    )
    found = look_back("lane", DAY, known("odalys"), Known(dossier("odalys"), apart))
    assert [(one.kind, one.code) for one in found.later] == [("profile", "imre")]
    card = ParticipantFile("imre", IMRE.profiles, (*IMRE.cards, CardFrom(4, DAY, date(2026, 12, 31))))
    found = look_back("lane", DAY, known("odalys"), Known(dossier("odalys"), card))
    assert [(one.kind, one.code) for one in found.later] == [("card", "imre@4")]


def test_where_the_answer_is_the_same_nothing_is_named() -> None:
    """Whatever was recorded later."""
    hours = fact("r-51", "hours", "direct", DAY)
    assert look_back("lane", DAY, known("odalys"), known("odalys", hours)).later == ()
