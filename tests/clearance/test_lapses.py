"""What lapses when, held to the naive day-by-day model; and because of what, held to what would have kept the level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.clearance.dossier import CardFrom, Dossier, Holdings, ParticipantFile, ProfileFrom
from mentor_training.clearance.lapses import Cause, Lapse, causes_of, lapses, lapses_of_all
from mentor_training.clearance.matrix import Matrix
from mentor_training.clearance.rules import ladder_for
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Level
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import Item, all_of, is_met
from tests.clearance.naive import NaiveModel
from tests.clearance.random_programs import days, editions, histories, participants, registers
from tests.clearance.test_matrix import SLOW, Register, apart, everybody_of, whom
from tests.clearance.test_worked_roster import EDITIONS, MOMENT, dossier

AHEAD = 30
ONE = timedelta(days=1)
BY_ITEM = {"ends", "withdrawn", "retake", "practice"}


@given(editions(), histories(), st.one_of(st.none(), participants()), days)
def test_a_lapse_is_listed_on_each_day_on_which_the_level_falls_and_on_no_other(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], participant: ParticipantFile | None, on: date
) -> None:
    """From D to D + 1, walked day by day by the naive model, with nothing more recorded."""
    found = {
        (one.station, one.day): (one.before, one.after)
        for one in lapses(Dossier("v", facts, published), ("one", "two"), participant, on, AHEAD)
    }
    naive, falls = NaiveModel("v", facts, published), {}
    for station in ("one", "two"):
        before = naive.level(station, participant, on)
        for place in range(1, AHEAD + 1):
            day = on + timedelta(days=place)
            after = naive.level(station, participant, day)
            if after < before:
                falls[(station, day)] = (before, after)
            before = after
    assert found == falls


@given(editions(), histories(), st.one_of(st.none(), participants()), days)
def test_every_lapse_says_because_of_what(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], participant: ParticipantFile | None, on: date
) -> None:
    """And the records that it names are the volunteer's own."""
    codes = {fact.code for fact in facts}
    for one in lapses(Dossier("v", facts, published), ("one", "two"), participant, on, AHEAD):
        assert one.causes
        assert {cause.record for cause in one.causes if cause.record} <= codes


@given(editions(), histories(), st.one_of(st.none(), participants()), days)
def test_holding_on_to_the_items_named_would_have_kept_the_level_and_to_fewer_would_not(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], participant: ParticipantFile | None, on: date
) -> None:
    """Wherever nothing but items is named."""
    who = Dossier("v", facts, published)
    for one in lapses(who, ("one", "two"), participant, on, AHEAD):
        if {cause.kind for cause in one.causes} <= BY_ITEM:
            items = [cause.about for cause in one.causes]
            assert keeps(who, one, participant, items)
            assert not any(keeps(who, one, participant, [i for i in items if i != gone]) for gone in items)


def keeps(who: Dossier, lapse: Lapse, participant: ParticipantFile | None, items: Sequence[str]) -> bool:
    """Tell whether holding some items on the day of a lapse, besides what is held, keeps the level."""
    edition = in_force(who.editions, lapse.day)
    assert edition is not None
    holdings = Holdings(who.history(edition), lapse.day)
    ladder = ladder_for(edition.program, edition.program.stations[lapse.station], participant, lapse.day)
    required = all_of(edition.program.entry, *ladder.rungs[: lapse.before])
    return is_met(required, lambda atom: holdings.holds(atom) or (isinstance(atom, Item) and atom.name in items))


def test_the_lapses_of_the_worked_roster() -> None:
    """Odalys's CPR card ends on 30 June, and by then nothing else has."""
    found = list(lapses(dossier("odalys"), ("lane",), None, date(2026, 3, 14), 120))
    assert found == [
        Lapse(
            "odalys", "lane", None, date(2026, 7, 1), Level.INDEPENDENT, Level.NOT_YET,
            (Cause("ends", "paper/cpr", "r-0"),),
        )
    ]  # fmt: skip
    assert found[0].last_day == date(2026, 6, 30)
    assert list(lapses(dossier("odalys"), ("lane",), None, date(2026, 3, 14), 108)) == []


