"""Read one scenario of a quiz, of any of the five kinds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from mentor_training.program.quiz_values import SCENARIO_KINDS, Option, Pair, Scenario, Step
from mentor_training.program.reading.book import Shelf
from mentor_training.program.reading.entry import MOST, Entry
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.graph import cycle_in
from mentor_training.program.reading.unfolding import read_scenes

STANDINGS = ("best", "wrong", "unsafe")
_KEYS_OF = {
    "choose_one": ("options",),
    "choose_all": ("options",),
    "put_in_order": ("steps", "pairs"),
    "read_measure": ("value", "tolerance", "unit", "units"),
    "unfold": ("scenes",),
}


def read_scenario(entry: Entry) -> Scenario:
    """Read a scenario; what refers to other files is checked by the quiz."""
    known_kind = entry.data.get("kind") in SCENARIO_KINDS
    kind = entry.one_of("kind", SCENARIO_KINDS)
    scenario = Scenario(
        slug=entry.slug(),
        kind=kind,
        text=entry.text("text"),
        why=entry.text("why", ""),
        read_again=entry.text("read_again", ""),
        version_of=_version_of(entry),
        skill=entry.text("skill", ""),
        **(_READERS[kind](entry) if known_kind else {}),
    )
    if not known_kind:
        for key in (one for keys in _KEYS_OF.values() for one in keys):
            entry.raw(key)
    entry.close(_belonging(kind))
    return scenario


def _version_of(entry: Entry) -> str:
    slug = entry.text("version_of", "")
    if slug:
        entry.check_slug(slug, "version_of")
    return slug


def _belonging(kind: str) -> Mapping[str, str]:
    """Say of each key of the other kinds where it belongs."""
    return {
        key: f"it belongs to `kind: {other}`"
        for other, keys in reversed(_KEYS_OF.items())
        for key in keys
        if key not in _KEYS_OF[kind]
    }


def _options(entry: Entry) -> dict[str, Any]:
    options = []
    for one in entry.entries("options", "an option", required=True):
        options.append(Option(one.text("text"), one.one_of("class", STANDINGS), one.text("why", "")))
        one.close()
    texts = [option.text for option in options]
    for at, text in enumerate(texts):
        if text and text in texts[:at]:
            first = entry.line("options", texts.index(text))
            entry.fault(f"this option says the same as the one on line {first}", "say it once", "options", at)
    if len(options) == 1:
        entry.fault("one option is no choice", "write two or more", "options")
    return {"options": tuple(options)}


def _choose_one(entry: Entry) -> dict[str, Any]:
    found = _options(entry)
    best = _best_of(entry)
    if best is not None and best != 1:
        entry.fault(f"{best or 'no'} options are best", "choose_one has exactly one with `class: best`", "options")
    return found


def _choose_all(entry: Entry) -> dict[str, Any]:
    found = _options(entry)
    if _best_of(entry) == 0:
        entry.fault("no option is best", "choose_all has one or more with `class: best`", "options")
    return found


def _best_of(entry: Entry) -> int | None:
    """Count the best options; None where there are none to count."""
    options = entry.data.get("options")
    if not isinstance(options, list) or not options:
        return None
    return sum(1 for one in options if isinstance(one, dict) and one.get("class") == "best")


def _put_in_order(entry: Entry) -> dict[str, Any]:
    steps: Shelf[Step] = Shelf("the step")
    for one in entry.entries("steps", "a step", required=True):
        step = Step(one.slug(), one.text("text"))
        one.close()
        steps.put(step.slug, step, one, "slug")
    pairs = [_pair(one, list(steps.things)) for one in entry.entries("pairs", "a pair", required=True)]
    ways = [(pair.first, pair.then) for pair in pairs]
    for at, way in enumerate(ways):
        if way in ways[:at]:
            entry.fault("this pair is there twice, and would count twice", "write it once", "pairs", at)
    cycle = cycle_in(ways)
    if cycle:
        entry.fault(f"no order keeps all pairs: {' before '.join(cycle)}", "turn one of these pairs around", "pairs")
    return {"steps": tuple(steps.things.values()), "pairs": tuple(pairs)}


def _pair(entry: Entry, steps: list[str]) -> Pair:
    pair = Pair(entry.text("first"), entry.text("then"), entry.flag("must"))
    for key, slug in (("first", pair.first), ("then", pair.then)):
        if slug and slug not in steps:
            entry.fault(f"unknown step `{slug}`", nearest(slug, steps), key)
    entry.close()
    return pair


def _read_measure(entry: Entry) -> dict[str, Any]:
    value, tolerance = entry.number("value", least=-MOST), entry.number("tolerance", 0)
    unit, units = entry.text("unit"), entry.texts("units")
    if not entry.has("units"):
        entry.missing("units")
    elif unit and unit not in units:
        entry.fault(f"the unit `{unit}` is not offered", "name it among `units`", "units")
    for at, one in enumerate(units):
        if one in units[:at]:
            entry.fault(f"the unit `{one}` is offered twice", "name it once", "units", at)
    return {"value": value, "tolerance": tolerance, "unit": unit, "units": units}


_READERS: Mapping[str, Callable[[Entry], dict[str, Any]]] = {
    "choose_one": _choose_one,
    "choose_all": _choose_all,
    "put_in_order": _put_in_order,
    "read_measure": _read_measure,
    "unfold": lambda entry: {"scenes": read_scenes(entry)},
}
