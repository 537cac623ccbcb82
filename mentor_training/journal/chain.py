"""The hash chain: what one entry's hash is made from, and where a chain breaks.

SHA-256 over the canonical JSON (RFC 8785) of an entry that carries the hash of the entry before. A chain shows an
edit, a removal or a change of order; that its end was cut off shows only against a head kept elsewhere, which is why
statements and certificates carry the head they were made under.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import rfc8785

FIRST = "0" * 64


@dataclass(frozen=True)
class Entry:
    """One journal entry as it is stored."""

    number: int
    moment: datetime
    who: str
    kind: str
    subject: str
    record: str
    previous: str
    hash: str


@dataclass(frozen=True)
class Break:
    """The first place where a chain does not hold."""

    number: int
    what: str


def canonical(record: Mapping[str, Any]) -> str:
    """Write a record as canonical JSON (RFC 8785)."""
    return rfc8785.dumps(dict(record)).decode("utf-8")


def digest(text: str) -> str:
    """Return the SHA-256 of a text in UTF-8, in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def entry_hash(number: int, moment: datetime, who: str, kind: str, subject: str, record: str, previous: str) -> str:
    """Return the hash of an entry; `record` is canonical JSON already, and enters as the text that is stored."""
    return digest(
        canonical(
            {
                "number": number,
                "moment": moment.astimezone(UTC).isoformat(timespec="microseconds"),
                "who": who,
                "kind": kind,
                "subject": subject,
                "record": record,
                "previous": previous,
            }
        )
    )


def first_break(entries: Iterable[Entry]) -> Break | None:
    """Return the first entry that does not follow from the one before it, or None when the whole chain holds."""
    previous, expected = FIRST, 1
    for entry in entries:
        if entry.number != expected:
            return Break(expected, f"entry {expected} is missing; {entry.number} stands in its place")
        if entry.previous != previous:
            return Break(entry.number, "it does not carry the hash of the entry before it")
        made = entry_hash(
            entry.number, entry.moment, entry.who, entry.kind, entry.subject, entry.record, entry.previous
        )
        if made != entry.hash:
            return Break(entry.number, "its own hash does not match what it says")
        previous, expected = entry.hash, expected + 1
    return None
