"""What an attempt serves, and in which order: drawn from a recorded seed, so that it can be shown again as it was."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from mentor_training.program.quiz_values import Quiz, Scenario, Scene


def draw(quiz: Quiz, seed: int, served_before: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Draw the scenarios of an attempt: `draw` items of the bank in random order, one version of each.

    Of an item's versions, one that was never served to this person comes first, then the one served longest ago; so the
    next attempt that draws the item serves the other version. `served_before` holds the scenarios of the earlier
    attempts, oldest first. A rule of this program; the same arguments draw the same.
    """
    chance = _chance(f"{seed}")
    items: dict[str, list[str]] = {}
    for scenario in quiz.scenarios:
        items.setdefault(scenario.item, []).append(scenario.slug)
    last_served = {slug: attempt for attempt, slugs in enumerate(served_before) for slug in slugs}
    chosen = chance.sample(sorted(items), min(quiz.draw, len(items)))
    return tuple(_version(chance, items[item], last_served) for item in chosen)


def _version(chance: Random, versions: list[str], last_served: dict[str, int]) -> str:
    longest_ago = min(last_served.get(slug, -1) for slug in versions)
    return chance.choice([slug for slug in versions if last_served.get(slug, -1) == longest_ago])


def option_order(scenario: Scenario, seed: int) -> tuple[int, ...]:
    """Return the places in the file of a scenario's options, in the order in which this attempt shows them."""
    return _shuffled(range(len(scenario.options)), f"{seed}/{scenario.slug}")


def step_order(scenario: Scenario, seed: int) -> tuple[int, ...]:
    """Return the places in the file of a scenario's steps, in the order in which this attempt shows them."""
    return _shuffled(range(len(scenario.steps)), f"{seed}/{scenario.slug}")


def choice_order(scenario: Scenario, scene: Scene, seed: int) -> tuple[int, ...]:
    """Return the places in the file of a scene's choices, in the order in which this attempt shows them."""
    return _shuffled(range(len(scene.choices)), f"{seed}/{scenario.slug}/{scene.slug}")


def _shuffled(places: range, seed: str) -> tuple[int, ...]:
    shuffled = list(places)
    _chance(seed).shuffle(shuffled)
    return tuple(shuffled)


def _chance(seed: str) -> Random:
    # Nothing secret hangs on it, and it has to repeat itself: the seed is recorded with the attempt.
    return Random(seed)  # noqa: S311
