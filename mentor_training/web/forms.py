"""What forms share: choices, written as pairs of value and words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

# The published types end before this class, with which WTForms 3.3 replaces plain pairs.
from wtforms import SelectChoice  # type: ignore[attr-defined]


def options(pairs: Iterable[tuple[str, str]]) -> list[Any]:
    """Return the choices of a field, each a value that is sent and the words that are shown, in their order."""
    return [SelectChoice(value=value, label=words) for value, words in pairs]
