"""The program's files on the disk, one by one: read, written whole or not at all, removed; never outside."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex

from mentor_training.errors import NotFound, Refused
from mentor_training.program.files import Folders
from mentor_training.program.reading import collect_files
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.program import TOML_FILES

LONGEST_SLUG = 50
_SLUG = rf"[a-z0-9-]{{1,{LONGEST_SLUG}}}"
_FORMS = (
    rf"program/skills/{_SLUG}\.md",
    rf"modules/{_SLUG}\.md",
    rf"modules/pictures/{_SLUG}\.svg",
    rf"quizzes/{_SLUG}\.yaml",
)
ABSENT = ""
_SKILL = """\
---
slug: {slug}
title:
risk: ordinary
criteria:
  - text:
---
"""
_MODULE = """\
---
slug: {slug}
title:
edition: 1
minutes:
---
## First part {{#first-part}}
"""
_PICTURE = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 320">
  <title>{slug}</title>
  <desc></desc>
</svg>
"""
_QUIZ = """\
slug: {slug}
module: {slug}
edition: 1
scenarios:
  - slug:
    kind: choose_one
    text:
    options:
      - text:
        class: best
      - text:
        class: wrong
    why:
"""


@dataclass(frozen=True)
class Draft:
    """One file as it lies on the disk. `hash` is the SHA-256 of its bytes, empty where there is no such file.

    `text` is None where the file is there and is no UTF-8 text.
    """

    path: str
    text: str | None
    hash: str

    @property
    def exists(self) -> bool:
        """Say whether there is such a file."""
        return self.hash != ABSENT


def name_faults(path: str) -> tuple[str, ...]:
    """Say why no file of this name belongs to a program; empty when one does."""
    if path in TOML_FILES or any(re.fullmatch(form, path) for form in _FORMS):
        return ()
    rest = (
        "program/skills/SLUG.md, modules/SLUG.md, modules/pictures/SLUG.svg and quizzes/SLUG.yaml "
        "(a slug has a to z, 0 to 9 and hyphens)"
    )
    near = nearest(path, TOML_FILES)
    hint = f"{near[0].upper()}{near[1:]} " if near.startswith("did you mean") else ""
    return (f"No file named {path!r} belongs to a program. {hint}There are {', '.join(TOML_FILES)}, and {rest}.",)


def paths_on_disk(folders: Folders) -> tuple[str, ...]:
    """Return the paths of all files of the definition, those that cannot be read too, in their order."""
    files, unreadable = collect_files(folders.program, folders.modules, folders.quizzes)
    return tuple(sorted({*files, *(one.file for one in unreadable)}))


def draft_for(folders: Folders, path: str) -> Draft:
    """Return a file that is there, or that could be made: any other name is not found."""
    if path not in paths_on_disk(folders) and name_faults(path):
        raise NotFound(f"file {path} of the program")
    place = _place(folders, path)
    try:
        raw = place.read_bytes()
    except FileNotFoundError:
        return Draft(path, None, ABSENT)
    except OSError as error:
        raise Refused(f"{path} cannot be read ({error.strerror}); let the program read it.") from None
    return Draft(path, _as_text(raw), hashlib.sha256(raw).hexdigest())


def beginning_of(path: str) -> str:
    """Return what a new file begins with: the keys that its form asks for, to be filled in."""
    slug = path.rsplit("/", 1)[-1].rsplit(".", 1)[0]
    beginnings = {
        "program/skills/": _SKILL, "modules/pictures/": _PICTURE, "modules/": _MODULE, "quizzes/": _QUIZ,
    }  # fmt: skip
    found = next((text for folder, text in beginnings.items() if path.startswith(folder)), "")
    return found.format(slug=slug)


def plain_text(text: str) -> str:
    """Return a text as it is written to the disk: plain line feeds, and one at its end."""
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    return plain if not plain or plain.endswith("\n") else plain + "\n"


def hash_of(text: str) -> str:
    """Return the hash that a file of this text has."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


@contextmanager
def written(folders: Folders, path: str, text: str) -> Iterator[None]:
    """Write a file: the new text is laid beside it, and takes its place when the block has ended well.

    Whoever reads meanwhile sees the old file or the new one, never a part of it.
    """
    place = _place(folders, path)
    place.parent.mkdir(parents=True, exist_ok=True)
    beside = place.with_name(f".{place.name}.{token_hex(8)}.new")
    try:
        with beside.open("wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        if place.exists():
            beside.chmod(place.stat().st_mode & 0o777)
        yield
        beside.replace(place)
    finally:
        beside.unlink(missing_ok=True)
    _settle(place.parent)


def remove(folders: Folders, path: str) -> None:
    """Remove a file from the disk."""
    place = _place(folders, path)
    place.unlink()
    _settle(place.parent)


def _settle(folder: Path) -> None:
    """Have a folder's change survive a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _place(folders: Folders, path: str) -> Path:
    """Return where a file lies; refuse one that a link leads out of its folder."""
    name, _, inside = path.partition("/")
    folder = {"program": folders.program, "modules": folders.modules, "quizzes": folders.quizzes}[name]
    place = folder / inside
    if place.is_symlink() or not place.parent.resolve().is_relative_to(folder.resolve()):
        raise Refused(f"{path} is a link that leads elsewhere; it is changed where it leads to, not here.")
    return place


def _as_text(raw: bytes) -> str | None:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None
    return None if "\0" in text else text.replace("\r\n", "\n").replace("\r", "\n")
