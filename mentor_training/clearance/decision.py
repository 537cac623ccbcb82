"""The answer of a decision, in data, in words and as the documented JSON; pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.spans import Span
from mentor_training.program.catalog import Level, Program
from mentor_training.program.requirements import Atom, Hours, Item, as_json


@dataclass(frozen=True)
class Ground:
    """A ground on which the level is 0 whatever is held; none of these can be waived or overridden.

    `kind` is entry, stand_down, restriction, keep_apart, read_card, review_overdue, unknown_need (a need that the
    edition does not define) or not_begun (a participant of whom nothing is known for the day yet); `about` is the
    record, the participant, the card, or for the entry the atoms that are missing.
    """

    kind: str
    about: str | tuple[Atom, ...]
    scope: str = ""


class Having(Protocol):
    """Somebody who knows how much of something a volunteer has already."""

    def have(self, atom: Atom) -> float | int:
        """Return the hours (to two decimals) or sessions that are there."""


class Answered(Protocol):
    """What a decision answers, whether it was made alone or for everybody at once."""

    @property
    def person(self) -> str: ...
    @property
    def station(self) -> str: ...
    @property
    def participant(self) -> str | None: ...
    @property
    def level(self) -> Level: ...
    @property
    def missing(self) -> Mapping[str, tuple[Atom, ...]]: ...
    @property
    def grounds(self) -> tuple[Ground, ...]: ...
    @property
    def holds_through(self) -> date | None: ...
    @property
    def program(self) -> Program: ...
    @property
    def holdings(self) -> Having: ...


@dataclass(frozen=True)
class Decision:
    """The answer: level, what met it, what is missing for each higher rung, every ground of a zero, and until when."""

    person: str
    station: str
    participant: str | None
    on: date
    edition: int
    level: Level
    met: tuple[Span, ...]
    missing: Mapping[str, tuple[Atom, ...]]
    grounds: tuple[Ground, ...]
    holds_through: date | None
    program: Program = field(repr=False, compare=False)
    holdings: Holdings = field(repr=False, compare=False)
    is_shadow: bool = False

    def reasons(self) -> tuple[str, ...]:
        """Return, in words, why the level is no higher: every ground, then what the next rung asks for."""
        return reasons_of(self)


def atom_in_words(atom: Atom, program: Program, holdings: Having) -> str:
    """Say what one missing thing is, and how much of it is there already."""
    if isinstance(atom, Item):
        kind = atom.name.partition("/")[0]
        verb = {"module": "complete the module", "skill": "be signed off for", "paper": "have on file:"}.get(
            kind, "hold"
        )
        return f"{verb} {program.title_of(atom.name)}"
    if isinstance(atom, Hours):
        return f"{atom.at_least:g} approved hours of {atom.category} ({holdings.have(atom):g} so far)"
    return f"{atom.at_least} sessions attended ({holdings.have(atom)} so far)"


def ground_in_words(ground: Ground, program: Program, holdings: Having) -> str:
    """Say on which ground the level is 0 whatever is held."""
    if ground.kind == "entry":
        missing = ", ".join(
            atom_in_words(atom, program, holdings) for atom in ground.about if not isinstance(atom, str)
        )
        return f"not allowed on the floor yet: {missing}"
    where = f" ({scope_in_words(ground.scope, program)})" if ground.scope else ""
    return {
        "stand_down": f"stood down{where}, record {ground.about}",
        "restriction": f"a restriction of the volunteer's own{where}, record {ground.about}",
        "unknown_need": f"the participant's need {ground.about} is not defined in this edition of the program",
        "not_begun": f"nothing is known of {ground.about} for this day yet",
        "keep_apart": f"the two are kept apart (participant {ground.about})",
        "read_card": f"the card {ground.about} has not been read in its latest version",
        "review_overdue": f"the review of card {ground.about} is overdue; that holds the activity and blames nobody",
    }[ground.kind]


def scope_in_words(scope: str, program: Program) -> str:
    """Say where a stand-down or restriction bites."""
    if not scope:
        return "everywhere"
    if scope.startswith("activity/"):
        return f"for {scope.removeprefix('activity/')}"
    station = program.stations.get(scope)
    return f"at {station.title}" if station else f"at {scope}"


def reasons_of(decision: Answered) -> tuple[str, ...]:
    """Return every ground in words, then what the next rung asks for; empty at the top."""
    grounds = [ground_in_words(one, decision.program, decision.holdings) for one in decision.grounds]
    return (*grounds, *next_rung_in_words(decision))


def next_rung_in_words(decision: Answered) -> tuple[str, ...]:
    """Return what is missing for the next rung, each in words; empty when nothing is."""
    rung = next(iter(decision.missing), None)
    missing = decision.missing[rung] if rung else ()
    return tuple(atom_in_words(atom, decision.program, decision.holdings) for atom in missing)


def atom_as_json(atom: Atom, holdings: Having) -> Any:
    """Write a missing thing as the documented JSON, hours and sessions with what is there."""
    return as_json(atom, 0 if isinstance(atom, Item) else holdings.have(atom))


def ground_as_json(ground: Ground, holdings: Having) -> dict[str, Any]:
    """Write a ground as the documented JSON: `{"stand_down": "r-0042"}`, `{"entry": ["paper/background-check"]}`."""
    if isinstance(ground.about, str):
        return {ground.kind: ground.about}
    return {ground.kind: [atom_as_json(atom, holdings) for atom in ground.about]}


def as_documented(decision: Answered) -> dict[str, Any]:
    """Write a decision as one row of the documented JSON."""
    grounds = [ground_as_json(ground, decision.holdings) for ground in decision.grounds]
    return {
        "person": decision.person,
        "station": decision.station,
        "participant": decision.participant,
        "level": int(decision.level),
        "holds_through": decision.holds_through.isoformat() if decision.holds_through else None,
        "missing": {
            rung: [atom_as_json(atom, decision.holdings) for atom in atoms] + grounds
            for rung, atoms in decision.missing.items()
        },
    }
