"""Mending a plan after three did not come, beside planning anew without them: as a share of its time, at most a fifth.

On the floor of the benchmark of plans, with its best plan standing. Six times three are drawn of those who are placed,
a lead among them each second time; what is measured is the middle one, and the slowest beside it. Planning anew is
timed without the three of the first draw. Run it with `python -m tests.benchmarks.repairs`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from statistics import median

import numpy as np

from mentor_training.planning.rules import LEAD, MENTOR
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.repairing import Missing, Repair, repair
from mentor_training.planning.solver.search import best_plan
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, once, run
from tests.benchmarks.plans import PARTICIPANTS, made_up

BOUND = 0.2
DRAWS, GONE = 6, 3


def measured(size: Size) -> Iterator[Result]:
    """Yield the repairs beside planning anew, and how many pairs each kept in the note."""
    yield from measured_at(1, DRAWS if size.volunteers >= 1000 else 2)


def measured_at(times: int, draws: int) -> Iterator[Result]:
    """Yield the same for a floor so many times the first."""
    asked = made_up(times)
    stands = replace(asked, standing=best_plan(asked).added)
    drawn = list(no_shows(stands, draws))
    mended = [timed(stands, gone) for gone in drawn]
    _, anew = once(partial(best_plan, without(asked, drawn[0])))
    times_taken = sorted(seconds for seconds, _ in mended)
    proven = sum(len(found.proven) == len(asked.floor.blocks) for _, found in mended)
    note = f"{proven} of {draws} proven; pairs kept {', '.join(map(kept, mended))}"
    what = f"{PARTICIPANTS * times} participants, three no-shows mended, of {draws} draws"
    yield Result(f"{what} the middle one", median(times_taken), "planning anew without them", anew, BOUND, note)
    yield Result(f"{what} the slowest", times_taken[-1], "planning anew without them", anew, BOUND)


def kept(mended: tuple[float, Repair]) -> str:
    """Tell how many pairs stay of those that stood."""
    found = mended[1]
    return f"{found.kept_pairs}/{found.kept_pairs + found.lost_pairs}"


def timed(stands: Question, gone: frozenset[str]) -> tuple[float, Repair]:
    """Mend every block without some people; return the seconds of the processor and how."""
    found, seconds = once(partial(repair, stands, Missing(gone), stands.floor.blocks))
    return seconds, found


def no_shows(stands: Question, draws: int) -> Iterator[frozenset[str]]:
    """Draw three of those who are placed, the same for the same number; each second time one of them leads."""
    chance = np.random.default_rng(20261017)
    roles = {role: sorted({one.mentor for one in stands.standing if one.role == role}) for role in (MENTOR, LEAD)}
    for number in range(draws):
        leads = number % 2
        mentors = chance.choice(roles[MENTOR], GONE - leads, replace=False)
        yield frozenset(map(str, (*mentors, *chance.choice(roles[LEAD], leads))))


def without(asked: Question, gone: frozenset[str]) -> Question:
    """Return the floor with some in another session throughout, so that nobody's place in the levels moves."""
    away = {(block, code): "s-99" for block in asked.floor.blocks for code in gone}
    return replace(asked, floor=replace(asked.floor, elsewhere=away))


if __name__ == "__main__":
    run(measured)
