"""`items` on 5,000 attempts of 12 items against the same statistics in bare numpy: at most 3 times its time.

Measured in the processor's time of this run, both in turn, the best of several each; the reference does nothing but
compute, and what it computes is compared first. The second check reads both from the database.
"""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray
from sqlalchemy import insert

from mentor_training.learning.questions import banks, report
from mentor_training.learning.statistics import figures
from mentor_training.learning.tables import Answer, Attempt
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.tables import Person
from mentor_training.program.queries import known_editions
from tests.benchmarks.measure import in_turn, say
from tests.builders import NOON, World, make_world
from tests.small_program import small_files

ATTEMPTS, ITEMS, DRAWN = 5_000, 12, 8
AT_MOST = 3.0
# What is printed is held to AT_MOST by whoever reads it; the run itself fails only where that is missed by far, because
# other processes may share the machine.
SLACK = 2.0
ROUNDS = 15
WHOLE, PARTS = (0.0, 1.0), (0.0, 0.25, 1 / 3, 0.5, 2 / 3, 1.0)

Scores = Sequence[Sequence[float | None]]
Table = NDArray[np.float64]


def simulated(values: tuple[float, ...], drawn: int) -> Scores:
    """Make attempts of people of differing ability at items of differing difficulty, the same each time."""
    chance = Random(20261016)  # noqa: S311 - made-up attempts, no secrets
    rows: list[tuple[float | None, ...]] = []
    for _ in range(ATTEMPTS):
        ability, asked = chance.gauss(0, 1), set(chance.sample(range(ITEMS), drawn))
        right = [chance.gauss(0, 1) + ability > item / 6 - 1 for item in range(ITEMS)]
        scores = [1.0 if one else chance.choice(values[:-1]) for one in right]
        rows.append(tuple(score if item in asked else None for item, score in enumerate(scores)))
    return rows


# ---- the reference ----


def by_numpy(rows: Scores) -> dict[str, list[float]]:
    """Compute the same statistics by numpy and nothing else."""
    table = np.array(rows, dtype=np.float64)
    asked = ~np.isnan(table)
    scores, weights = np.where(asked, table, 0.0), asked.astype(np.float64)
    # Rounded, because totals that are equal would differ in the last digit and fall on different sides of a cut.
    totals, length = np.round(scores.sum(axis=1), 9), int(weights[0].sum())
    kr20 = alpha(scores, totals) if asked.all() else alpha_by_pairs(scores, weights, length)
    columns = [(table[asked[:, item], item], totals[asked[:, item]]) for item in range(table.shape[1])]
    return {
        "people": [float(len(its)) for its, _ in columns],
        "difficulty": [float(its.mean()) for its, _ in columns],
        "best": [float((its == 1).mean()) for its, _ in columns],
        "discrimination": [contrast(its, all_of_it) for its, all_of_it in columns],
        "item_rest": [float(np.corrcoef(its, all_of_it - its)[0, 1]) for its, all_of_it in columns],
        "item_total": [float(np.corrcoef(its, all_of_it)[0, 1]) for its, all_of_it in columns],
        "whole": [float(totals.mean()), float(totals.std(ddof=1)), kr20, float(totals.std(ddof=1) * np.sqrt(1 - kr20))],
    }


def alpha(scores: Table, totals: Table) -> float:
    items = scores.shape[1]
    return float(items / (items - 1) * (1 - scores.var(axis=0).sum() / totals.var()))


def alpha_by_pairs(scores: Table, weights: Table, length: int) -> float:
    people, sums = weights.T @ weights, scores.T @ weights
    covariances = (scores.T @ scores - sums * sums.T / people) / (people - 1)
    one = covariances[~np.eye(len(people), dtype=bool)].mean() / np.diag(covariances).mean()
    return float(length * one / (1 + (length - 1) * one))


def contrast(its: Table, totals: Table) -> float:
    size, ranked = int(0.27 * len(its) + 0.5), np.sort(totals)

    def points(cut: float, beyond: NDArray[np.bool_]) -> float:
        equal = totals == cut
        return float(its[beyond].sum() + its[equal].sum() * (size - beyond.sum()) / equal.sum())

    upper, lower = ranked[-size], ranked[size - 1]
    return (points(upper, totals > upper) - points(lower, totals < lower)) / size


def by_us(rows: Scores) -> dict[str, list[float]]:
    """Return our figures as the reference returns its own."""
    found = figures(rows, ITEMS)
    names = ("people", "difficulty", "best", "discrimination", "item_rest", "item_total")
    ours = {name: [float(getattr(item, name)) for item in found.items] for name in names}
    return ours | {"whole": [float(one or 0) for one in (found.mean, found.deviation, found.kr20, found.sem)]}


