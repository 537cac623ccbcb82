"""Who has a module to go through again, because a later edition of it asks for that."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from mentor_training.evidence.facts import COMPLETED, VOIDED, WITHDRAWN
from mentor_training.evidence.queries import facts_of_kinds
from mentor_training.learning.queries import Known
from mentor_training.learning.rules.completions import completions
from mentor_training.learning.rules.editions import Retake, retake
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Module


@dataclass(frozen=True)
class ToRetake:
    """A volunteer who has a module to go through again."""

    person: Person
    module: Module
    retake: Retake


def all_to_retake(db: Session, then: Known, people: Iterable[Person]) -> tuple[ToRetake, ...]:
    """Return who of some volunteers has which module to go through again: those whose time is up first."""
    critical = _critical_texts(then)
    if not critical:
        return ()
    facts = facts_of_kinds(db, then.moment, (COMPLETED, WITHDRAWN, VOIDED))
    found = []
    for person in people:
        for slug, text in critical.items():
            done = completions(text, facts.get(person.code, ()), then.editions, then.zone)
            wanted = retake(slug, done, then.editions)
            if wanted:
                found.append(ToRetake(person, text, wanted))
    return tuple(sorted(found, key=lambda one: (one.retake.by, one.module.title, one.person.code)))


def _critical_texts(then: Known) -> dict[str, Module]:
    """Return the modules of which some edition had to be retaken, each as the edition in force has it, or the newest;
    one that neither has cannot be gone through again.

    An edition that takes effect later counts already: whoever is to retake a module hears of it at once.
    """
    newest = {**then.editions[-1].program.modules, **then.program.modules}
    asked = {text.slug for one in then.editions for text in one.program.modules.values() if text.must_retake}
    return {slug: text for slug, text in newest.items() if slug in asked}
