"""A process of its own that stores a plan: `python -m tests.storage.proposer FOLDER`, and what stands here.

It looks for the best plan, with `--avoid WHO` without somebody, or with `--absent WHO` mends the one that stands; says
`open`, and waits for a line before it stores. It says `stored`, or `refused` with the reasons. With `--hold` it stops
between storing and committing, says so, and goes on when it is told to.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from sqlalchemy.orm import Session

from mentor_training.clock import FixedClock
from mentor_training.database.instance import Instance, open_instance
from mentor_training.errors import Refused
from mentor_training.planning.actions.placing import accept
from mentor_training.planning.actions.repairing import accept_repair
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.repairing import Missing, repair
from mentor_training.planning.solver.search import best_plan
from tests.builders import NOON
from tests.planning.saturday import COORDINATES
from tests.storage.planner import say

Change = tuple[tuple[Placed, ...], tuple[Placed, ...]]


def found(db: Session, instance: Instance, absent: str, avoid: str) -> Change:
    """Return who would be taken out and who placed."""
    asked = question_of(db, plan_for(db, "s-11", instance.now()), instance.now())
    if not absent:
        away = {(block, avoid): "s-99" for block in asked.floor.blocks}
        return (), best_plan(replace(asked, floor=replace(asked.floor, elsewhere=away))).added
    mended = repair(asked, Missing(frozenset({absent})), asked.floor.blocks)
    return mended.removed, mended.added


def store(instance: Instance, change: Change, is_repair: bool, hold: bool) -> str:
    """Store it in one transaction, and say how it went."""
    removed, added = change
    try:
        with instance.database.writing() as db:
            if is_repair:
                accept_repair(db, instance.now(), COORDINATES, "s-11", removed, added)
            else:
                accept(db, instance.now(), COORDINATES, "s-11", added)
            if hold:
                say("held")
                sys.stdin.readline()
    except Refused as no:
        return "refused " + " ".join(no.reasons)
    return "stored"


if __name__ == "__main__":
    opened = open_instance(Path(sys.argv[1]), FixedClock(NOON + timedelta(hours=1)))
    who, not_with = (sys.argv[sys.argv.index(one) + 1] if one in sys.argv else "" for one in ("--absent", "--avoid"))
    with opened.database.reading() as reading:
        ready = found(reading, opened, who, not_with)
    say("open")
    sys.stdin.readline()
    say(store(opened, ready, bool(who), "--hold" in sys.argv))
    opened.database.close()
