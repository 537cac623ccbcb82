"""A cursor over one table of a file: takes each value by its name, and reports every slip at its own line.

A value that is missing or wrong is replaced by a stand-in, so that the rest of the table is still checked; the fault
that was reported keeps the stand-in out of any program.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from mentor_training.program.reading.document import Document, Misread, Path
from mentor_training.program.reading.findings import Report, nearest, shown
from mentor_training.program.reading.slugs import made_slug

SLUG = re.compile(r"[a-z0-9-]+")
MONTHS = 1200
DAYS = 36500
MINUTES = 1_000_000
MOST = 1_000_000


class Entry:
    """One table of a document, by its path; whatever is asked for is known, everything else in it is not.

    One that is `plain` is written as a text in the place of a table with this `text` alone.
    """

    def __init__(self, document: Document, report: Report, what: str, path: Path = (), data: Any = None) -> None:
        self.document = document
        self.report = report
        self.what = what
        self.path = path
        self.is_plain = isinstance(data, str)
        self.data: Mapping[str, Any] = document.data if data is None else {"text": data} if self.is_plain else data
        self._known: list[str] = []

    def line(self, *path: str | int) -> int:
        """Return the line of something in this table, or of the table itself."""
        return self.document.line(self.path + path)

    def place(self, *path: str | int) -> str:
        """Return the file and line, to be named in another finding."""
        return f"{self.document.file}:{self.line(*path)}"

    def fault(self, what: str, right: str, *path: str | int) -> None:
        """Report a fault at something in this table."""
        self.report.fault(self.document.file, self.line(*path), what, right)

    def advise(self, what: str, right: str, *path: str | int) -> None:
        """Report advice at something in this table."""
        self.report.advise(self.document.file, self.line(*path), what, right)

    def has(self, key: str) -> bool:
        """Say whether the key is written here."""
        return key in self.data

    def missing(self, key: str) -> None:
        """Report that a key has to be here."""
        self.fault(f"{self.what} has no `{key}`", f"add `{key}`")

    def raw(self, key: str) -> Any:
        """Take a value of any kind; None where it is absent."""
        self._known.append(key)
        return self.data.get(key)

    def text(self, key: str, default: str | None = None) -> str:
        """Take a text; with no default it has to be there and say something."""
        value = self._value(key, str, "a text in quotes", required=default is None)
        if default is None and value is not None and not value.strip():
            self.fault(f"`{key}` is empty", "write a text", key)
        return default or "" if value is None else value.strip()

    def slug(self, key: str = "slug") -> str:
        """Take a slug; an ill-formed one is reported and taken, so that references to it are not reported too."""
        value = self._value(key, str, "a text in quotes", required=True)
        if value is not None:
            self.check_slug(value, key)
        return value or ""

    def check_slug(self, value: str, *path: str | int) -> None:
        """Report a slug that has other characters than slugs have."""
        if not SLUG.fullmatch(value):
            right = f"use a to z, 0 to 9 and hyphens, like `{made_slug(value, 'a-word')}`"
            self.fault(f"`{value}` is no slug", right, *path)

    def flag(self, key: str, default: bool = False) -> bool:
        """Take true or false."""
        value = self._value(key, bool, "true or false")
        return default if value is None else bool(value)

    def one_of(self, key: str, choices: Collection[str], default: str | None = None) -> str:
        """Take one of some words."""
        value = self._value(key, str, f"one of {', '.join(choices)}", required=default is None)
        if value is not None and value not in choices:
            self.fault(f"unknown {key} `{value}`", nearest(value, choices), key)
            value = None
        return default or next(iter(choices)) if value is None else str(value)

    def whole(self, key: str, default: int | None = None, least: int = 0, most: int = MOST) -> int:
        """Take a whole number within bounds; with no default it has to be there."""
        value = self._number(key, int, default is None, least, most)
        return default or least if value is None else int(value)

    def maybe_whole(self, key: str, least: int = 1, most: int = MOST) -> int | None:
        """Take a whole number within bounds, or None where it is absent."""
        value = self._number(key, int, False, least, most)
        return None if value is None else int(value)

    def number(self, key: str, default: float | None = None, least: float = 0, most: float = MOST) -> float:
        """Take a number within bounds; with no default it has to be there."""
        value = self._number(key, float, default is None, least, most)
        return default or 0 if value is None else value

    def _number(self, key: str, kind: type, required: bool, least: float, most: float) -> float | None:
        kinds = (int, float) if kind is float else (int,)
        name = "a number" if kind is float else "a whole number"
        bounds = f"{name}, {least:g} or more" if most >= MOST else f"{name} from {least:g} to {most:g}"
        bounds = name if least <= -MOST else bounds
        value = self._value(key, kinds, bounds, required)
        if value is None:
            return None
        if not least <= value <= most:
            self.fault(f"`{key}` is {value}", f"it must be {bounds}", key)
            return None
        return float(value) if isinstance(value, float) else int(value)

    def texts(self, key: str) -> tuple[str, ...]:
        """Take a list of texts; absent means none."""
        found = []
        for at, value in enumerate(self._value(key, list, "a list of texts") or []):
            if isinstance(value, str) and value.strip():
                found.append(value.strip())
            else:
                self.fault(f"{shown(value)} stands in `{key}`", "write a text in quotes", key, at)
        return tuple(found)

    def words(self, key: str) -> tuple[str, ...]:
        """Take a list of slug-like words, each of them once; absent means none."""
        found = self.texts(key)
        for at, value in enumerate(found):
            self.check_slug(value, key, at)
            if value in found[:at]:
                self.advise(f"`{value}` stands twice in `{key}`", "name it once", key, at)
        return found

    def entries(self, key: str, what: str, required: bool = False, plain: bool = False) -> list[Entry]:
        """Take a list of tables; with `plain`, a text may stand in the place of each of them."""
        found = []
        toml = self.document.is_toml and not self.path
        name = f"a list of tables, each headed [[{key}]]" if toml else "a list, each entry with keys of its own"
        for at, value in enumerate(self._value(key, list, name, required) or []):
            if isinstance(value, dict) or (plain and isinstance(value, str) and value.strip()):
                found.append(Entry(self.document, self.report, what, (*self.path, key, at), value))
            else:
                right = f"write a text in quotes, or the keys of {what}" if plain else f"write the keys of {what}"
                self.fault(f"{shown(value)} stands in `{key}`", right, key, at)
        if required and self.data.get(key) == []:
            self.fault(f"`{key}` is empty", "write one at least", key)
        return found

    def table(self, key: str, what: str) -> Entry | None:
        """Take a table within this one, or None where it is absent."""
        value = self._value(key, dict, "a table of keys and values")
        return None if value is None else Entry(self.document, self.report, what, (*self.path, key), value)

    def close(self, elsewhere: Mapping[str, str] | None = None) -> None:
        """Report every key that was not asked for; `elsewhere` says where some of them belong."""
        for key in self.data:
            if key not in self._known:
                right = (elsewhere or {}).get(key) or nearest(key, self._known)
                self.fault(f"unknown key `{key}` in {self.what}", right, key)

    def _value(self, key: str, kind: type | tuple[type, ...], name: str, required: bool = False) -> Any:
        value = self.raw(key)
        if key not in self.data:
            if required:
                self.missing(key)
            return None
        kinds = kind if isinstance(kind, tuple) else (kind,)
        if isinstance(value, Misread) and str not in kinds:
            return None
        if isinstance(value, kinds) and (bool in kinds or not isinstance(value, bool)):
            return value
        self.fault(f"`{key}` is {shown(value)}", f"it must be {name}", key)
        return None
