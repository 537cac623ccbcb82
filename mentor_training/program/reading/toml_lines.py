"""The line of every table, key and list entry of a TOML text, which the standard library's parser does not tell.

It is only asked about texts that the parser has accepted, so it scans and does not judge.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left

from mentor_training.program.reading.document import Path

_BLANK = re.compile(r"(?:[\s]|#[^\n]*)*")
_STRING = re.compile(
    r"""
      \"{3} (?: \\. | [^\\] )*? \"{3,5}     # several lines, with escapes; up to two quotes may stand at the end
    | '{3} .*? '{3,5}                       # several lines as they are
    | \" (?: \\. | [^\"\\] )* \"           # one line, with escapes
    | ' [^']* '                             # one line as it is
    """,
    re.DOTALL | re.VERBOSE,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]+")
_DOT = re.compile(r"[ \t]*\.[ \t]*")


def lines_of(text: str) -> dict[Path, int]:
    """Map the path of each value to its line, counted from 1; the path of the whole text is empty."""
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [found.start() for found in re.finditer("\n", text)]
        self.lines: dict[Path, int] = {(): 1}
        self.counts: dict[Path, int] = {}

    def scan(self) -> dict[Path, int]:
        base: Path = ()
        self.skip()
        while self.at < len(self.text):
            base = self.header() if self.text[self.at] == "[" else self.pair(base)
            self.skip()
        return self.lines

    def skip(self) -> None:
        found = _BLANK.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def line(self) -> int:
        return bisect_left(self.breaks, self.at) + 1

    def header(self) -> Path:
        line, many = self.line(), self.text.startswith("[[", self.at)
        self.at += 2 if many else 1
        parts = self.key()
        self.skip()
        self.at += 2 if many else 1
        path = (*self.resolve(parts[:-1], line), parts[-1])
        if many:
            self.lines.setdefault(path, line)
            self.counts[path] = self.counts.get(path, 0) + 1
            path = (*path, self.counts[path] - 1)
        self.lines[path] = line
        return path

    def resolve(self, parts: Path, line: int) -> Path:
        """Follow the names of a header; a name of a list of tables means its latest one."""
        path: Path = ()
        for part in parts:
            path = (*path, part)
            self.lines.setdefault(path, line)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def key(self) -> Path:
        parts: list[str] = []
        while True:
            self.skip()
            quoted = _STRING.match(self.text, self.at)
            found = quoted or _BARE.match(self.text, self.at)
            if not found:
                raise ValueError(f"no key at offset {self.at}")
            word = found.group()
            parts.append(tomllib.loads(f"x = {word}")["x"] if quoted else word)
            dot = _DOT.match(self.text, found.end())
            self.at = dot.end() if dot else found.end()
            if not dot:
                return tuple(parts)

    def pair(self, base: Path) -> Path:
        """Take `key = value` and return the table it was in."""
        line = self.line()
        path = base
        for part in self.key():
            path = (*path, part)
            self.lines.setdefault(path, line)
        self.skip()
        self.at += 1
        self.skip()
        self.value(path)
        return base

    def value(self, path: Path) -> None:
        if self.text[self.at] == "[":
            self.entries(path)
        elif self.text[self.at] == "{":
            self.inline(path)
        else:
            found = _STRING.match(self.text, self.at) or _SCALAR.match(self.text, self.at)
            self.at = found.end() if found else len(self.text)

    def entries(self, path: Path) -> None:
        self.at += 1
        index = 0
        while not self.ends("]"):
            self.lines[(*path, index)] = self.line()
            self.value((*path, index))
            index += 1

    def inline(self, path: Path) -> None:
        self.at += 1
        while not self.ends("}"):
            self.pair(path)

    def ends(self, bracket: str) -> bool:
        """Step over blanks and a comma, and over the closing bracket if it is there."""
        self.skip()
        if self.text[self.at] == ",":
            self.at += 1
            self.skip()
        if self.text[self.at] != bracket:
            return False
        self.at += 1
        return True
