"""What a later edition of a module asks of those who completed an earlier one, and what changed in its text; pure.

A module's edition goes up with each change. `must_retake` marks a critical one: a fact or a rule changed, and everybody
goes through it again, at the latest by the effective day + `grace_days`. Without it wording changed, and nothing is to
be done again. Rules of this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from mentor_training.learning.rules.completions import Completion
from mentor_training.program.catalog import Caution, Module, Section
from mentor_training.program.editions import PublishedProgram, retakings


@dataclass(frozen=True)
class Retake:
    """A module that somebody has to go through again: of which edition, from which day on, and by which.

    `done` is the edition that they completed last; after `by` it does not count any more.
    """

    module: str
    edition: int
    effective: date
    by: date
    done: int

    def is_over(self, day: date) -> bool:
        """Say whether the days of grace are over on a day."""
        return day > self.by


def retake(slug: str, found: Iterable[Completion], editions: Iterable[PublishedProgram]) -> Retake | None:
    """Return what somebody with these completions of a module must retake, under the editions known; None for nothing.

    Whoever never completed it has nothing to retake: they complete it for the first time. Of several critical editions
    the one whose grace ends first says by when, and the newest what to go through.
    """
    done = max((one.edition for one in found if one.ever_counted), default=None)
    if done is None:
        return None
    asked = retakings(slug, done, editions)
    if not asked:
        return None
    newest = max(asked, key=lambda one: (one.edition, one.effective))
    return Retake(slug, newest.edition, newest.effective, min(one.by for one in asked), done)


@dataclass(frozen=True)
class TextChanges:
    """What changed in a module's text since an edition: sections and cautions, new or written anew, and what went."""

    since: int
    added: tuple[Section, ...] = ()
    rewritten: tuple[Section, ...] = ()
    dropped: tuple[Section, ...] = ()
    cautions: tuple[Caution, ...] = ()

    def about(self, section: str) -> str:
        """Return in a word what happened to a section; empty where nothing did."""
        if any(one.slug == section for one in self.added):
            return "new"
        return "changed" if any(one.slug == section for one in self.rewritten) else ""

    def __bool__(self) -> bool:
        return any((self.added, self.rewritten, self.dropped, self.cautions))


def text_of_edition(slug: str, edition: int, editions: Sequence[PublishedProgram]) -> Module | None:
    """Return a module as it last stood in one of its editions; None where no program edition has it."""
    texts = [one.program.modules[slug] for one in editions if slug in one.program.modules]
    return next((text for text in reversed(texts) if text.edition == edition), None)


def text_changes(before: Module, after: Module) -> TextChanges:
    """Return what changed between two editions of a module; white space alone is no change."""
    old = {one.slug: one for one in before.sections}
    new_slugs = {one.slug for one in after.sections}
    cautions = {one.slug: one.text for one in before.cautions}
    return TextChanges(
        before.edition,
        tuple(one for one in after.sections if one.slug not in old),
        tuple(one for one in after.sections if one.slug in old and not _is_same(one, old[one.slug])),
        tuple(one for one in before.sections if one.slug not in new_slugs),
        tuple(one for one in after.cautions if cautions.get(one.slug) != one.text),
    )


def _is_same(one: Section, other: Section) -> bool:
    return one.title == other.title and one.body.split() == other.body.split()


def changes_since(edition: int, module: Module, editions: Sequence[PublishedProgram]) -> TextChanges | None:
    """Return what changed in a module since an earlier edition; None where that is the same one, or not known."""
    before = text_of_edition(module.slug, edition, editions) if edition != module.edition else None
    return text_changes(before, module) if before else None
