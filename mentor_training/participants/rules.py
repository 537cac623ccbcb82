"""Which profile and which card of a participant count on a day, and who may see them when; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

SEEN_BEFORE = timedelta(days=2)
# A day outside these is a slip of the pen, or stands for "never": no card is good without ever being reviewed.
EARLIEST, LATEST = date(1900, 1, 1), date(2199, 12, 31)


@dataclass(frozen=True)
class ProfileFact:
    """Needs, keep-apart list and wishes of a participant; with no first day, from the beginning."""

    adaptation_level: int
    needs: tuple[str, ...]
    keep_apart: tuple[str, ...]
    wishes: tuple[str, ...]
    first_day: date | None = None


@dataclass(frozen=True)
class CardFact:
    """A version of a participant's card: in force from a day on, to be reviewed by a day (inclusive)."""

    participant: str
    version: int
    first_day: date
    review_by: date
    text: str

    @property
    def item(self) -> str:
        """Return the name under which its reading is recorded."""
        return f"card/{self.participant}@{self.version}"

    def is_overdue(self, on: date) -> bool:
        """Say whether its review is overdue: the day it should have been reviewed by has passed."""
        return on > self.review_by


def profile_on(profiles: Iterable[ProfileFact], on: date) -> ProfileFact | None:
    """Return the profile in force on a day: the last recorded of those that have begun.

    `profiles` stand in the order in which they were recorded. A rule of this program.
    """
    begun = [one for one in profiles if one.first_day is None or one.first_day <= on]
    return begun[-1] if begun else None


def card_on(cards: Iterable[CardFact], on: date) -> CardFact | None:
    """Return the card in force on a day: the latest version that has begun. A rule of this program."""
    return max((card for card in cards if card.first_day <= on), key=lambda card: card.version, default=None)


def may_see(session_days: Iterable[date], today: date) -> bool:
    """Say whether a volunteer may see a participant today: paired for a session, from two days before to its day's end.

    `session_days` are the days of the sessions for which the two are paired. A rule of this program.
    """
    return any(day - SEEN_BEFORE <= today <= day for day in session_days)


@dataclass(frozen=True)
class CardFault:
    """Why a card version cannot follow the others: which of its details is wrong, and what is wrong with it."""

    detail: str
    what: str


def card_faults(new: CardFact, others: Iterable[CardFact]) -> tuple[CardFault, ...]:
    """Return why a card version cannot stand beside the others, empty when it can. A rule of this program."""
    faults = []
    if not new.text:
        faults.append(CardFault("text", "it is empty; an empty card helps nobody"))
    for detail, day in (("first_day", new.first_day), ("review_by", new.review_by)):
        if not EARLIEST <= day <= LATEST:
            faults.append(CardFault(detail, f"{day} is no day of this program; it lies from {EARLIEST} to {LATEST}"))
    if new.review_by < new.first_day:
        faults.append(CardFault("review_by", f"{new.review_by} comes before the card begins on {new.first_day}"))
    for card in others:
        if card.version < new.version and card.first_day > new.first_day:
            faults.append(CardFault("first_day", f"version {card.version} begins later, on {card.first_day}"))
        if card.version > new.version and card.first_day < new.first_day:
            faults.append(CardFault("first_day", f"version {card.version} begins before that, on {card.first_day}"))
    return tuple(faults)
