"""What a quiz consists of, as frozen values; part of the catalog, pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Option:
    """An option of a choice: best, wrong or unsafe."""

    text: str
    standing: str
    why: str = ""


@dataclass(frozen=True)
class Step:
    """A step to be put in order."""

    slug: str
    text: str


@dataclass(frozen=True)
class Pair:
    """One step comes before another; broken, a `must` pair is an unsafe choice."""

    first: str
    then: str
    must: bool = False


@dataclass(frozen=True)
class Choice:
    """A choice in a branching scenario: good, recoverable or unsafe; with no `to` it ends there."""

    text: str
    standing: str
    to: str | None = None
    why: str = ""


@dataclass(frozen=True)
class Scene:
    """A point of a branching scenario."""

    slug: str
    text: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class Scenario:
    """One question of a quiz, of one of the five kinds; the fields of the other kinds stay empty."""

    slug: str
    kind: str
    text: str
    why: str = ""
    read_again: str = ""
    version_of: str = ""
    skill: str = ""
    options: tuple[Option, ...] = ()
    steps: tuple[Step, ...] = ()
    pairs: tuple[Pair, ...] = ()
    value: float = 0.0
    tolerance: float = 0.0
    unit: str = ""
    units: tuple[str, ...] = ()
    scenes: tuple[Scene, ...] = ()

    @property
    def has_unsafe(self) -> bool:
        """Say whether anything unsafe can be chosen: an option, a choice on the way, an order that breaks a `must`."""
        standings = [option.standing for option in self.options]
        standings += [choice.standing for scene in self.scenes for choice in scene.choices]
        return "unsafe" in standings or any(pair.must for pair in self.pairs)

    @property
    def item(self) -> str:
        """Return the item of which this is a version."""
        return self.version_of or self.slug


SCENARIO_KINDS = ("choose_one", "choose_all", "put_in_order", "read_measure", "unfold")


@dataclass(frozen=True)
class Quiz:
    """The bank of scenarios of a module; `pass_mark_source` says who set the pass mark, how and when."""

    slug: str
    module: str
    edition: int
    scenarios: tuple[Scenario, ...]
    pass_mark: float
    draw: int
    pass_mark_source: str = ""

    def scenario(self, slug: str) -> Scenario:
        """Return a scenario by its slug."""
        return next(one for one in self.scenarios if one.slug == slug)
