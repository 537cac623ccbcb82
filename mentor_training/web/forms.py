"""What forms share: days, whole numbers, and choices written as pairs of value and words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

# The published types end before SelectChoice, with which WTForms 3.3 replaces plain pairs.
from wtforms import DateField, IntegerField, SelectChoice  # type: ignore[attr-defined]


class DayField(DateField):
    """A day; what cannot be read as one is answered with the form that would be right."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the day, or say how one is written."""
        try:
            super().process_formdata(valuelist)
        except ValueError:
            written = " ".join(valuelist)
            raise ValueError(f"{written!r} is not a day. Write one as year-month-day, such as 2026-10-17.") from None


class WholeField(IntegerField):
    """A whole number; what cannot be read as one is answered in words."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number, or say that it is none."""
        try:
            super().process_formdata(valuelist)
        except ValueError:
            raise ValueError(f"{' '.join(valuelist)!r} is not a whole number.") from None


def options(pairs: Iterable[tuple[str, str]]) -> list[Any]:
    """Return the choices of a field, each a value that is sent and the words that are shown, in their order."""
    return [SelectChoice(value=value, label=words) for value, words in pairs]
