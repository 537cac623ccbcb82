"""A parsed file: its values, and the line on which each of them stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Path = tuple[str | int, ...]


class Misread(str):
    """A value that YAML would read as something else than it looks like; that has been reported already."""

    __slots__ = ()


@dataclass(frozen=True)
class Document:
    """The values of one file and the lines of their paths; `body` is the text after a front matter."""

    file: str
    data: Mapping[str, Any]
    lines: Mapping[Path, int]
    body: str = ""
    body_line: int = 1
    is_toml: bool = False

    @property
    def stem(self) -> str:
        """Return the file's name without folders and ending."""
        return self.file.rsplit("/", 1)[-1].rsplit(".", 1)[0]

    def line(self, path: Path) -> int:
        """Return the line of a path, or of the nearest thing around it that has one."""
        for length in range(len(path), -1, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return 1
