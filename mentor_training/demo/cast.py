"""Who is in the story, read from the example's files, and what each of them is like."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from random import Random

from mentor_training.csv_form import Problem
from mentor_training.participants import roster as participants_file
from mentor_training.people import roster as people_file
from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, OBSERVER, VOLUNTEER, Actor

SEED = 20261017
PASSWORD = "four finches on a copper rail"  # noqa: S105 - printed by the demo for everybody to read

RETURNING, EAGER, STEADY, SLOW = "returning", "eager", "steady", "slow"

# The story's own people, and those whose part in it asks for a certain pace; everybody else is drawn by chance.
PACE = {
    "v-001": EAGER, "v-002": EAGER, "v-003": STEADY, "v-004": EAGER, "v-005": EAGER, "v-007": STEADY,
    "v-012": EAGER, "v-016": STEADY, "v-023": STEADY, "v-031": STEADY, "v-033": SLOW, "v-036": EAGER,
    "v-010": SLOW, "v-037": SLOW,
}  # fmt: skip
# What the returning mentors were signed off for in the spring.
EVERY_RETURNING = (
    "line-of-sight", "consented-help", "form-cue-levels", "inclusive-game", "close-down", "emergency-role",
    "effort-and-stop-signs",
)  # fmt: skip
SPECIAL = {
    "guarding-balance": ("v-039", "v-040", "v-041", "v-042", "v-043", "v-045"),
    "human-guide": ("v-039", "v-041", "v-042", "v-043", "v-045", "v-048"),
    "spotting-resistance": ("v-040", "v-042", "v-044", "v-046", "v-047", "v-050"),
    "wheelchair-handling": ("v-040", "v-042", "v-044", "v-046", "v-047", "v-048", "v-050"),
    "second-person-transfer": ("v-046", "v-047", "v-048", "v-050"),
    "shallow-water": ("v-039", "v-041", "v-047", "v-048", "v-049", "v-050"),
    "seizure-response": ("v-039", "v-041", "v-047", "v-048", "v-049", "v-050"),
    "de-escalation": ("v-042", "v-043", "v-044", "v-049"),
    "sign-and-interpreter": ("v-043", "v-046"),
    "board-partner": ("v-039", "v-041", "v-042", "v-049"),
    "arrival-hand-over": ("v-044", "v-046", "v-049"),
    "screening-item": ("v-040", "v-045"),
    "hand-under-hand": ("v-048", "v-050"),
}
FIRST_RETURNING, LAST_RETURNING = "v-039", "v-050"


@dataclass(frozen=True)
class Character:
    """A volunteer of the story: who they are, how fast they get through their modules, and their own luck."""

    actor: Actor
    pace: str

    @property
    def code(self) -> str:
        """Return the volunteer's code."""
        return self.actor.code

    @property
    def is_returning(self) -> bool:
        """Say whether they were a mentor in the spring already."""
        return self.pace == RETURNING


@dataclass(frozen=True)
class Cast:
    """Everybody with an account, by code, and the volunteers among them."""

    people: dict[str, Actor]
    rows: tuple[people_file.Row, ...]
    characters: dict[str, Character]

    @property
    def coordinator(self) -> Actor:
        """Return the coordinator."""
        return next(one for one in self.people.values() if COORDINATOR in one.roles)

    def instructor_of(self, section: str) -> Actor:
        """Return the course instructor of a section."""
        found = (one for one in self.people.values() if COURSE_INSTRUCTOR in one.roles and section in one.sections)
        return next(found)

    def approver_of(self, code: str) -> Actor:
        """Return who approves a volunteer's hours: the section's instructor, or without a section the coordinator."""
        sections = self.people[code].sections
        return self.instructor_of(sections[0]) if sections else self.coordinator

    @property
    def observers(self) -> list[str]:
        """Return the codes of the observers."""
        return [code for code, one in self.people.items() if OBSERVER in one.roles]

    @property
    def newcomers(self) -> list[Character]:
        """Return the volunteers who are new this term."""
        return [one for one in self.characters.values() if not one.is_returning]

    @property
    def returning(self) -> list[Character]:
        """Return the volunteers who were mentors in the spring already."""
        return [one for one in self.characters.values() if one.is_returning]


def read_cast(example: Path) -> Cast:
    """Read the people of the example."""
    rows, problems = people_file.read_roster((example / "people.csv").read_text(encoding="utf-8"))
    _none_of(problems)
    people = {row.person: Actor(row.person, row.name, frozenset(row.roles), row.sections) for row in rows}
    characters = {code: Character(actor, _pace(code)) for code, actor in people.items() if VOLUNTEER in actor.roles}
    return Cast(people, tuple(rows), characters)


def read_participants(example: Path, needs: set[str], people: list[str]) -> list[participants_file.Row]:
    """Read the participants of the example."""
    text = (example / "participants.csv").read_text(encoding="utf-8")
    rows, problems = participants_file.read_participants(text, needs, people)
    _none_of(problems)
    return rows


def luck(*of: object) -> Random:
    """Return chance that is the same at every telling, of its own for each person and occasion."""
    return Random("/".join(str(part) for part in (SEED, *of)))  # noqa: S311 - a story, nothing secret


def _pace(code: str) -> str:
    if FIRST_RETURNING <= code <= LAST_RETURNING:
        return RETURNING
    return PACE.get(code) or luck("pace", code).choices((EAGER, STEADY, SLOW), (45, 42, 13))[0]


def _none_of(problems: list[Problem]) -> None:
    if problems:
        raise ValueError("the example's files have faults: " + "; ".join(str(one) for one in problems))
