"""Ways between named points: what can be reached, and whether one comes back to where one was."""

from __future__ import annotations

from collections.abc import Iterable


def reachable(start: str, ways: Iterable[tuple[str, str]]) -> set[str]:
    """Return the points that can be reached from one, with it."""
    all_ways = list(ways)
    found, open_points = {start}, [start]
    while open_points:
        here = open_points.pop()
        new = {to for from_, to in all_ways if from_ == here} - found
        found |= new
        open_points += new
    return found


def cycle_in(ways: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Return a walk that ends where it began, or nothing."""
    all_ways = list(dict.fromkeys(ways))
    for start, first in all_ways:
        walk = _walk(first, start, all_ways)
        if walk:
            return (start, *walk)
    return ()


def _walk(here: str, goal: str, ways: list[tuple[str, str]]) -> tuple[str, ...]:
    """Return the points from here to the goal, the shortest way; nothing if there is none."""
    came: dict[str, str | None] = {here: None}
    queue = [here]
    for point in queue:
        if point == goal:
            break
        for to in (to for from_, to in ways if from_ == point and to not in came):
            came[to] = point
            queue.append(to)
    if goal not in came:
        return ()
    back: list[str] = []
    step: str | None = goal
    while step is not None:
        back.append(step)
        step = came[step]
    return tuple(reversed(back))
