"""The reasons of a decision, each with a link to where something is done about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import url_for

from mentor_training.clearance.decision import Decision, atom_in_words, ground_in_words
from mentor_training.clearance.doing import COORDINATOR, OBSERVER, SELF, Way, way_out, way_to
from mentor_training.people.access import me
from mentor_training.people.permissions import Act
from mentor_training.program.requirements import Atom


@dataclass(frozen=True)
class Reason:
    """A reason in words, and where something is done about it."""

    text: str
    address: str = ""
    label: str = ""


def grounds_with_ways(decision: Decision) -> list[Reason]:
    """Return every ground of a zero; of the entry each thing that is missing by itself."""
    return list(_grounds(decision))


def missing_with_ways(decision: Decision) -> list[tuple[str, list[Reason]]]:
    """Return for each rung above the level what is missing."""
    return [(rung, [_of_atom(decision, atom) for atom in atoms]) for rung, atoms in decision.missing.items()]


def reasons_with_ways(decision: Decision) -> tuple[list[Reason], list[Reason]]:
    """Return every ground, and what the next rung asks for."""
    rungs = missing_with_ways(decision)
    return grounds_with_ways(decision), rungs[0][1] if rungs else []


def _grounds(decision: Decision) -> Iterator[Reason]:
    viewer = _viewer(decision.person)
    for ground in decision.grounds:
        if isinstance(ground.about, str):
            words = ground_in_words(ground, decision.program, decision.holdings)
            yield _reason(words, way_out(ground, viewer))
        else:
            yield from (_of_atom(decision, atom, "not allowed on the floor yet: ") for atom in ground.about)


def _of_atom(decision: Decision, atom: Atom, before: str = "") -> Reason:
    words = atom_in_words(atom, decision.program, decision.holdings)
    return _reason(before + words, way_to(atom, decision.person, _viewer(decision.person)))


def _reason(words: str, way: Way | None) -> Reason:
    if way is None:
        return Reason(words)
    values: dict[str, Any] = dict(way.values)
    return Reason(words, url_for(way.endpoint, _anchor=way.anchor or None, **values), way.label)


def _viewer(person: str) -> str:
    """Say as whom one looks: as oneself before anything else, for then it is one's own to do."""
    if me().code == person:
        return SELF
    if me().may(Act.VERIFY_PAPERS):
        return COORDINATOR
    return OBSERVER if me().may(Act.OBSERVE) else ""
