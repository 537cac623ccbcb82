"""Which pass mark judges' estimates propose for a quiz, and how far the judges agree; pure.

Of each item, each judge says which share of just-ready mentors, those who are only just ready to start supervised,
would get it right. A judge's mean over the items is the share of the points that such a mentor would reach; the mean
over the judges is the pass mark proposed (W. H. Angoff, Scales, norms, and equivalent scores, in R. L. Thorndike (ed.),
Educational Measurement, 2nd ed., 1971; from memory). Versions of an item count as one.

Judges write whole percents, 0 to 100. Means are exact shares, 0 to 1. A spread is a standard deviation with divisor
n - 1, in the same unit: 0 to the square root of 1/2. What is not defined is None.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import floor, sqrt

from mentor_training.program.quiz_values import Scenario

# A rule of this program: a table with more of them is no longer read.
MOST_JUDGES = 8
LONGEST_NAME = 120
WHOLE = 100
_PERCENT = re.compile(r"0*(100|[0-9]{1,2})")


@dataclass(frozen=True)
class Sheet:
    """What one judge wrote: a whole percent for each item, in the order of the items."""

    judge: str
    percents: tuple[int, ...]

    @property
    def mean(self) -> Fraction:
        """Return the mean over the items, 0 to 1."""
        return Fraction(sum(self.percents), WHOLE * len(self.percents))


@dataclass(frozen=True)
class Summary:
    """What so many judges say together: the mean of their shares, 0 to 1, and how far they lie apart."""

    judges: int
    mean: Fraction
    variance: Fraction | None

    @property
    def spread(self) -> float | None:
        """Return the standard deviation, divisor n - 1; not defined for one judge."""
        return None if self.variance is None else sqrt(self.variance)

    @property
    def standard_error(self) -> float | None:
        """Return the standard error of the mean, spread / sqrt(judges); not defined for one judge."""
        return None if self.variance is None else sqrt(self.variance / self.judges)


@dataclass(frozen=True)
class Proposal:
    """What judges propose: the pass mark with its spread, the mean of each judge, and a summary of each item."""

    whole: Summary
    judges: tuple[Fraction, ...]
    items: tuple[Summary, ...]


def items_of(scenarios: Iterable[Scenario]) -> dict[str, tuple[Scenario, ...]]:
    """Return the items of a quiz in the order of its file, each with its versions."""
    found: dict[str, tuple[Scenario, ...]] = {}
    for one in scenarios:
        found[one.item] = (*found.get(one.item, ()), one)
    return found


def summary(shares: Sequence[Fraction]) -> Summary:
    """Return the mean and the variance of the shares of one judge or more; ValueError for none."""
    if not shares:
        raise ValueError("nobody judged")
    mean = sum(shares, Fraction(0)) / len(shares)
    if len(shares) == 1:
        return Summary(1, mean, None)
    return Summary(len(shares), mean, sum(((one - mean) ** 2 for one in shares), Fraction(0)) / (len(shares) - 1))


def proposal(sheets: Sequence[Sheet]) -> Proposal:
    """Return what judges propose who all judged the same items; ValueError where they did not, or there are none."""
    lengths = {len(sheet.percents) for sheet in sheets}
    if len(lengths) != 1 or 0 in lengths:
        raise ValueError("each judge says a share of each item, and there is one of each at least")
    means = tuple(sheet.mean for sheet in sheets)
    of_items = zip(*(sheet.percents for sheet in sheets), strict=True)
    items = tuple(summary([Fraction(one, WHOLE) for one in percents]) for percents in of_items)
    return Proposal(summary(means), means, items)


def furthest_apart(found: Proposal) -> tuple[int, ...]:
    """Return the places, from 0, of the items on which the judges disagree most; none where they agree on all."""
    most = max((one.variance or Fraction(0) for one in found.items), default=Fraction(0))
    return tuple(at for at, one in enumerate(found.items) if most and one.variance == most)


# ---- what may be recorded ----


def read_percent(text: str) -> int | None:
    """Read a whole percent, 0 to 100, with or without its sign; None if it is none."""
    clean = text.strip().removesuffix("%").rstrip()
    return int(clean) if _PERCENT.fullmatch(clean) else None


def clean_name(text: str) -> str:
    """Return a judge's name in one line, composed (Unicode's form C), without what cannot be written into a file.

    It is empty where nothing of it can be read: a name has at least one letter or digit.
    """
    name = " ".join(unicodedata.normalize("NFC", "".join(filter(_belongs_to_a_name, text))).split())
    return name if any(map(str.isalnum, name)) else ""


def _belongs_to_a_name(one: str) -> bool:
    # Characters of format join letters in some scripts.
    return one.isprintable() or one.isspace() or unicodedata.category(one) == "Cf"


def faults(sheets: Sequence[Sheet], items: int, day: date, today: date) -> tuple[str, ...]:
    """Return what is wrong with the estimates of judges for so many items, made on a day; rules of this program."""
    return tuple(_faults(sheets, items, day, today))


def _faults(sheets: Sequence[Sheet], items: int, day: date, today: date) -> Iterator[str]:
    if day > today:
        yield f"The day on which they judged, {day:%Y-%m-%d}, is still to come; write the day on which it was."
    if not 1 <= len(sheets) <= MOST_JUDGES:
        yield f"{len(sheets)} judges are entered; 1 to {MOST_JUDGES} can be."
    if not all(0 < len(sheet.judge) <= LONGEST_NAME and clean_name(sheet.judge) == sheet.judge for sheet in sheets):
        yield f"A judge's name is missing or cannot be kept; write 1 to {LONGEST_NAME} characters in one line."
    yield from (f"{name} stands there twice; write each judge once." for name in named_twice(sheets))
    for sheet in sheets:
        if len(sheet.percents) != items:
            yield f"{sheet.judge} judged {len(sheet.percents)} of {items} items; write a share for each."
        if not all(0 <= percent <= WHOLE for percent in sheet.percents):
            yield f"A share by {sheet.judge} is outside 0 to 100; write a whole percent."


def named_twice(sheets: Iterable[Sheet]) -> tuple[str, ...]:
    """Return the names that stand there more than once, whatever their capitals."""
    names = [sheet.judge for sheet in sheets if sheet.judge]
    often = Counter(map(str.casefold, names))
    return tuple(name for name in dict.fromkeys(names) if often[name.casefold()] > 1)


# ---- what is written into the file ----


def rounded(pass_mark: Fraction) -> str:
    """Write a pass mark, 0 to 1, as it goes into a file: two decimals, half up."""
    percent = floor(pass_mark * WHOLE + Fraction(1, 2))
    return f"{percent // WHOLE}.{percent % WHOLE:02}"


def source(sheets: Sequence[Sheet], day: date) -> str:
    """Say where a pass mark comes from: the method, the day, the judges."""
    names = ", ".join(sheet.judge for sheet in sheets)
    return f"Angoff 1971, set on {day:%Y-%m-%d} by {len(sheets)} {'judge' if len(sheets) == 1 else 'judges'}: {names}"


def lines_of_file(sheets: Sequence[Sheet], day: date) -> tuple[str, str]:
    """Return the two lines that a quiz file says it by; a text in JSON's quotes is one in YAML's, too."""
    mark = rounded(proposal(sheets).whole.mean)
    return f"pass_mark: {mark}", f"pass_mark_source: {json.dumps(source(sheets, day), ensure_ascii=False)}"
