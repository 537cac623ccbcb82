"""How far a reader is in a module, and whether it is complete."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from mentor_training.learning.rules.completions import Completion, Round
from mentor_training.learning.rules.editions import Retake, TextChanges
from mentor_training.program.catalog import Caution, Module, Section
from mentor_training.program.quiz_values import Quiz


@dataclass(frozen=True)
class Progress:
    """What one volunteer has done of one edition of a module, in the present round.

    `read` and `acknowledged` hold slugs, `passed_at` the moment the quiz of the same edition was passed; `completion`
    is the one that counts on the day looked at, of whatever edition. `retake` is set where a later edition asks for it
    to be done again, and `changes` says what is different from the edition completed last.
    """

    module: Module
    quiz: Quiz | None
    read: frozenset[str] = frozenset()
    acknowledged: frozenset[str] = frozenset()
    passed_at: datetime | None = None
    completion: Completion | None = None
    round: Round = field(default_factory=lambda: Round(is_open=True))
    retake: Retake | None = None
    changes: TextChanges | None = None

    @property
    def unread(self) -> tuple[Section, ...]:
        """Return the sections still to be read, in their order."""
        return tuple(section for section in self.module.sections if section.slug not in self.read)

    @property
    def to_acknowledge(self) -> tuple[Caution, ...]:
        """Return the cautions still to be acknowledged."""
        return tuple(caution for caution in self.module.cautions if caution.slug not in self.acknowledged)

    @property
    def is_read(self) -> bool:
        """Say whether every section was read and every caution acknowledged."""
        return not self.unread and not self.to_acknowledge

    @property
    def has_passed(self) -> bool:
        """Say whether nothing is left to pass; a module with no quiz asks for none."""
        return self.quiz is None or self.passed_at is not None

    @property
    def is_begun(self) -> bool:
        """Say whether anything was done of it."""
        return bool(self.read or self.acknowledged or self.passed_at)

    @property
    def is_complete(self) -> bool:
        """Say whether it is complete: read, each caution acknowledged, and its quiz of the same edition passed."""
        return self.is_read and self.has_passed
