"""A piece of advice at a line."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Remark:
    """What could be better at a line, and how."""

    line: int
    what: str
    right: str
