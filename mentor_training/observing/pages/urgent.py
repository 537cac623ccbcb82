"""Why a skill is to be seen now, in words for one line of a list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mentor_training.observing.queries.floor import SkillState
from mentor_training.observing.rules.urgency import Turn
from mentor_training.program.catalog import RUNG_NAMES, Station
from mentor_training.web.display import show_day

MOST_NAMES = 3


def why_now(state: SkillState, stations: Mapping[str, Station]) -> str:
    """Say what hangs on a skill: what it opens, or what ends with it and when; empty where nothing does.

    Such as "opens Balance lane and 3 participants", "raises Balance lane to independent", "ends Fri 4 Dec 2026, and
    with it Balance lane".
    """
    stake = state.stake
    if stake is None:
        return ""
    if stake.last_day:
        gone = [*_titles(stake.turns, stations), *_participants(stake.participants)]
        return f"ends {show_day(stake.last_day)}" + (f", and with it {_joined(gone)}" if gone else "")
    opened = [turn for turn in stake.turns if not turn.without]
    new = [*_titles(opened, stations), *_participants(stake.participants)]
    parts = ["lapsed for want of practice"] if state.has_lapsed else []
    parts += [f"opens {_joined(new)}"] if new else []
    raised = [turn for turn in stake.turns if turn.without]
    parts += [f"raises {_joined(_few([_raised(turn, stations) for turn in raised]))}"] if raised else []
    return "; ".join(parts)


def _titles(turns: Sequence[Turn], stations: Mapping[str, Station]) -> list[str]:
    return _few([stations[turn.station].title for turn in turns])


def _raised(turn: Turn, stations: Mapping[str, Station]) -> str:
    return f"{stations[turn.station].title} to {RUNG_NAMES[turn.with_it]}"


def _participants(many: int) -> list[str]:
    return [f"{many} participant{'' if many == 1 else 's'}"] if many else []


def _few(names: list[str]) -> list[str]:
    """Return names, of many the first few and how many more."""
    return names if len(names) <= MOST_NAMES else [*names[: MOST_NAMES - 1], f"{len(names) - MOST_NAMES + 1} more"]


def _joined(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
