"""What was chosen in a quiz item, how often, and who is to look at it for that: the module's author or the item's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked, is_whole, walk
from mentor_training.learning.rules.scores import broken_pairs, is_within
from mentor_training.learning.statistics import wilson
from mentor_training.program.quiz_values import Scenario

UNSAFE = "unsafe"
# Common practice, no source: where so many choose what is unsafe, the module has not taught it.
UNSAFE_SHARE = Fraction(5, 100)
# Common practice, no source: where so few find the best answer, the item may be worded wrong or keyed wrong.
LEAST_BEST = Fraction(40, 100)


class LookAt(StrEnum):
    """What is looked at for the way an item was answered; never the student."""

    MODULE = "module"
    ITEM = "item"


@dataclass(frozen=True)
class Share:
    """So many of so many."""

    hits: int
    people: int

    @property
    def exact(self) -> Fraction | None:
        """Return the share, None of nobody."""
        return Fraction(self.hits, self.people) if self.people else None

    @property
    def interval(self) -> tuple[float, float] | None:
        """Return Wilson's 95% interval."""
        return wilson(self.hits, self.people)


@dataclass(frozen=True)
class Chosen:
    """One thing that could be chosen, what it is called, in which scene, and how many chose it."""

    text: str
    standing: str
    times: int
    scene: str = ""


def look_at(unsafe: Share | None, best: Fraction | None) -> tuple[LookAt, ...]:
    """Return what to look at for an item: the module from 5% unsafe on, the item below 40% best."""
    found = []
    if unsafe and unsafe.exact is not None and unsafe.exact >= UNSAFE_SHARE:
        found.append(LookAt.MODULE)
    if best is not None and best < LEAST_BEST:
        found.append(LookAt.ITEM)
    return tuple(found)


def can_be_unsafe(scenario: Scenario) -> bool:
    """Say whether something unsafe can be chosen in a scenario."""
    standings = [option.standing for option in scenario.options]
    standings += [choice.standing for scene in scenario.scenes for choice in scene.choices]
    return UNSAFE in standings or any(pair.must for pair in scenario.pairs)


def choices(scenario: Scenario, answers: Mapping[Answer, int]) -> tuple[Chosen, ...]:
    """Return what could be chosen in a scenario and how often it was, in the order of the file."""
    if scenario.kind == "put_in_order":
        return tuple(_of_pairs(scenario, answers))
    if scenario.kind == "read_measure":
        return tuple(_of_readings(scenario, answers))
    if scenario.kind == "unfold":
        return tuple(_of_walks(scenario, answers))
    return tuple(_of_options(scenario, answers))


def whole(scenario: Scenario, answers: Mapping[Answer, int]) -> int:
    """Return how many answered a scenario, a branching one to its end."""
    return sum(often for answer, often in answers.items() if is_whole(scenario, answer))


def _of_options(scenario: Scenario, answers: Mapping[Answer, int]) -> Iterator[Chosen]:
    for place, option in enumerate(scenario.options):
        times = sum(often for one, often in answers.items() if isinstance(one, Picked) and place in one.picks)
        yield Chosen(option.text, option.standing, times)


def _of_pairs(scenario: Scenario, answers: Mapping[Answer, int]) -> Iterator[Chosen]:
    """Yield how often each pair was put the other way round."""
    texts = {step.slug: step.text.rstrip(".") for step in scenario.steps}
    broken = [(broken_pairs(scenario, one), often) for one, often in answers.items() if isinstance(one, Ordered)]
    yield Chosen("Every pair in order", "best", sum(often for pairs, often in broken if not pairs))
    for pair in scenario.pairs:
        text = f"\u201c{texts[pair.then]}\u201d before \u201c{texts[pair.first]}\u201d"
        times = sum(often for pairs, often in broken if pair in pairs)
        yield Chosen(text, UNSAFE if pair.must else "wrong", times)


def _of_readings(scenario: Scenario, answers: Mapping[Answer, int]) -> Iterator[Chosen]:
    given = [(one, often) for one, often in answers.items() if isinstance(one, Measured)]
    right = sum(often for one, often in given if is_within(scenario, one))
    other_unit = sum(often for one, often in given if one.unit != scenario.unit)
    yield Chosen(f"{scenario.value:g} {scenario.unit}, or near enough", "best", right)
    yield Chosen("Another number", "wrong", sum(often for _, often in given) - right - other_unit)
    yield Chosen("Another unit", "wrong", other_unit)


def _of_walks(scenario: Scenario, answers: Mapping[Answer, int]) -> Iterator[Chosen]:
    """Yield how often each choice was made; only those who came to its scene could make it."""
    made = [(walk(scenario, one.choices).made, often) for one, often in answers.items() if isinstance(one, Walked)]
    for scene in scenario.scenes:
        for choice in scene.choices:
            times = sum(often for steps, often in made for step in steps if step == (scene, choice))
            yield Chosen(choice.text, choice.standing, times, scene.text)
