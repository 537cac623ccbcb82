"""Who gains and who loses for a need by a proposed edition: held to the naive model, walked day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given

from mentor_training.clearance.comparison import changes
from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.need_changes import NeedChange, days_for_stations, need_changes
from mentor_training.clearance.sheaves import Sheaves
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Ladder, Level, Program
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import Item
from tests.clearance.naive import NaiveModel
from tests.clearance.random_programs import days, editions, histories, programs
from tests.clearance.test_worked_roster import EDITIONS, MOMENT, dossier

AHEAD = 40


def found_for(proposed: PublishedProgram, *dossiers: Dossier) -> list[NeedChange]:
    """Return what changes for those whose dossiers are given."""
    of = {one.person: one for one in dossiers}
    return list(need_changes(Everybody(Sheaves(()), of, dossiers[0].editions), list(of), proposed))


@given(editions(), histories(), programs(), days)
def test_each_change_for_a_need_is_found_on_the_first_day_of_it(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], program: Program, effective: date
) -> None:
    """Within forty days the same as by asking the naive model every day, without the proposal and with it."""
    proposed = PublishedProgram(9, effective, MOMENT, "9", program)
    found = {one.need: (one.day, one.before, one.after) for one in found_for(proposed, Dossier("v", facts, published))}
    without, with_it = NaiveModel("v", facts, published), NaiveModel("v", facts, (*published, proposed))
    last = effective + timedelta(days=AHEAD)
    for need in ("n", "m"):
        expected = next(
            (
                (day, before, after)
                for day in (effective + timedelta(days=n) for n in range(AHEAD + 1))
                if (before := level(without, need, day)) != (after := level(with_it, need, day))
            ),
            None,
        )
        if expected or (need in found and found[need][0] <= last):
            assert found[need] == expected


@given(editions(), histories(), programs(), days)
def test_each_change_at_a_station_is_found_on_the_first_day_of_it(
    published: tuple[PublishedProgram, ...], facts: Sequence[Fact], program: Program, effective: date
) -> None:
    """The same for stations, asked on the days that are said to be enough; a pause may put it off."""
    proposed = PublishedProgram(9, effective, MOMENT, "9", program)
    everybody = Everybody(Sheaves(()), {"v": Dossier("v", facts, published)}, published)
    enough = days_for_stations(everybody, ["v"], proposed)
    found = {one.station: (one.day, one.before, one.after) for one in changes(everybody, ["v"], proposed, enough)}
    without, with_it = NaiveModel("v", facts, published), NaiveModel("v", facts, (*published, proposed))
    last = effective + timedelta(days=AHEAD)
    for station in ("one", "two"):
        expected = next(
            (
                (day, before, after)
                for day in (effective + timedelta(days=n) for n in range(AHEAD + 1))
                if (before := without.level(station, None, day)) != (after := with_it.level(station, None, day))
            ),
            None,
        )
        if expected or (station in found and found[station][0] <= last):
            assert found[station] == expected


def level(model: NaiveModel, need: str, day: date) -> int:
    """Return the level on a need's ladder by the naive model."""
    edition = in_force(model.editions, day)
    if edition is None or not model.met(edition.program.entry, day):
        return 0
    return model.ladder_level(edition.program.needs[need].ladder.rungs, day)


def test_a_need_that_asks_for_more_is_lost_by_who_has_less() -> None:
    """Odalys is independent with whoever may fall until the proposal asks for a skill that nobody has."""
    program, day, nobody = EDITIONS[1].program, date(2026, 4, 1), Item("skill/nobody")
    slug = next(slug for slug, need in program.needs.items() if need.ladder.top == Level.INDEPENDENT)
    harder = replace(program.needs[slug], ladder=Ladder((nobody, nobody)))
    proposed = PublishedProgram(3, day, MOMENT, "3", replace(program, needs={**program.needs, slug: harder}))
    found = found_for(proposed, dossier("odalys"))
    assert [(one.need, one.day, one.after, one.gains) for one in found] == [(slug, day, Level.NOT_YET, False)]


def test_a_need_that_is_dropped_is_lost_by_everybody_who_had_it() -> None:
    """Nobody works with whoever still has it."""
    program = EDITIONS[1].program
    proposed = PublishedProgram(3, date(2026, 4, 1), MOMENT, "3", replace(program, needs={}))
    found = found_for(proposed, dossier("odalys"), dossier("maren"))
    assert {one.need for one in found if one.person == "odalys"} == set(program.needs)
    assert {one.after for one in found} == {Level.NOT_YET}
