"""What a form showed against what is there now: so that two coordinators never overwrite each other; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256

from mentor_training.calendar.rules import SessionFact, day_in_words, write_blocks


@dataclass(frozen=True)
class Difference:
    """A detail in which two versions differ: what it says now, and what somebody wrote.

    Of stations and people only those who are in one and not in the other; their kind is the detail's name.
    """

    detail: str
    now: tuple[str, ...]
    written: tuple[str, ...]


def seal(*shown: object) -> str:
    """Return what stands for something as it is shown (SHA-256 of its values), to be sent back with a form."""
    return sha256(repr(shown).encode("utf-8")).hexdigest()


def differences(now: SessionFact, written: SessionFact) -> tuple[Difference, ...]:
    """Return in which details a session as it is now differs from one that somebody wrote, empty when in none."""
    texts = (
        ("title", now.title, written.title),
        ("day", day_in_words(now.day), day_in_words(written.day)),
        ("time", _times(now), _times(written)),
        ("blocks", write_blocks(now.blocks), write_blocks(written.blocks)),
    )
    found = [Difference(detail, (one,), (other,)) for detail, one, other in texts if one != other]
    lists = (
        ("stations", now.stations, written.stations),
        ("participants", now.participants, written.participants),
        ("volunteers", now.volunteers, written.volunteers),
        ("observers", now.observers, written.observers),
    )
    found += [
        Difference(detail, _only(one, other), _only(other, one))
        for detail, one, other in lists
        if set(one) != set(other)
    ]
    return tuple(found)


def _times(session: SessionFact) -> str:
    return f"{session.starts:%H:%M}-{session.ends:%H:%M}"


def _only(those: Iterable[str], others: Iterable[str]) -> tuple[str, ...]:
    gone = set(others)
    return tuple(one for one in those if one not in gone)
