"""The hash chain: what one entry's hash is made from, and where a chain breaks.

SHA-256 over the canonical JSON (RFC 8785) of an entry that carries the hash of the entry before. A chain shows an
edit, a removal or a change of order; that its end was cut off shows only against a head kept elsewhere, which is why
statements and certificates carry the head they were made under.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
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


@dataclass
class Proof:
    """What going through a chain from its first entry found: how many entries, the head, and the first break if any.

    `has_noted` says whether a head noted earlier is the hash of one of the entries gone through.
    """

    entries: int = 0
    head: str = FIRST
    broken: Break | None = None
    has_noted: bool = False


def prove(entries: Iterable[Entry], noted: str = "") -> Proof:
    """Go through a chain once, in the order given, up to its end or its first break.

    `noted` is a head kept elsewhere, such as one printed on a statement: if no entry carries it, the journal was cut
    off or written anew since. An empty text, and the head of an empty journal, are in every chain.
    """
    proof = Proof(has_noted=noted in ("", FIRST))
    proof.broken = first_break(_counted(entries, noted, proof))
    return proof


def _counted(entries: Iterable[Entry], noted: str, proof: Proof) -> Iterator[Entry]:
    for entry in entries:
        yield entry
        # Only here has the entry been found to follow from the one before it.
        proof.entries, proof.head = proof.entries + 1, entry.hash
        proof.has_noted = proof.has_noted or entry.hash == noted
