"""Credentials and the keys that sign them, on both databases, with two processes at once."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

from mentor_training.certificates.checking import look_at
from mentor_training.certificates.signing import credential_of
from mentor_training.certificates.tables import Certificate
from mentor_training.database.signing_keys import signing_keys
from mentor_training.journal.queries import prove_chain
from mentor_training.journal.tables import JournalEntry
from tests.builders import FRIDAY, World
from tests.certificates.holders import add_people, issued

# A secret Ed25519 key as text (Multikey).
SECRET = re.compile(rb"z3u2[1-9A-HJ-NP-Za-km-z]{40}")


def rotating(world: World) -> subprocess.Popen[str]:
    words = ["--instance", str(world.instance.settings.folder), "certificates", "rotate-key"]
    return subprocess.Popen([sys.executable, "-m", "mentor_training", *words], text=True, stdout=subprocess.PIPE)


def credential(world: World, number: str) -> bytes:
    with world.reading() as db:
        row = db.get(Certificate, number)
        assert row
        return credential_of(row, world.instance.settings)


def whole(world: World, data: bytes) -> bool:
    with world.reading() as db:
        return look_at(db, world.instance.settings, data, FRIDAY).whole


def test_two_rotations_at_once_follow_one_another(stored: World) -> None:
    """Each waits for its turn: two new keys, one secret left, a chain that holds; what was signed before verifies."""
    add_people(stored)
    number, _ = issued(stored)
    before, folder = credential(stored, number), stored.instance.settings.folder
    both = [rotating(stored), rotating(stored)]
    assert [one.wait(240) for one in both] == [0, 0]
    for one in both:
        one.communicate()
    first, second, third = signing_keys(folder / "keys")
    assert [bool(key.secret) for key in (first, second, third)] == [False, False, True]
    with stored.reading() as db:
        entries = db.query(JournalEntry).filter_by(kind="signing-key-rotated").order_by(JournalEntry.number)
        told = [(entry.subject, json.loads(entry.record)["instead_of"]) for entry in entries]
        assert prove_chain(db).broken is None
    assert told == [(second.public, first.public), (third.public, second.public)]
    assert whole(stored, before)
    assert whole(stored, credential(stored, number))
    assert secrets_in(folder) == ["signing-0003.json"]


def secrets_in(folder: Path) -> list[str]:
    """Return which files below a folder hold a secret key as text; the database is one of them on SQLite."""
    return [path.name for path in folder.rglob("*") if path.is_file() and SECRET.search(path.read_bytes())]
