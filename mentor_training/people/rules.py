"""What a password must be, how tries are slowed down, and what an invitation file may say; pure."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

MOST_EXTRA_TIME = 300  # percent of the time that everybody has
INVITATION_DAYS = 14
TRIES = 5
TRIES_FROM_EVERYWHERE = 50
MOST_IN_A_ROW = 100
WINDOW = timedelta(minutes=15)
LONGEST = 256

# OWASP Password Storage Cheat Sheet: argon2id with 19 MiB, two passes, one lane.
HASHER = PasswordHasher(time_cost=2, memory_cost=19456, parallelism=1)

COMMON = frozenset(
    {"passwordpassword", "123456789012345", "1234567890123456", "qwertyuiopasdfgh", "correcthorsebatterystaple"}
)


def password_faults(password: str, minimum: int, known_words: Iterable[str] = ()) -> tuple[str, ...]:
    """Return what is wrong with a new password, empty when nothing is.

    NIST SP 800-63B-4: at least 15 characters where it is the only factor, counted as Unicode code points after NFKC,
    no composition rules, compared with common values and with what belongs to the account.
    """
    text = unicodedata.normalize("NFKC", password)
    faults = []
    if len(text) < minimum:
        faults.append(f"It has {len(text)} characters; it needs at least {minimum}. A few plain words are fine.")
    if len(text) > LONGEST:
        faults.append(f"It has {len(text)} characters; {LONGEST} are the most.")
    if text.lower().replace(" ", "") in COMMON or len(set(text)) < 4:
        faults.append("It is one of the first that anybody would try; choose words of your own.")
    if any(word and text.lower() == word.lower() for word in known_words):
        faults.append("It is your own name or address; choose something else.")
    return tuple(faults)


def hash_password(password: str) -> str:
    """Return the argon2id hash of a password, after NFKC."""
    return HASHER.hash(unicodedata.normalize("NFKC", password))


def password_fits(password: str, hashed: str | None) -> bool:
    """Say whether a password is the one that was hashed. With no hash it takes as long, and is not."""
    try:
        HASHER.verify(hashed or _NOBODY, unicodedata.normalize("NFKC", password))
    except (VerificationError, InvalidHashError):
        return False
    return hashed is not None


_NOBODY = HASHER.hash("nobody has this password")


def wait_until(failures: Sequence[datetime], now: datetime, tries: int = TRIES) -> datetime | None:
    """Return until when a further try has to wait, or None: so many failures within fifteen minutes.

    `failures` are the moments of the failed tries since the last one that succeeded, oldest first. Five from one place,
    fifty from all places together, so that nobody elsewhere keeps a person out with five. A rule of this program.
    """
    recent = [moment for moment in failures if now - moment < WINDOW]
    if len(recent) < tries:
        return None
    return recent[-tries] + WINDOW


def is_locked(failures: Sequence[datetime]) -> bool:
    """Say whether an account is closed until its person is invited again.

    NIST SP 800-63B-4: at most one hundred failed tries in a row for one account.
    """
    return len(failures) >= MOST_IN_A_ROW


def is_email(text: str) -> bool:
    """Say whether a text has the form of an e-mail address: one @, something on both sides, no blanks."""
    return bool(re.fullmatch(r"[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>]+", text)) and len(text) <= 254
