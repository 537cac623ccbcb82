"""Figures in a module: each has its unit, and each says where it is from; pure.

Rules of this program. A figure is a number with a unit of time, length, weight, heat, sound, pressure or share. It
names its source in the same paragraph, item or row, or in the paragraph that leads a list or a table in. A scene is a
story and states no facts, and what stands in quotation marks is what somebody says or writes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from mentor_training.program.lint.prose import Block
from mentor_training.program.lint.remarks import Remark

_UNITS = (
    r"(?:%|\u00b0\s?[FC]\b|percent|seconds?|minutes?|hours?|days?|weeks?|months?|years?|inch(?:es)?|feet|foot|meters?|"
    r"centimeters?|millimeters?|pounds?|kilograms?|grams?|degrees?|decibels?|"
    r"(?:in|ft|cm|mm|m|km|lb|kg|g|s|h|min|mL|L|dBA?|mmHg|mg/dL|kPa|bpm)\b)"
)
_NUMBER = r"(?<![\w.,:/\u00a7-])(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?![\w:/]|[.,]\d)"
# Nobody writes a range of more than a few numbers; without a bound a long row of them is tried from each of its ends.
_RANGE = rf"{_NUMBER}(?:\s*(?:,|to|or|and|-|\u2013)\s*{_NUMBER}){{0,6}}"
_FIGURE = re.compile(rf"{_RANGE}[\s-]*{_UNITS}", re.IGNORECASE)
# The word behind a number is only looked at: it may be the name before the next one, as in 29 CFR 1910.
_BARE = re.compile(rf"(\S+\s+)?({_RANGE})(?:(?=\s*[-\u2013]?\s*([^\W\d_]+|[%\u00b0]|[^\w\s])))?")
_CITED = re.compile(r"\[source\s*:")
_SENTENCE = re.compile(r"(?<=[.!?])\s+")
_YEAR = re.compile(r"(?:19|20)\d\d")
# Words behind a number that say nothing of what it counts.
_SMALL = frozenset(
    [
        "and",
        "or",
        "to",
        "is",
        "are",
        "was",
        "were",
        "of",
        "on",
        "at",
        "for",
        "with",
        "than",
        "then",
        "but",
        "by",
        "as",
        "the",
        "a",
        "an",
        "it",
        "they",
        "you",
        "so",
        "if",
        "when",
        "while",
        "means",
        "from",
    ]
)
# Words before a number that make a name of it.
_NAMING = frozenset(
    [
        "edition",
        "version",
        "step",
        "steps",
        "rung",
        "level",
        "section",
        "number",
        "no",
        "no.",
        "page",
        "t",
        "at",
        "rpe",
        "cfr",
        "block",
        "card",
        "age",
        "aged",
        "ages",
        "grade",
        "trial",
        "title",
        "chapter",
        "line",
        "room",
        "row",
        "item",
        "role",
        "session",
        "week",
        "phase",
        "stage",
        "part",
        "points",
        "score",
    ]
)


def figure_remarks(blocks: Sequence[Block]) -> Iterator[Remark]:
    """Advise on figures that name no source, and on numbers that do not say what they count."""
    led_in = False
    for block in blocks:
        if block.kind == "paragraph":
            led_in = bool(_CITED.search(block.text))
        if block.kind in ("heading", "head") or "scene" in block.section.lower():
            continue
        figure = _FIGURE.search(block.own_words)
        if figure and not _CITED.search(block.text) and not (led_in and block.kind != "paragraph"):
            right = "cite it as `[source: ID]` in the same paragraph, item or row"
            yield Remark(block.line, f"the figure `{_plain(figure.group())}` names no source", right)
        bare = _bare_number(block)
        if bare:
            right = "write its unit, or what it counts, behind it"
            yield Remark(block.line, f"the number `{_plain(bare)}` has no unit", right)


def _plain(text: str) -> str:
    return " ".join(text.split())


def _bare_number(block: Block) -> str | None:
    """Return a number that says nothing of what it counts; a table's heads say it, and a scale has no unit."""
    if block.kind == "row":
        return None
    for sentence in _SENTENCE.split(block.own_words):
        if "scale" not in sentence.lower():
            for found in _BARE.finditer(sentence):
                if _is_bare(found):
                    return found.group(2)
    return None


def _is_bare(found: re.Match[str]) -> bool:
    before, number, after = found.groups()
    named = (before or "").strip(" (").lower() in _NAMING or (before or "").strip().endswith(("\u00a7", "#"))
    if named or all(_YEAR.fullmatch(one) for one in re.findall(r"\d+", number)):
        return False
    return after is None or after.lower() in _SMALL or not (after.isalnum() or after in "%\u00b0")
