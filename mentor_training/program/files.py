"""The program's files as they lie on the disk of an instance, with everything there is to say about them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Protocol

from mentor_training.program.catalog import Program
from mentor_training.program.editions import content_hash
from mentor_training.program.reading import Finding, collect_files, read_program


class Folders(Protocol):
    """Where the three folders of a definition lie; the settings of an instance say so."""

    @property
    def program(self) -> Path: ...

    @property
    def modules(self) -> Path: ...

    @property
    def quizzes(self) -> Path: ...


_PARTS = (
    ("station", "stations"),
    ("need", "needs"),
    ("skill", "skills"),
    ("paper", "papers"),
    ("module", "modules"),
    ("quiz", "quizzes"),
    ("course", "courses"),
    ("certificate", "certificates"),
)


@dataclass(frozen=True)
class FilesOnDisk:
    """Texts by path, every finding, and the program if there is no fault."""

    files: Mapping[str, str]
    findings: tuple[Finding, ...]
    program: Program | None

    @cached_property
    def faults(self) -> tuple[Finding, ...]:
        """Return the findings that keep the files from being published."""
        return tuple(one for one in self.findings if one.fault)

    @cached_property
    def advice(self) -> tuple[Finding, ...]:
        """Return the findings that do not."""
        return tuple(one for one in self.findings if not one.fault)

    @property
    def lines(self) -> tuple[str, ...]:
        """Return every finding as `FILE:LINE: what is wrong; what would be right`, advice named as such."""
        return tuple(
            f"{one.file}:{one.line}: {'' if one.fault else 'advice: '}{one.what}; {one.right}" for one in self.findings
        )

    @cached_property
    def hash(self) -> str:
        """Return the hash that an edition of these files would have."""
        return content_hash(self.files)

    @property
    def summary(self) -> str:
        """Return in a line how many findings there are, and what the program consists of."""
        faults, advice = len(self.faults), len(self.advice)
        counts = f"{faults or 'no'} {'fault' if faults == 1 else 'faults'}, {advice or 'no'} advice"
        if self.program is None:
            return counts
        return f"{counts}: {', '.join(_counted(len(getattr(self.program, many)), one, many) for one, many in _PARTS)}"


@dataclass(frozen=True)
class FileLine:
    """One file of the definition in a list: how long it is, what is found in it, and how it differs from an edition."""

    path: str
    lines: int
    faults: int
    advice: int
    change: str


def listing(found: FilesOnDisk, before: Mapping[str, str]) -> tuple[FileLine, ...]:
    """Return every file on the disk, those that cannot be read too; `before` are the files of the edition before."""
    paths = sorted({*found.files, *(one.file for one in found.findings if one.file in found.files or one.fault)})
    return tuple(_line(found, before, path) for path in paths)


def _line(found: FilesOnDisk, before: Mapping[str, str], path: str) -> FileLine:
    about = [one.fault for one in found.findings if one.file == path]
    text = found.files.get(path)
    change = "not there" if text is None else "added" if path not in before else ""
    if text is not None and path in before and before[path] != text:
        change = "changed"
    return FileLine(path, len((text or "").splitlines()), sum(about), about.count(False), change)


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def files_on_disk(folders: Folders) -> FilesOnDisk:
    """Collect and read the files; one that is no text is a fault like any other."""
    files, unreadable = collect_files(folders.program, folders.modules, folders.quizzes)
    program, findings = read_program(files)
    faulty = any(one.fault for one in unreadable)
    return FilesOnDisk(files, (*unreadable, *findings), None if faulty else program)
