"""Read a branching scenario, and check that it can be walked from its first scene to a good end."""

from __future__ import annotations

from mentor_training.program.quiz_values import Choice, Scene
from mentor_training.program.reading.book import Shelf
from mentor_training.program.reading.entry import Entry
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.graph import cycle_in, reachable

STANDINGS = ("good", "recoverable", "unsafe")


def read_scenes(entry: Entry) -> tuple[Scene, ...]:
    """Read the scenes; the first is where it starts."""
    shelf: Shelf[Scene] = Shelf("the scene")
    written = entry.entries("scenes", "a scene", required=True)
    for one in written:
        scene = Scene(one.slug(), one.text("text"), _choices(one))
        one.close()
        shelf.put(scene.slug, scene, one, "slug")
    scenes = tuple(shelf.things.values())
    _check_targets(written, list(shelf.things))
    if scenes:
        _check_walks(entry, written, scenes)
    return scenes


def _choices(entry: Entry) -> tuple[Choice, ...]:
    choices = []
    for one in entry.entries("choices", "a choice", required=True):
        to = one.text("to", "") or None
        choice = Choice(one.text("text"), one.one_of("class", STANDINGS), to, one.text("why", ""))
        one.close()
        if to and choice.standing == "unsafe":
            one.fault("an unsafe choice ends the scenario and leads nowhere", "leave `to` out", "to")
        choices.append(choice)
    return tuple(choices)


def _check_targets(written: list[Entry], known: list[str]) -> None:
    for scene in written:
        for choice in scene.entries("choices", "a choice"):
            to = choice.data.get("to")
            if isinstance(to, str) and to and to not in known:
                choice.fault(f"unknown scene `{to}`", nearest(to, known), "to")


def _check_walks(entry: Entry, written: list[Entry], scenes: tuple[Scene, ...]) -> None:
    ways = [
        (scene.slug, choice.to)
        for scene in scenes
        for choice in scene.choices
        if choice.to is not None and choice.standing != "unsafe"
    ]
    cycle = cycle_in(ways)
    if cycle:
        entry.fault(f"the scenes lead back: {' to '.join(cycle)}", "lead each choice onward, or let it end", "scenes")
    found = reachable(scenes[0].slug, ways)
    for one in written:
        slug = one.data.get("slug")
        if isinstance(slug, str) and slug not in found:
            one.fault(f"no choice leads to the scene `{slug}`", "lead a choice `to` it, or take it out", "slug")
    ends = [choice for scene in scenes if scene.slug in found for choice in scene.choices if choice.to is None]
    if not any(choice.standing == "good" for choice in ends):
        entry.fault("it never ends well", "give one choice with `class: good` no `to`", "scenes")
