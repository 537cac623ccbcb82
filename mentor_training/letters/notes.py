"""A mid-term note: what stands on a day for one student, and the mail that says so; pure.

A note has nothing of any participant. Its whole form is for the student and the coordinator. Who looks after a section
sees hours, modules and skills: papers and where somebody may work are not theirs to see.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from mentor_training.calendar.rules import day_in_words
from mentor_training.hours.rules import in_hours
from mentor_training.hours.toward import EARLY, MET, ON_COURSE, WAITS, WILL_MISS, Ahead
from mentor_training.letters.digests import WIDTH

KIND = "midterm"
OUTLOOKS = {
    MET: "It is met.",
    WAITS: "It is done, and waits for approval.",
    ON_COURSE: "It is on course.",
    EARLY: "It is too early to say.",
}


@dataclass(frozen=True)
class Held:
    """A module or skill that is held, through its last day; no last day: without end."""

    title: str
    last_day: date | None = None


@dataclass(frozen=True)
class Place:
    """Stations and duties at which somebody stands alike: the level, the next one, and what that one asks for yet."""

    titles: tuple[str, ...]
    level: int
    next_level: str
    lacks: tuple[str, ...]


@dataclass(frozen=True)
class Ending:
    """A paper that ends before the last session; `waits` says that the next one is on file, to be verified."""

    title: str
    day: date
    waits: bool = False


@dataclass(frozen=True)
class Beyond:
    """What only the student and the coordinator see: where they may work, what keeps them off, papers that end.

    `entry` is what is missing to be on the floor at all; `is_paused` that somewhere they are not to work now.
    """

    places: tuple[Place, ...]
    entry: tuple[str, ...] = ()
    is_paused: bool = False
    papers: tuple[Ending, ...] = ()


@dataclass(frozen=True)
class Note:
    """What stands for one student on a day. `last_day` is the term's, `last_session` the last one they can come to.

    `modules_open` and `skills_begun` are titles; `skills_left` counts the skills that nobody has seen yet.
    """

    person: str
    name: str
    section: str
    course: str
    on: date
    term: str
    last_day: date | None
    hours: tuple[Ahead, ...]
    modules: tuple[Held, ...]
    modules_open: tuple[str, ...]
    skills: tuple[Held, ...]
    skills_begun: tuple[str, ...]
    skills_left: int
    last_session: date | None = None
    beyond: Beyond | None = None

    @property
    def is_met(self) -> bool:
        """Say whether every required minute is approved."""
        return bool(self.hours) and all(not one.needed for one in self.hours)

    @property
    def will_miss(self) -> tuple[Ahead, ...]:
        """Return the categories that will be missed as it looks."""
        return tuple(one for one in self.hours if one.outlook == WILL_MISS)

    @property
    def ending_modules(self) -> tuple[Held, ...]:
        """Return the modules whose completion ends within the term."""
        return tuple(one for one in self.modules if one.last_day and not self.is_too_late(one.last_day))

    @property
    def skill_count(self) -> int:
        """Return how many skills the program has."""
        return len(self.skills) + len(self.skills_begun) + self.skills_left

    def outlook(self, one: Ahead) -> str:
        """Say in a sentence what becomes of a category, as it looks."""
        missing = f"{_h(one.short)} will be missing" if one.short else "it will be missed"
        return OUTLOOKS.get(one.outlook) or f"As it looks, {missing}."

    def is_too_late(self, day: date) -> bool:
        """Say whether a day lies after the term's last."""
        return self.last_day is not None and day > self.last_day

    def a_week(self, one: Ahead) -> int:
        """Return the minutes of a category to be done each week from now to the term's last day, rounded up.

        0 where nothing is to be done, and where no term or no day of it is left.
        """
        left = (self.last_day - self.on).days if self.last_day else 0
        to_do = max(0, one.required - one.done)
        return -(-to_do * 7 // left) if left > 0 else 0


def alike(places: Iterable[Place]) -> tuple[Place, ...]:
    """Put places together at which the same level, next level and lacks stand: lowest level first, else in order."""
    found: dict[tuple[int, str, tuple[str, ...]], tuple[str, ...]] = {}
    for one in places:
        key = (one.level, one.next_level, one.lacks)
        found[key] = (*found.get(key, ()), *one.titles)
    ordered = sorted(found.items(), key=lambda item: item[0][0])
    return tuple(Place(titles, level, following, lacks) for (level, following, lacks), titles in ordered)


def key_of(section: str, on: date) -> str:
    """Return what makes a section's note the same one: once it was sent for a day, it is not sent again for it."""
    return f"{KIND}/{section}/{on.isoformat()}"


# ---- the mail ----


def subject_of(program: str, note: Note) -> str:
    """Return the subject of a note's mail: whose it is and of which day, and nothing of how it stands."""
    return f"{' '.join(program.split())}: where you stand on {day_in_words(note.on)}"


def text_of(program: str, note: Note, address: str) -> str:
    """Return a note as plain text: hours, modules and skills; the rest, and the PDF, stand behind the address."""
    lead = f"this is where you stand in {' '.join(program.split())} on {day_in_words(note.on)}"
    parts = [f"Hello {' '.join(note.name.split())},", f"{lead}{', toward ' + note.course if note.course else ''}."]
    parts += [_item(_hours_in_words(note, one)) for one in note.hours]
    if not note.hours:
        parts.append(_item("No course counts your hours; they are kept."))
    parts += [_item(_modules_in_words(note)), _item(_skills_in_words(note))]
    beyond = "Where you may work, what the next level asks for and which papers end is not written in a mail."
    parts += [
        f"{beyond} Sign in, and it stands here, as a page and as a PDF:\n{address}/letters/midterm",
        "If something is not right, tell the instructor of your section.",
        "This mail was written by a program. Nobody reads an answer to it there.",
    ]
    return "\n\n".join(_wrapped(one) for one in parts) + "\n"


def _hours_in_words(note: Note, one: Ahead) -> str:
    """Say where a category stands: what is there, what is coming, what is needed, and by when."""
    said = f"{one.category.capitalize()} hours: {_h(one.approved)} of {_h(one.required)} approved"
    said += f", {_h(one.waiting)} wait for approval" if one.waiting else ""
    said += f", {_h(one.planned)} planned" if one.planned else ""
    if not one.needed:
        return f"{said}. The requirement is met."
    said += f". {_h(one.needed)} still to be approved. {note.outlook(one)}"
    said += f" By what is planned it is met on {day_in_words(one.by_plan)}." if one.by_plan else ""
    if one.by_pace:
        only = "only on" if note.is_too_late(one.by_pace) else "on"
        said += f" At the pace so far it is met {only} {day_in_words(one.by_pace)}."
    week = note.a_week(one)
    return f"{said} To do: {_h(week)} a week." if week else said


def _modules_in_words(note: Note) -> str:
    many = len(note.modules) + len(note.modules_open)
    left = f"; still to do: {'; '.join(note.modules_open)}" if note.modules_open else ""
    return f"Modules: {len(note.modules)} of {many} complete{left}."


def _skills_in_words(note: Note) -> str:
    begun = f"; seen, and not signed off yet: {'; '.join(note.skills_begun)}" if note.skills_begun else ""
    return f"Skills: {len(note.skills)} of {note.skill_count} signed off{begun}."


def _h(minutes: int) -> str:
    return f"{in_hours(minutes)} h"


def _item(text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent="- ", subsequent_indent="  ")


def _wrapped(paragraph: str) -> str:
    return "\n".join(
        line if line.startswith(("- ", "  ", "http")) else textwrap.fill(line, WIDTH) for line in paragraph.split("\n")
    )
