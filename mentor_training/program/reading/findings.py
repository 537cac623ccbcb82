"""What is wrong with a file and where, as values; and the desk that collects them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

SEVERAL = 8


@dataclass(frozen=True)
class Finding:
    """One thing to put right: a fault stops publishing, advice does not."""

    file: str
    line: int
    what: str
    right: str
    fault: bool = True

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}; {self.right}"


class Report:
    """Collects findings, so that one reading shows all of them."""

    def __init__(self, wants_advice: bool = True) -> None:
        self.wants_advice = wants_advice
        self._findings: list[Finding] = []

    def fault(self, file: str, line: int, what: str, right: str) -> None:
        """Note that the definition cannot be trusted to mean what it says."""
        self._findings.append(Finding(file, line, what, right))

    def advise(self, file: str, line: int, what: str, right: str) -> None:
        """Note that the training could be better, where anybody wants to know."""
        if self.wants_advice:
            self._findings.append(Finding(file, line, what, right, fault=False))

    def in_order(self) -> tuple[Finding, ...]:
        """Return the findings by file and line, each once; `program.toml` comes first."""
        unique = dict.fromkeys(self._findings)
        return tuple(sorted(unique, key=lambda one: (one.file != "program/program.toml", one.file, one.line)))


def nearest(name: str, known: Iterable[str]) -> str:
    """Return what would be right instead of an unknown name: the nearest known one, or the choice there is."""
    names = list(dict.fromkeys(known))
    near = difflib.get_close_matches(name, names, 1)
    if near:
        return f"did you mean `{near[0]}`?"
    if not names:
        return "none is defined yet"
    if len(names) == 1:
        return f"there is only `{names[0]}`"
    some = ", ".join(f"`{one}`" for one in names[:SEVERAL])
    return f"known are {some}{' and others' if len(names) > SEVERAL else ''}"


def shown(value: Any) -> str:
    """Write a value as its author would recognize it."""
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'the text "{value if len(value) <= 40 else value[:37] + "..."}"'
    if isinstance(value, int | float):
        return str(value)
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, dict) else f"the {type(value).__name__} {value}"
