"""Giving the instance a new key that signs credentials."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlalchemy.orm import Session

from mentor_training.database.signing_keys import SigningKey, rotate, signing_keys
from mentor_training.journal.actions import take_turn, write
from mentor_training.people.permissions import Actor


def rotate_signing_key(db: Session, at: datetime, by: Actor, folder: Path) -> SigningKey:
    """Make a new key in the instance's `keys` folder; the journal holds the public keys only.

    The file comes before the entry is committed: whoever dies in between leaves a key that signs and no entry, never an
    entry of a key that is not there.
    """
    take_turn(db)
    earlier = signing_keys(folder)
    key = rotate(folder, at)
    write(db, at, by.code, "signing-key-rotated", key.public, {"instead_of": earlier[-1].public if earlier else None})
    return key
