"""Read the requirement language from the values of a file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from mentor_training.program.catalog import CATEGORIES
from mentor_training.program.reading.entry import MOST, Entry
from mentor_training.program.reading.findings import nearest, shown
from mentor_training.program.reading.names import Names
from mentor_training.program.requirements import (
    ALWAYS,
    AtLeast,
    Hours,
    Item,
    Requirement,
    Sessions,
    all_of,
    any_of,
)

DEEPEST = 40
_FORMS = {
    "all": ("all",),
    "any": ("any",),
    "of": ("of", "at_least"),
    "hours": ("hours", "at_least"),
    "sessions": ("sessions",),
}
_WRITE = (
    'write "skill/SLUG", { all = [...] }, { any = [...] }, { at_least = 2, of = [...] }, '
    '{ hours = "direct", at_least = 10 } or { sessions = 3 }'
)


def read_requirement(entry: Entry, key: str, names: Names, required: bool = False) -> Requirement | None:
    """Take a requirement; None where it is absent. A faulty part is reported and stands as always met."""
    value = entry.raw(key)
    if not entry.has(key):
        if required:
            entry.missing(key)
        return None
    return _Place(entry, names, (key,)).read(value)


@dataclass(frozen=True)
class _Place:
    """Where in a table a part of a requirement stands."""

    entry: Entry
    names: Names
    path: tuple[str | int, ...]

    def read(self, value: Any) -> Requirement:
        if len(self.path) > DEEPEST:
            return self._fault("this requirement is nested too deep", "say it with fewer brackets")
        if isinstance(value, str):
            self.names.check_item(self.entry, value, *self.path)
            return Item(value)
        if isinstance(value, dict):
            return self._table(value)
        right = "write { all = [ ... ] } around the list" if isinstance(value, list) else _WRITE
        return self._fault(f"a requirement cannot be {shown(value)}", right)

    def _table(self, value: dict[str, Any]) -> Requirement:
        heads = [key for key in _FORMS if key in value]
        if len(heads) > 1:
            named = " and ".join(f"`{head}`" for head in heads)
            return self._fault(f"a requirement cannot be {named} at once", "nest one in the other")
        if not heads:
            return self._headless(value)
        head = heads[0]
        for key in value:
            if key not in _FORMS[head]:
                self._fault(f"unknown key `{key}` in a requirement", nearest(key, _FORMS[head]), key)
        return self._form(head, value)

    def _headless(self, value: dict[str, Any]) -> Requirement:
        if "at_least" in value:
            return self._fault("`at_least` does not say of what", "add `of = [ ... ]` or `hours = CATEGORY`")
        for key in value:
            self._fault(f"unknown key `{key}` in a requirement", nearest(key, [*_FORMS, "at_least"]), key)
        return ALWAYS if value else self._fault("a requirement is empty", _WRITE)

    def _form(self, head: str, value: dict[str, Any]) -> Requirement:
        if head == "hours":
            return self._hours(value)
        if head == "sessions":
            return Sessions(int(self._count(value, "sessions")))
        parts = self._parts(head, value[head])
        if head == "of":
            return self._at_least(value, parts)
        if not parts and head == "any":
            return self._fault("nothing can meet an empty `any`", "name what would do", "any")
        if not parts:
            self.entry.advise("this asks for nothing", "name what has to be held", *self.path, "all")
        return any_of(*parts) if head == "any" else all_of(*parts)

    def _parts(self, head: str, value: Any) -> tuple[Requirement, ...]:
        if not isinstance(value, list):
            self._fault(f"`{head}` is {shown(value)}", "it must be a list in brackets", head)
            return (ALWAYS,)
        parts = tuple(_Place(self.entry, self.names, (*self.path, head, at)).read(one) for at, one in enumerate(value))
        for at, one in enumerate(value):
            if one in value[:at]:
                self._twice(head, one, at)
        return parts

    def _twice(self, head: str, value: Any, at: int) -> None:
        what = f"{shown(value)} stands twice in `{head}`"
        counted = ", so that holding it once counts as two" if head == "of" else ""
        self.entry.advise(what + counted, "name it once", *self.path, head, at)

    def _at_least(self, value: dict[str, Any], parts: tuple[Requirement, ...]) -> Requirement:
        if "at_least" not in value:
            return self._fault("`of` does not say how many", "add `at_least = 2`, or write `all` or `any`")
        count = int(self._count(value, "at_least"))
        if count > len(parts):
            what = f"at least {count} of {len(parts)} can never be met"
            return self._fault(what, f"ask for at most {len(parts)}, or name more", "at_least")
        return AtLeast(count, parts)

    def _hours(self, value: dict[str, Any]) -> Requirement:
        category = value["hours"]
        if not isinstance(category, str):
            return self._fault(f"`hours` is {shown(category)}", f"name one of {', '.join(CATEGORIES)}", "hours")
        if category not in CATEGORIES:
            self._fault(f"unknown hours `{category}`", nearest(category, CATEGORIES), "hours")
        if "at_least" not in value:
            return self._fault("`hours` does not say how many", "add `at_least = 10`")
        return Hours(category, self._count(value, "at_least", whole=False))

    def _count(self, value: dict[str, Any], key: str, whole: bool = True) -> float:
        """Take a positive number; the reading goes on with 1 after a fault."""
        number = value[key]
        kinds = (int,) if whole else (int, float)
        wanted = "a whole number, 1 or more" if whole else "a number above 0"
        fits = isinstance(number, kinds) and not isinstance(number, bool) and math.isfinite(number)
        if fits and 0 < number <= MOST:
            return float(number) if isinstance(number, float) else int(number)
        self._fault(f"`{key}` is {shown(number)}", f"it must be {wanted}", key)
        return 1

    def _fault(self, what: str, right: str, *path: str | int) -> Requirement:
        self.entry.fault(what, right, *self.path, *path)
        return ALWAYS