def test_a_module_that_must_be_taken_again_names_the_edition_that_asks_for_it() -> None:
    """Quill's form cues of edition 1 end with the grace days of edition 2, on 9 March."""
    assert causes_of(dossier("quill"), "lane", None, date(2026, 3, 10)) == (Cause("retake", "module/form", "r-5", "2"),)


def test_a_withdrawal_set_for_a_later_day_is_named_beside_what_it_takes_back() -> None:
    """Both records stand in the answer."""
    who = dossier("odalys")
    gone = Fact("r-99", "odalys", "withdrawn", "paper/cpr", date(2026, 4, 1), None, MOMENT, refers_to="r-0")
    assert causes_of(replace(who, facts=(*who.facts, gone), _read={}), "lane", None, date(2026, 4, 1)) == (
        Cause("withdrawn", "paper/cpr", "r-0", "r-99"),
    )


def test_a_stand_down_set_for_a_later_day_is_a_lapse_of_its_scope() -> None:
    """By its record, with where it holds."""
    who = dossier("odalys")
    pause = Fact("r-98", "odalys", "stood-down", "lane", date(2026, 4, 1), None, MOMENT)
    found = list(lapses(replace(who, facts=(*who.facts, pause), _read={}), ("lane",), None, date(2026, 3, 14), 60))
    assert [(one.day, one.causes) for one in found] == [
        (date(2026, 4, 1), (Cause("stand_down", "lane", record="r-98"),))
    ]


def test_an_edition_that_asks_for_more_is_named_as_what_it_is() -> None:
    """The level falls on its day, and no record is blamed."""
    harder = replace(EDITIONS[1].program, entry=Item("skill/nobody-has-this"))
    later = PublishedProgram(3, date(2026, 4, 1), MOMENT, "3", harder)
    who = Dossier("odalys", dossier("odalys").facts, (*EDITIONS, later))
    assert causes_of(who, "lane", None, date(2026, 4, 1)) == (Cause("edition", "3"),)


def test_with_a_participant_the_card_its_review_and_the_needs_are_named() -> None:
    """A new version unread, a review overdue, needs that have changed: none of them a record of the volunteer's."""
    first, second = date(2026, 3, 20), date(2026, 4, 10)
    card = ParticipantFile("p-1", (ProfileFrom(None, (), ()),), (CardFrom(1, first, date(2026, 4, 9)),))
    assert causes_of(dossier("odalys"), "lane", card, first) == (Cause("read_card", "p-1@1"),)
    read = Fact("r-97", "odalys", "read-card", "card/p-1@1", first, None, MOMENT)
    who = replace(dossier("odalys"), facts=(*dossier("odalys").facts, read), _read={})
    assert causes_of(who, "lane", card, second) == (Cause("review_overdue", "p-1@1"),)
    needs = ParticipantFile("p-1", (ProfileFrom(None, (), ()), ProfileFrom(second, ("fall", "sight"), ())), ())
    assert causes_of(dossier("maren"), "lane", needs, second) == (Cause("needs", "p-1"),)
    apart = ParticipantFile("p-1", (ProfileFrom(None, (), ()), ProfileFrom(second, (), ("maren",))), ())
    assert causes_of(dossier("maren"), "lane", apart, second) == (Cause("keep_apart", "p-1"),)


@SLOW
@given(editions(), registers(), whom, days, apart)
def test_the_lapses_of_all_are_those_of_each_one(
    published: tuple[PublishedProgram, ...],
    register: Register,
    participant: ParticipantFile | None,
    on: date,
    also: set[str],
) -> None:
    """From the matrix, day by day, the same falls with the same reasons as from one dossier after the other."""
    dossiers = {person: Dossier(person, facts, published) for person, facts in register.items()}
    matrix, stations = Matrix(everybody_of(register, published, also)), ("one", "two")
    one_by_one = [one for who in dossiers.values() for one in lapses(who, stations, participant, on, AHEAD)]
    together = lapses_of_all(matrix, dossiers.__getitem__, tuple(dossiers), stations, participant, on, AHEAD)
    people = list(dossiers)
    assert list(together) == sorted(one_by_one, key=lambda one: (one.day, people.index(one.person), one.station))
