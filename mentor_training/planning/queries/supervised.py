"""Who works supervised, under whom, and which things are missing for independent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from mentor_training.clearance.decision import Decision, next_rung_in_words
from mentor_training.planning.rules import LEAD, Placed
from mentor_training.program.catalog import Level


@dataclass(frozen=True)
class Supervised:
    """A volunteer placed at level 1 at a station, with whom, in which blocks, who leads there, and why.

    `missing` is what independent asks for, in words. It is about the volunteer: skills, modules, papers and hours, and
    never a need of the participant.
    """

    mentor: str
    participant: str | None
    station: str
    blocks: tuple[int, ...]
    leads: tuple[str, ...]
    missing: tuple[str, ...]


def supervised_among(decided: Iterable[tuple[Placed, Decision]]) -> tuple[Supervised, ...]:
    """Return who of those placed works supervised, each pair at a station once, by station and volunteer."""
    those = list(decided)
    leads: dict[tuple[int, str], list[str]] = {}
    for one, decision in those:
        if one.role == LEAD and decision.level >= Level.LEAD:
            leads.setdefault((one.block, one.station), []).append(one.mentor)
    found: dict[tuple[str, str, str | None, tuple[str, ...]], list[Placed]] = {}
    for one, decision in those:
        if one.role != LEAD and decision.level == Level.SUPERVISED:
            key = (one.station, one.mentor, one.participant, next_rung_in_words(decision))
            found.setdefault(key, []).append(one)
    return tuple(
        Supervised(
            mentor, participant, station, tuple(one.block for one in in_blocks), _over(in_blocks, leads), missing
        )
        for (station, mentor, participant, missing), in_blocks in found.items()
    )


def _over(placed: Iterable[Placed], leads: dict[tuple[int, str], list[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(who for one in placed for who in leads.get((one.block, one.station), ())))
