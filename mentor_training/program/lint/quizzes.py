"""Quizzes that give themselves away, and items that are not safe to ask twice; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from mentor_training.program.quiz_values import Option, Scenario

TELLING = 3
FEWEST_VERSIONS = 2


def longest_is_best(scenarios: Iterable[Scenario]) -> bool:
    """Say whether a quiz gives itself away: in each of three or more scenarios the best option is the longest one.

    A well-known cue of multiple-choice items; three is a rule of this program.
    """
    longest = [max(options, key=lambda option: len(option.text)) for options in _choices(scenarios)]
    return len(longest) >= TELLING and all(option.standing == "best" for option in longest)


def same_place(scenarios: Iterable[Scenario]) -> int | None:
    """Return the place at which the best option of each of three or more scenarios stands, counted from 1; else None.

    Places are shuffled when they are served; one who reads the file, or prints it, would learn the place.
    """
    places = [[option.standing for option in options].index("best") + 1 for options in _choices(scenarios)]
    return places[0] if len(places) >= TELLING and len(set(places)) == 1 else None


def _choices(scenarios: Iterable[Scenario]) -> list[tuple[Option, ...]]:
    one_best = (one.options for one in scenarios if one.kind == "choose_one" and len(one.options) > 1)
    return [options for options in one_best if any(option.standing == "best" for option in options)]


def spoken_texts(scenario: Scenario) -> Iterator[str]:
    """Yield what a quiz says in its own voice: not the options that are wrong, which may show how not to speak."""
    yield scenario.text
    yield scenario.why
    for option in scenario.options:
        if option.standing == "best":
            yield option.text
        yield option.why
    yield from (step.text for step in scenario.steps)
    for scene in scenario.scenes:
        yield scene.text
        for choice in scene.choices:
            if choice.standing == "good":
                yield choice.text
            yield choice.why


@dataclass(frozen=True)
class ItemRemark:
    """Advice on the item of a scenario, by the scenario's place in the file."""

    at: int
    what: str
    right: str


def item_remarks(scenarios: Sequence[Scenario]) -> Iterator[ItemRemark]:
    """Advise on items with something unsafe to choose: two versions of each, and in each something unsafe.

    One version is known after the first attempt; what one version calls unsafe the other cannot leave out. Rules of
    this program.
    """
    versions: dict[str, list[int]] = {}
    for at, scenario in enumerate(scenarios):
        versions.setdefault(scenario.item, []).append(at)
    for item, places in versions.items():
        unsafe = [scenarios[at].has_unsafe for at in places]
        if any(unsafe) and len(places) < FEWEST_VERSIONS:
            right = f"write another with `version_of: {item}`, about another person, place or number"
            yield ItemRemark(places[0], f"the item `{item}` has something unsafe and only one version", right)
        for at, has_unsafe in zip(places, unsafe, strict=True):
            if any(unsafe) and not has_unsafe:
                what = f"this version of the item `{item}` has nothing unsafe to choose, as another has"
                yield ItemRemark(
                    at, what, "class an option, a choice or a pair as unsafe, or make it an item of its own"
                )
