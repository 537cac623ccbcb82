"""Why a skill is to be seen now, in words."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.observing.pages.urgent import why_now
from mentor_training.observing.queries.floor import SkillState
from mentor_training.observing.queries.history import SignedOff
from mentor_training.observing.rules.readiness import readiness
from mentor_training.observing.rules.urgency import Stake, Turn
from mentor_training.program.catalog import Level, SignOffRule
from tests.program.definitions import program_of
from tests.small_program import small_files

DAY = date(2026, 12, 4)
NONE, ONE, TWO = Level.NOT_YET, Level.SUPERVISED, Level.INDEPENDENT
LANE, GAMES, DESK = "balance-lane", "target-games", "arrival-desk"
SIGNED = SignedOff("r-0001", "o-01", date(2026, 6, 1), None)


def opening(*stations: str) -> tuple[Turn, ...]:
    return tuple(Turn(station, NONE, ONE) for station in stations)


@pytest.mark.parametrize(
    ("stake", "signed", "words"),
    [
        (None, None, ""),
        (Stake(), None, ""),
        (Stake(opening(LANE), 3), None, "opens Balance lane and 3 participants"),
        (Stake((), 1), None, "opens 1 participant"),
        (Stake((Turn(LANE, ONE, TWO),)), None, "raises Balance lane to independent"),
        (Stake((*opening(GAMES), Turn(LANE, ONE, TWO)), 2), None,
         "opens Target games and 2 participants; raises Balance lane to independent"),
        (Stake((), 0, DAY), SIGNED, "ends Fri 4 Dec 2026"),
        (Stake(opening(LANE), 2, DAY), SIGNED, "ends Fri 4 Dec 2026, and with it Balance lane and 2 participants"),
        (Stake(opening(LANE), 0), SIGNED, "lapsed for want of practice; opens Balance lane"),
        (Stake(opening(LANE, GAMES, DESK, LANE), 2), None,
         "opens Balance lane, Target games, 2 more and 2 participants"),
    ],
)  # fmt: skip
def test_a_reason_names_what_opens_or_what_ends(stake: Stake | None, signed: SignedOff | None, words: str) -> None:
    """Stations by their titles, of many the first two; participants as a number and never by name."""
    program = program_of(small_files())
    state = SkillState(program.skills["guarding"], readiness(SignOffRule(), (), DAY), signed, stake)
    assert why_now(state, program.stations) == words
