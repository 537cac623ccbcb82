"""The keys that sign credentials, as files of the instance: one is in use, the earlier ones can only verify.

Each key is a file `keys/signing-NNNN.json`, readable by its owner only: the public key, since when it is in use, and
the secret key as long as it signs. With the next key's coming the secret is taken out, so that nothing can be signed by
an old key any more, while what it signed stays verifiable. A backup holds them as it holds all keys.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from mentor_training.errors import Refused
from mentor_training.multikey import public_text, secret_text

NAME = re.compile(r"signing-\d{4}\.json")


@dataclass(frozen=True)
class SigningKey:
    """A key: public and secret as Multikeys, the secret empty where it only verifies.

    `since` and `until` are moments with zone (ISO 8601); the first key is in use from the beginning, `since` empty.
    """

    public: str
    secret: str = ""
    since: str = ""
    until: str = ""

    @property
    def first_moment(self) -> datetime | None:
        """Return since when it signs, or None from the beginning."""
        return datetime.fromisoformat(self.since) if self.since else None


def signing_keys(folder: Path) -> tuple[SigningKey, ...]:
    """Return the keys of an instance's `keys` folder, oldest first; Refused where one cannot be read."""
    return tuple(_read(path) for path in _files(folder))


def key_in_use(folder: Path) -> SigningKey:
    """Return the key that signs; Refused where there is none."""
    found = signing_keys(folder)
    if not found or not found[-1].secret:
        raise Refused(
            f"No key in {folder} signs credentials: bring the folder back from a backup, or make a new key by "
            "`certificates rotate-key`."
        )
    return found[-1]


def make_first_key(folder: Path) -> SigningKey | None:
    """Make the key of a new instance; None where there is one already."""
    if _files(folder):
        return None
    key = _new_key("")
    _put_new(folder / _name(1), key)
    return key


def rotate(folder: Path, at: datetime) -> SigningKey:
    """Make a new key, in use from now on, and take the secret out of every earlier one.

    The new key first: whoever dies in between leaves an old secret behind, which signs nothing, as only the newest key
    does, and which the next rotation takes out. Refused while somebody else makes one.
    """
    earlier = _files(folder)
    key = _new_key(at.isoformat(timespec="seconds") if earlier else "")
    _put_new(folder / _name(int(earlier[-1].stem[-4:]) + 1 if earlier else 1), key)
    for path in earlier:
        old = _read(path)
        if old.secret:
            _put(path, SigningKey(old.public, "", old.since, key.since))
    return key


def _new_key(since: str) -> SigningKey:
    made = Ed25519PrivateKey.generate()
    return SigningKey(public_text(made.public_key().public_bytes_raw()), secret_text(made.private_bytes_raw()), since)


def _name(number: int) -> str:
    return f"signing-{number:04d}.json"


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.glob("signing-*.json") if NAME.fullmatch(path.name))


def _read(path: Path) -> SigningKey:
    try:
        return SigningKey(**json.loads(path.read_text(encoding="utf-8")))
    except (ValueError, TypeError, OSError) as error:
        raise Refused(f"{path} cannot be read as a signing key ({error}); bring it back from a backup.") from None


def _put_new(path: Path, key: SigningKey) -> None:
    made = _written(path, key)
    try:
        os.link(made, path)  # fails where the name is taken, unlike a rename
    except FileExistsError:
        raise Refused(
            "Somebody else makes a signing key at this moment; look at what is there, then try again."
        ) from None
    finally:
        made.unlink()


def _put(path: Path, key: SigningKey) -> None:
    _written(path, key).replace(path)


def _written(path: Path, key: SigningKey) -> Path:
    """Write a key into a file beside its place, whole and on the disk, readable by its owner only."""
    handle, name = tempfile.mkstemp(prefix=".signing-", dir=path.parent)  # mode 0600
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump(asdict(key), file, indent=1)
        file.flush()
        os.fsync(file.fileno())
    return Path(name)
