"""Leads whom nobody needs are left out of what was found, so that they stay free; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from mentor_training.planning.rules import LEAD, Floor, Placed, leads_in
from mentor_training.planning.solver.question import Question
from mentor_training.program.catalog import Level


def without_idle_leads(question: Question, added: Sequence[Placed]) -> tuple[Placed, ...]:
    """Return what is added without the leads beyond those that a station asks for or who work supervised need.

    Who leads a station in more blocks is kept first.
    """
    led = Counter((one.station, one.mentor) for one in added if one.role == LEAD)
    kept = {one for one in added if one.role != LEAD}
    for block in question.floor.blocks:
        for slug in question.stations:
            there = [one for one in (*question.standing, *kept) if (one.block, one.station) == (block, slug)]
            leads = [one for one in added if (one.block, one.station, one.role) == (block, slug, LEAD)]
            leads.sort(key=lambda one: (-led[one.station, one.mentor], one.mentor))
            kept.update(leads[: max(0, leads_wanted(question.floor, slug, there) - leads_in(there))])
    return tuple(one for one in added if one in kept)


def leads_wanted(floor: Floor, slug: str, there: Iterable[Placed]) -> int:
    """Return how many leads a station takes with those who are there in a block; none where no participant is."""
    here = list(there)
    if not any(one.participant for one in here):
        return 0
    supervised = sum(one.role != LEAD and one.level == Level.SUPERVISED for one in here)
    return max(floor.stations[slug].leads, -(-supervised // floor.supervised_per_lead))
