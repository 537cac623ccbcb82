"""Where scans lie: one folder of the instance outside everything that is served, each sealed, each under a random name.

Sealing is AES-256-GCM (NIST SP 800-38D) under a key derived by HKDF-SHA-256 (RFC 5869) from the instance's secret key.
It keeps a scan from whoever gets at the folder alone: a copy of the disk's free blocks, a file-level backup without
`keys`. It keeps nothing from whoever has the whole instance, which has to open the scans itself.
"""

from __future__ import annotations

import os
import re
import secrets
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from mentor_training.errors import NotFound, Refused
from mentor_training.settings import Settings

FOLDER = "scans"
NAME = re.compile("[0-9a-f]{32}")
NONCE_BYTES = 12


@dataclass(frozen=True)
class ScanFolder:
    """The folder and what its files are sealed with."""

    path: Path
    secret: str

    def keep(self, data: bytes) -> str:
        """Write a scan and return its name; it is on the disk before its row can be."""
        self.path.mkdir(mode=0o700, parents=True, exist_ok=True)
        name, nonce = secrets.token_hex(16), secrets.token_bytes(NONCE_BYTES)
        sealed = nonce + self._cipher.encrypt(nonce, data, name.encode())
        handle = os.open(self.path / name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(sealed)
            file.flush()
            os.fsync(file.fileno())
        self._settle()
        return name

    def read(self, name: str) -> bytes:
        """Return a scan; not found where it is gone, refused where it was changed or sealed with another key."""
        try:
            sealed = self._place(name).read_bytes()
            return bytes(self._cipher.decrypt(sealed[:NONCE_BYTES], sealed[NONCE_BYTES:], name.encode()))
        except FileNotFoundError:
            raise NotFound("scan in the folder any more; a backup holds none") from None
        except (InvalidTag, ValueError):
            raise Refused("The scan cannot be opened: it was changed, or the instance's secret key was.") from None

    def delete(self, name: str) -> None:
        """Take a scan off the disk, if it is there still; OSError where the disk does not let it go."""
        self._place(name).unlink(missing_ok=True)
        self._settle()

    def names(self) -> frozenset[str]:
        """Return the names of all scans that lie here."""
        found = self.path.iterdir() if self.path.is_dir() else ()
        return frozenset(one.name for one in found if NAME.fullmatch(one.name))

    def _place(self, name: str) -> Path:
        if not NAME.fullmatch(name):
            raise NotFound("scan of that name")
        return self.path / name

    def _settle(self) -> None:
        """Have the folder itself written to the disk: a file's name stands there."""
        if not self.path.is_dir():
            return
        handle = os.open(self.path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

    @cached_property
    def _cipher(self) -> AESGCM:
        if not self.secret:
            raise Refused("The instance's secret key is missing; without it no scan can be kept or opened.")
        key = HKDF(SHA256(), length=32, salt=None, info=b"mentor-training scans 1").derive(self.secret.encode())
        return AESGCM(key)


def folder_of(settings: Settings) -> ScanFolder:
    """Return the folder of an instance's scans; nothing is made before the first one comes."""
    return ScanFolder(settings.folder / FOLDER, settings.secret_key)
