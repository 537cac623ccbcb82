"""Everything known that a decision about one volunteer, and about one participant, rests on; pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from mentor_training.clearance.spans import NEXT_DAY, History, read_history
from mentor_training.evidence.facts import Fact
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.requirements import Atom, Hours, Item


@dataclass(frozen=True)
class Holdings:
    """What one volunteer holds on one day."""

    history: History
    day: date

    def holds(self, atom: Atom) -> bool:
        """Say whether an item is held, or so many hours or sessions are there."""
        if isinstance(atom, Item):
            return any(span.covers(self.day) for span in self.history.spans.get(atom.name, ()))
        if isinstance(atom, Hours):
            return self.minutes(atom.category) >= Fraction(str(atom.at_least)) * 60
        return self.history.sessions(self.day) >= atom.at_least

    def have(self, atom: Atom) -> float | int:
        """Return the hours (to two decimals) or sessions that are there."""
        if isinstance(atom, Hours):
            return round(self.minutes(atom.category) / 60, 2)
        return self.history.sessions(self.day)

    def minutes(self, category: str) -> int:
        """Return the approved minutes of a category."""
        return self.history.minutes(category, self.day)

    def record_of(self, item: str) -> str | None:
        """Return the record by which an item is held."""
        span = self.history.span_on(item, self.day)
        return span.record if span else None


@dataclass(frozen=True, eq=False)
class Dossier:
    """One volunteer's known records, read under whichever edition is in force on the day asked about."""

    person: str
    facts: Sequence[Fact]
    editions: Sequence[PublishedProgram]
    _read: dict[int, History] = field(default_factory=dict)

    def history(self, edition: PublishedProgram) -> History:
        """Return the history under an edition, read once."""
        if edition.number not in self._read:
            self._read[edition.number] = read_history(self.facts, edition.program, self.editions)
        return self._read[edition.number]

    def holdings(self, day: date) -> Holdings | None:
        """Return what is held on a day, or None where no edition is in force."""
        edition = in_force(self.editions, day)
        return Holdings(self.history(edition), day) if edition else None

    def turning_days(self, items: frozenset[str], counts: bool) -> Iterator[date]:
        """Yield the days on which something may change: spans of these items, pauses, editions, and, where hours or
        sessions matter (`counts`), theirs.
        """
        for edition in self.editions:
            yield edition.effective
            history = self.history(edition)
            for item in items:
                for span in history.spans.get(item, ()):
                    yield span.first
                    if span.last:
                        yield span.last + NEXT_DAY
            for pause in history.pauses:
                yield pause.first
                if pause.last:
                    yield pause.last + NEXT_DAY
            if counts:
                yield from counted_days(history)


def counted_days(history: History) -> Iterator[date]:
    """Yield the days on which the sum of hours, or the number of sessions, may change."""
    for one in (*history.hours, *history.attended):
        yield one.day
        yield one.day + NEXT_DAY
        if one.last:
            yield one.last + NEXT_DAY


@dataclass(frozen=True)
class ProfileFrom:
    """A participant's needs and keep-apart list from a day on; no day: from the beginning."""

    first_day: date | None
    needs: tuple[str, ...]
    keep_apart: tuple[str, ...]


@dataclass(frozen=True)
class CardFrom:
    """A version of a participant's card: in force from a day, to be reviewed by a day."""

    version: int
    first_day: date
    review_by: date


@dataclass(frozen=True)
class ParticipantFile:
    """What is known of one participant: profiles in the order in which they were recorded, and card versions."""

    code: str
    profiles: tuple[ProfileFrom, ...]
    cards: tuple[CardFrom, ...]

    def profile_on(self, day: date) -> ProfileFrom | None:
        """Return the profile in force: the last recorded of those that have begun; None before the first."""
        begun = [one for one in self.profiles if one.first_day is None or one.first_day <= day]
        return begun[-1] if begun else None

    def needs_on(self, day: date) -> tuple[str, ...]:
        """Return the needs of the profile in force."""
        profile = self.profile_on(day)
        return profile.needs if profile else ()

    def card_on(self, day: date) -> CardFrom | None:
        """Return the card in force: the latest version that has begun."""
        begun = [card for card in self.cards if card.first_day <= day]
        return max(begun, key=lambda card: card.version, default=None)

    def turning_days(self) -> Iterator[date]:
        """Yield the days on which the profile, the card or its review may change an answer."""
        for profile in self.profiles:
            if profile.first_day:
                yield profile.first_day
        for card in self.cards:
            yield card.first_day
            yield card.review_by + NEXT_DAY
