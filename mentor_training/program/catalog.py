"""What a program edition consists of, as frozen values; nothing here reads files or knows a database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property

from mentor_training.program.quiz_values import Quiz
from mentor_training.program.requirements import Requirement

DEFERRAL = (
    "This training prepares student volunteers to help under supervision. It is not medical, legal or therapy advice, "
    "it does not license anyone to practice, and it gives way to the participant's own plan, to the professionals in "
    "charge on the day, to facility rules, and to state and local law."
)

CATEGORIES = ("training", "orientation", "direct", "preparation")
RISKS = ("ordinary", "elevated", "high")


class Level(IntEnum):
    """How far somebody is trusted at a station or for a need; an entrustment scale."""

    NOT_YET = 0
    SUPERVISED = 1
    INDEPENDENT = 2
    LEAD = 3


RUNG_NAMES = {Level.SUPERVISED: "supervised", Level.INDEPENDENT: "independent", Level.LEAD: "lead"}


@dataclass(frozen=True)
class Ladder:
    """The requirements for the levels, from supervised up; a rung left out in the file is filled from the one above."""

    rungs: tuple[Requirement, ...]

    @property
    def top(self) -> Level:
        """Return the highest level that this ladder has a rung for."""
        return Level(len(self.rungs))


@dataclass(frozen=True)
class Station:
    """A place with activities, a capacity and a ladder; or, with kind "duty", a gated task."""

    slug: str
    title: str
    ladder: Ladder
    kind: str = "station"
    activities: tuple[str, ...] = ()
    capacity: int = 0
    leads: int = 0
    practices: tuple[str, ...] = ()
    caution: str = ""

    @property
    def is_duty(self) -> bool:
        """Return whether this is a task and not a place."""
        return self.kind == "duty"


@dataclass(frozen=True)
class Need:
    """A support need of participants, with a ladder of its own."""

    slug: str
    title: str
    ladder: Ladder
    activities: tuple[str, ...] = ()
    mentors: int = 1
    caution: str = ""

    def applies_at(self, station: Station) -> bool:
        """Say whether it bites at a station: it names no activities, or shares one with it."""
        return not self.activities or not set(self.activities).isdisjoint(station.activities)


@dataclass(frozen=True)
class Paper:
    """A document that must be on file and in force; of some the hands-on part must be seen, of some no scan is kept."""

    slug: str
    title: str
    good_for_months: int | None = None
    waivable: bool = False
    hands_on: bool = False
    scan: bool = True


@dataclass(frozen=True)
class Criterion:
    """One thing that an observer can see; a critical one must be met unprompted."""

    text: str
    critical: bool = False


@dataclass(frozen=True)
class SignOffRule:
    """What makes a skill ready for sign-off, see `observing.rules`."""

    observations: int = 2
    days: int = 2
    observers: int = 1
    participants: int = 0
    live_at_least: int = 0
    met_in_a_row: int = 0
    fresh_days: int = 120


SIGN_OFF_DEFAULTS: Mapping[str, SignOffRule] = {
    "ordinary": SignOffRule(2, 2, 1), "elevated": SignOffRule(3, 2, 2), "high": SignOffRule(4, 3, 2, met_in_a_row=2),
}  # fmt: skip


# Short remarks that an observer presses where a skill's file names none of its own.
USUAL_REMARKS = (
    "Calm and clear throughout", "Eyes stayed on the person", "Asked before touching", "Waited for the answer",
    "Too far away to help", "Looked away", "Cue came late", "Let us talk it through",
)  # fmt: skip


@dataclass(frozen=True)
class Skill:
    """Something that an observer must see; `remarks` are short ones to be pressed."""

    slug: str
    title: str
    risk: str
    criteria: tuple[Criterion, ...]
    sign_off: SignOffRule
    good_for_months: int | None = None
    practice_within_days: int | None = None
    standards: tuple[str, ...] = ()
    body: str = ""
    remarks: tuple[str, ...] = USUAL_REMARKS


@dataclass(frozen=True)
class Source:
    """Where a figure in a module comes from; mark S, S2, M or P says how surely."""

    id: str
    text: str
    mark: str


@dataclass(frozen=True)
class Caution:
    """A caution of a module, acknowledged by name by each reader."""

    slug: str
    text: str


@dataclass(frozen=True)
class Picture:
    """A line drawing: its size, and shapes and words that hold nothing else; `words` say all of it in a text."""

    slug: str
    title: str
    words: str
    box: str
    shapes: str


@dataclass(frozen=True)
class Section:
    """A part of a module between two headings; the body is Markdown without its heading."""

    slug: str
    title: str
    body: str


@dataclass(frozen=True)
class Module:
    """One text of training."""

    slug: str
    title: str
    edition: int
    minutes: int
    sections: tuple[Section, ...]
    good_for_months: int | None = None
    must_retake: bool = False
    grace_days: int = 0
    standards: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()
    cautions: tuple[Caution, ...] = ()
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True)
class Course:
    """A course that the hours count for."""

    code: str
    title: str
    credits: float
    required_minutes: Mapping[str, int] = field(default_factory=dict)
    day_cap_minutes: int | None = None
    week_cap_minutes: int | None = None
    sections: tuple[str, ...] = ()
    hours_per_credit: float = 45


@dataclass(frozen=True)
class CertificateKind:
    """A certificate that a volunteer may earn; it may lapse. `signed_by` is who signs it, name and office."""

    slug: str
    title: str
    requires: Requirement
    text: str
    good_for_months: int | None = None
    signed_by: str = ""


@dataclass(frozen=True)
class Framework:
    """A competence framework that modules and skills map to; reference rows, not claims."""

    slug: str
    title: str
    owner: str
    edition: str = ""
    note: str = ""


@dataclass(frozen=True)
class Standard:
    """One standard of a framework: number and title only."""

    slug: str
    framework: str
    number: str
    title: str
    mark: str


@dataclass(frozen=True)
class Policy:
    """The program's settable numbers."""

    pass_mark: float = 0.8
    cool_down_hours: float = 12
    failures_before_talk: int = 3
    late_after_days: int = 7
    reminders: int = 1
    done_share: float = 0.8
    fresh_days: int = 120
    agreement_share: float = 0.8
    supervised_per_lead: int = 2
    rounding: str = "statement"
    round_minutes: int = 15
    scan_kept_days: int = 0
    scan_waits_days: int = 30


