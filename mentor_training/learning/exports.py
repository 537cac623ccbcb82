"""How items do, as the documented JSON and as rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from mentor_training.learning.questions import BankReport, Item
from mentor_training.learning.rules.items import Share, look_at
from mentor_training.learning.statistics import Figures, ItemFigures

COLUMNS = ("item", "people", "difficulty", "best", "discrimination", "band", "item_rest", "unsafe", "look_at")
NOT_DEFINED = "not defined"


def report_as_json(report: BankReport) -> dict[str, Any]:
    """Return the documented JSON of a bank; null is what is not defined, or, for `unsafe`, cannot be chosen."""
    return {
        "quiz": report.bank.quiz,
        "edition": report.bank.edition,
        "all_attempts": report.all_attempts,
        "people": report.people,
        "attempts": report.attempts,
        **_of_test(report.figures),
        "items": [
            {**_of_item(one.scenario.slug, one.figures), **_of_scenario(one), "look_at": list(one.look_at)}
            for one in report.items
        ],
    }


def responses_as_json(items: Sequence[str], figures: Figures) -> dict[str, Any]:
    """Return the same of a plain table, without what only a bank of scenarios has."""
    return {
        "people": figures.people,
        **_of_test(figures),
        "items": [
            {**_of_item(name, its), "look_at": list(look_at(None, its.best))}
            for name, its in zip(items, figures.items, strict=True)
        ],
    }


def _of_test(figures: Figures) -> dict[str, Any]:
    return {
        "length": figures.length,
        "mean": _number(figures.mean),
        "deviation": figures.deviation,
        "kr20": figures.kr20,
        "kr21": figures.kr21,
        "sem": figures.sem,
    }


def _of_item(name: str, its: ItemFigures) -> dict[str, Any]:
    return {
        "item": name,
        "people": its.people,
        "difficulty": _number(its.difficulty),
        "best": _number(its.best),
        "discrimination": _number(its.discrimination),
        "band": its.band,
        "item_rest": its.item_rest,
        "item_total": its.item_total,
    }


def _of_scenario(item: Item) -> dict[str, Any]:
    return {
        "version_of": item.scenario.version_of or None,
        "kind": item.scenario.kind,
        "unsafe": _share(item.unsafe) if item.unsafe else None,
        "options": [
            {"text": one.text, "class": one.standing, "scene": one.scene or None, "times": one.times}
            for one in item.choices
        ],
        "unanswered": item.unanswered,
    }


def _share(share: Share) -> dict[str, Any]:
    low, high = share.interval or (None, None)
    return {"times": share.hits, "people": share.people, "share": _number(share.exact), "low": low, "high": high}


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


# ---- rows ----


def report_as_rows(report: BankReport, empty: str = NOT_DEFINED) -> list[tuple[object, ...]]:
    """Return a row for each item of a bank; `empty` stands for what is not defined."""
    return [_row(one.scenario.slug, one.figures, one.unsafe, one.look_at, empty) for one in report.items]


def responses_as_rows(items: Sequence[str], figures: Figures, empty: str = NOT_DEFINED) -> list[tuple[object, ...]]:
    """Return a row for each item of a plain table, which does not say what is unsafe."""
    return [
        _row(name, its, None, look_at(None, its.best), empty) for name, its in zip(items, figures.items, strict=True)
    ]


def _row(name: str, its: ItemFigures, unsafe: Share | None, looks: Sequence[str], empty: str) -> tuple[object, ...]:
    return (
        name,
        its.people,
        shown(its.difficulty, empty),
        shown(its.best, empty),
        shown(its.discrimination, empty),
        its.band or empty,
        shown(its.item_rest, empty),
        shown(unsafe.exact, empty) if unsafe else "",
        " and ".join(looks),
    )


def shown(value: Fraction | float | None, empty: str = NOT_DEFINED) -> str:
    """Write a figure with three decimals."""
    return empty if value is None else f"{float(value):.3f}"


def in_words(people: int, figures: Figures) -> str:
    """Say in one line how a test did."""
    return (
        f"{people} people, {figures.length or 'not equally many'} items each, mean {_points(figures.mean)}, "
        f"KR-20 {shown(figures.kr20)}, KR-21 {shown(figures.kr21)}, standard error {_points(figures.sem)}"
    )


def _points(value: Fraction | float | None) -> str:
    return shown(value) if value is None else f"{shown(value)} points"
