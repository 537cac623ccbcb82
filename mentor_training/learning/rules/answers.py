"""Answers to scenarios as frozen values, one form for each kind; what is no answer is refused in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from mentor_training.program.quiz_values import Choice, Scenario, Scene

_NUMBER = re.compile(r"[+\-−]?(\d{1,9}(\.\d{0,9})?|\.\d{1,9})")


@dataclass(frozen=True)
class Picked:
    """Options picked, by their places in the file, counted from 0; for `choose_one` exactly one."""

    picks: tuple[int, ...]


@dataclass(frozen=True)
class Ordered:
    """All steps by their slugs, first to last."""

    order: tuple[str, ...]


@dataclass(frozen=True)
class Measured:
    """A reading as it was written, and the unit."""

    value: str
    unit: str


@dataclass(frozen=True)
class Walked:
    """The choices made in a branching scenario, scene after scene, by their places in the file, counted from 0."""

    choices: tuple[int, ...]


Answer = Picked | Ordered | Measured | Walked


@dataclass(frozen=True)
class Walk:
    """A branching scenario as far as it was walked; with no scene left, it has ended."""

    made: tuple[tuple[Scene, Choice], ...]
    now: Scene | None


def parse_number(text: str) -> Fraction | None:
    """Read a decimal number such as 10.5 exactly; None if it is none. No fractions, no thousands separators."""
    clean = text.strip()
    return Fraction(clean.replace("−", "-")) if _NUMBER.fullmatch(clean) else None


def walk(scenario: Scenario, choices: tuple[int, ...]) -> Walk:
    """Follow choices from the first scene; an unsafe choice always ends it. What comes after the end is left out."""
    scenes = {scene.slug: scene for scene in scenario.scenes}
    now: Scene | None = scenario.scenes[0]
    made: list[tuple[Scene, Choice]] = []
    for place in choices:
        if now is None:
            break
        choice = now.choices[place]
        made.append((now, choice))
        now = scenes[choice.to] if choice.to and choice.standing != "unsafe" else None
    return Walk(tuple(made), now)


def is_whole(scenario: Scenario, answer: Answer | None) -> bool:
    """Say whether a scenario is answered; a branching one is when it was walked to an end."""
    if isinstance(answer, Walked):
        return walk(scenario, answer.choices).now is None
    return answer is not None


def faults(scenario: Scenario, answer: Answer) -> tuple[str, ...]:
    """Return in words why this cannot be an answer to the scenario; nothing if it can."""
    if isinstance(answer, Picked) and scenario.kind in ("choose_one", "choose_all"):
        return _faults_of_picks(scenario, answer)
    if isinstance(answer, Ordered) and scenario.kind == "put_in_order":
        whole = sorted(answer.order) == sorted(step.slug for step in scenario.steps)
        return () if whole else ("Give every step one place, and every place to one step.",)
    if isinstance(answer, Measured) and scenario.kind == "read_measure":
        return _faults_of_measure(scenario, answer)
    if isinstance(answer, Walked) and scenario.kind == "unfold":
        return _faults_of_walk(scenario, answer)
    return (f"This is no answer to the scenario {scenario.slug}.",)


def _faults_of_picks(scenario: Scenario, answer: Picked) -> tuple[str, ...]:
    if not answer.picks or len(set(answer.picks)) < len(answer.picks):
        return ("Pick at least one option, and none of them twice.",)
    if not set(answer.picks) <= set(range(len(scenario.options))):
        return ("Pick from the options that stand there.",)
    return ("Pick one option only.",) if scenario.kind == "choose_one" and len(answer.picks) > 1 else ()


def _faults_of_measure(scenario: Scenario, answer: Measured) -> tuple[str, ...]:
    found = []
    if parse_number(answer.value) is None:
        found.append("Write the number in digits, with a point before decimals, such as 10.5.")
    if answer.unit not in scenario.units:
        found.append("Choose the unit.")
    return tuple(found)


def _faults_of_walk(scenario: Scenario, answer: Walked) -> tuple[str, ...]:
    now = Walk((), scenario.scenes[0]).now
    for step, place in enumerate(answer.choices):
        if now is None or not 0 <= place < len(now.choices):
            return ("Choose one of what can be done in this scene.",)
        now = walk(scenario, answer.choices[: step + 1]).now
    return () if answer.choices else ("Choose one of what can be done in this scene.",)


def as_json(answer: Answer) -> dict[str, Any]:
    """Return an answer as it is stored."""
    if isinstance(answer, Picked):
        return {"picks": list(answer.picks)}
    if isinstance(answer, Ordered):
        return {"order": list(answer.order)}
    if isinstance(answer, Measured):
        return {"value": answer.value, "unit": answer.unit}
    return {"choices": list(answer.choices)}


def from_json(stored: Mapping[str, Any]) -> Answer:
    """Return a stored answer."""
    if "picks" in stored:
        return Picked(tuple(stored["picks"]))
    if "order" in stored:
        return Ordered(tuple(stored["order"]))
    if "choices" in stored:
        return Walked(tuple(stored["choices"]))
    return Measured(stored["value"], stored["unit"])