@dataclass(frozen=True)
class Program:
    """One edition of the program's definition, whole."""

    name: str
    entry: Requirement
    never: tuple[str, ...] = ()
    deferral: str = DEFERRAL
    policy: Policy = Policy()
    stations: Mapping[str, Station] = field(default_factory=dict)
    needs: Mapping[str, Need] = field(default_factory=dict)
    papers: Mapping[str, Paper] = field(default_factory=dict)
    skills: Mapping[str, Skill] = field(default_factory=dict)
    modules: Mapping[str, Module] = field(default_factory=dict)
    quizzes: Mapping[str, Quiz] = field(default_factory=dict)
    courses: Mapping[str, Course] = field(default_factory=dict)
    certificates: Mapping[str, CertificateKind] = field(default_factory=dict)
    frameworks: Mapping[str, Framework] = field(default_factory=dict)
    standards: Mapping[str, Standard] = field(default_factory=dict)

    @cached_property
    def quiz_of_module(self) -> Mapping[str, Quiz]:
        """Return the quiz of each module that has one."""
        return {quiz.module: quiz for quiz in self.quizzes.values()}

    def course_of_section(self, section: str) -> Course | None:
        """Return the course a section belongs to."""
        return next((course for course in self.courses.values() if section in course.sections), None)

    def title_of(self, item: str) -> str:
        """Return how people call an item such as `skill/guarding-balance`."""
        kind, _, slug = item.partition("/")
        shelves: Mapping[str, Mapping[str, Module | Skill | Paper]]
        shelves = {"module": self.modules, "skill": self.skills, "paper": self.papers}
        return found.title if (found := shelves.get(kind, {}).get(slug)) else item
