"""What the board shows of everybody: by section, station, level, lapse and text; pure."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from mentor_training.program.catalog import Level

MOST_DAYS = 3660
WORDS = {"Not yet": Level.NOT_YET, "Supervised": Level.SUPERVISED, "Independent": Level.INDEPENDENT, "Lead": Level.LEAD}
# Letters that do not come apart into a plain one and a mark.
_LETTERS = {"æ": "ae", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "ł": "l", "ø": "o", "œ": "oe", "ß": "ss", "þ": "th"}


@dataclass(frozen=True)
class Filters:
    """What is asked for; empty or None: everything. `within` is a number of days."""

    section: str = ""
    station: str = ""
    level: Level | None = None
    within: int | None = None
    text: str = ""

    def keeps_person(self, code: str, name: str, sections: Iterable[str]) -> bool:
        """Say whether somebody is of the section and has every word of the text in code, name or section."""
        of = tuple(sections)
        if self.section and self.section not in of:
            return False
        if not self.text:
            return True
        said = plain(" ".join((code, name, *of)))
        return all(word in said for word in plain(self.text).split())

    def keeps_cell(self, level: int, last_day: date | None, on: date) -> bool:
        """Say whether a level, and the day through which it holds, are among those asked for."""
        if self.level is not None and level != self.level:
            return False
        return self.within is None or (last_day is not None and last_day <= on + timedelta(days=self.within))

    def keeps_row(self, cells: Iterable[tuple[int, date | None]], on: date) -> bool:
        """Say whether somewhere, of the stations shown, a level is among those asked for."""
        return not self.asks_for_cells or any(self.keeps_cell(level, last, on) for level, last in cells)

    @property
    def asks_for_cells(self) -> bool:
        """Return whether levels or lapses narrow the rows down."""
        return self.level is not None or self.within is not None

    @property
    def parameters(self) -> dict[str, str | int]:
        """Return what stands in the address for these filters."""
        level = next((word for word, level in WORDS.items() if level == self.level), "")
        found = {"section": self.section, "station": self.station, "level": level, "within": self.within}
        return {name: value for name, value in {**found, "text": self.text}.items() if value not in ("", None)}


def read_filters(
    asked: Mapping[str, str], stations: Collection[str], sections: Collection[str]
) -> tuple[Filters, tuple[str, ...]]:
    """Read the filters from an address; with what is wrong with them, each left out where it cannot be read."""
    values = {name: asked.get(name, "").strip() for name in ("section", "station", "level", "within", "text")}
    problems = [
        f"There is no {name} {values[name]!r}; there are {', '.join(known) or 'none'}."
        for name, known in (("section", sections), ("station", stations), ("level", WORDS))
        if values[name] and values[name] not in known
    ]
    within = None
    if values["within"]:
        if re.fullmatch("[0-9]{1,4}", values["within"]) and int(values["within"]) <= MOST_DAYS:
            within = int(values["within"])
        else:
            problems.append(f"{values['within']!r} is no number of days; write a whole one from 0 to {MOST_DAYS}.")
    return Filters(
        values["section"] if values["section"] in sections else "",
        values["station"] if values["station"] in stations else "",
        WORDS.get(values["level"]),
        within,
        values["text"],
    ), tuple(problems)


def plain(text: str) -> str:
    """Return a text as it is looked for: in small letters and without marks, so that Łęcka is found by lecka."""
    apart = unicodedata.normalize("NFD", text.lower())
    bare = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return "".join(_LETTERS.get(sign, sign) for sign in bare)