@pytest.mark.parametrize(
    ("values", "drawn", "name"),
    [
        (WHOLE, ITEMS, "items, right or wrong"),
        (PARTS, ITEMS, "items, partial credit"),
        (WHOLE, DRAWN, "items, 8 of 12 drawn, right or wrong"),
        (PARTS, DRAWN, "items, 8 of 12 drawn, partial credit"),
    ],
)
def test_items_take_at_most_three_times_bare_numpy(
    capsys: pytest.CaptureFixture[str], values: tuple[float, ...], drawn: int, name: str
) -> None:
    """The same figures, from the same rows."""
    rows = simulated(values, drawn)
    ours, theirs = by_us(rows), by_numpy(rows)
    for figure, value in ours.items():
        assert value == pytest.approx(theirs[figure], abs=1e-9), figure
    times = in_turn(lambda: figures(rows, ITEMS), lambda: by_numpy(rows), ROUNDS)
    say(capsys, name, times)
    assert times[0] <= SLACK * AT_MOST * times[1]


# ---- from the database ----

QUIZ = "slug: safety\nmodule: safety\nedition: 1\ndraw: 12\nscenarios:\n" + "".join(
    f"""  - slug: item-{item}
    kind: choose_one
    read_again: exits
    text: What do you do, number {item}?
    options:
      - {{text: Wait., class: wrong, why: No.}}
      - {{text: Call., class: best, why: Yes.}}
      - {{text: Lift., class: unsafe, why: No.}}
    why: Call.
"""
    for item in range(ITEMS)
)


@pytest.fixture
def full(tmp_path: Path) -> Iterator[World]:
    """Give an instance with 5,000 volunteers who have closed one attempt each, of all 12 items."""
    world = make_world(tmp_path / "instance")
    world.publish(small_files() | {"quizzes/safety.yaml": QUIZ})
    scenarios = tuple(f"item-{item}" for item in range(ITEMS))
    rows = simulated(WHOLE, ITEMS)
    with world.writing() as db:
        db.execute(insert(Person), [person(number) for number in range(ATTEMPTS)])
        db.execute(insert(Attempt), [attempt(number, scenarios) for number in range(ATTEMPTS)])
        answers = (
            {
                "attempt": number + 1, "scenario": slug, "answer": {"picks": [1 if score else number % 2 * 2]},
                "moment": NOON, "score": score, "unsafe": not score and number % 2 == 1,
            }
            for number, row in enumerate(rows)
            for slug, score in zip(scenarios, row, strict=True)
        )  # fmt: skip
        db.execute(insert(Answer), list(answers))
    yield world
    world.instance.database.close()


def person(number: int) -> dict[str, object]:
    code = f"v-{number:05d}"
    return {
        "code": code, "name": f"Person {code}", "email": f"{code}@marrowdale.example", "roles": ("volunteer",),
        "sections": (), "conflicts": (), "recorded_at": NOON,
    }  # fmt: skip


def attempt(number: int, scenarios: tuple[str, ...]) -> dict[str, object]:
    began = datetime(2026, 10, 1, tzinfo=UTC) + timedelta(seconds=number)
    return {
        "id": number + 1, "person": f"v-{number:05d}", "quiz": "safety", "module": "safety", "module_edition": 1,
        "program_edition": 1, "seed": number, "scenarios": scenarios, "started_at": began,
        "closed_at": began + timedelta(minutes=9), "score": 0.5, "passed": False, "unsafe": (),
    }  # fmt: skip


def read_bare(path: Path) -> tuple[dict[str, list[float]], Counter[tuple[str, int]]]:
    """Read the same attempts with sqlite3 alone, put them in a table, compute, and count what was picked."""
    with sqlite3.connect(path) as bare:
        attempts = bare.execute(
            "SELECT id, scenarios FROM attempt WHERE quiz = 'safety' AND closed_at IS NOT NULL"
        ).fetchall()
        answers = bare.execute("SELECT attempt, scenario, score, unsafe, answer FROM answer").fetchall()
    bare.close()
    row_of = {number: row for row, (number, _) in enumerate(attempts)}
    column_of = {slug: column for column, slug in enumerate(attempts[0][1].split(";"))}
    table = np.zeros((len(row_of), len(column_of)))
    table[[row_of[one[0]] for one in answers], [column_of[one[1]] for one in answers]] = [one[2] for one in answers]
    picks: Counter[tuple[str, int]] = Counter()
    for (slug, text), often in Counter((one[1], one[4]) for one in answers).items():
        for pick in json.loads(text)["picks"]:
            picks[slug, pick] += often
    return by_numpy(table.tolist()), picks


def test_items_from_the_database_take_at_most_three_times_a_bare_reading(
    capsys: pytest.CaptureFixture[str], full: World
) -> None:
    """From the stored attempts to every figure and count."""

    def ours() -> tuple[list[float], dict[tuple[str, int], int]]:
        with full.reading() as db:
            editions = known_editions(db, NOON)
            (bank,) = banks(db, CONSOLE, editions, NOON)
            found = report(db, CONSOLE, bank, editions, NOON, all_attempts=False)
        counts = {
            (item.scenario.slug, place): one.times for item in found.items for place, one in enumerate(item.choices)
        }
        return [float(item.figures.discrimination or 0) for item in found.items], counts

    path = full.instance.settings.folder / "data" / "mentor-training.db"
    theirs, picks = read_bare(path)
    assert ours()[0] == pytest.approx(theirs["discrimination"], abs=1e-9)
    assert ours()[1] == dict(picks)
    times = in_turn(ours, lambda: read_bare(path), ROUNDS)
    say(capsys, "items, from the database", times)
    assert times[0] <= SLACK * AT_MOST * times[1]
