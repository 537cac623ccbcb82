"""A Markdown text cut into the blocks that readers see, each with its line; pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from mentor_training.program.fences import outside_fences

_HEADING = re.compile(r"#{1,6} (.*?) ?(?:\{[^}]{0,200}\})? ?#*")
_ITEM = re.compile(r"\s*(?:[-*+]|\d{1,3}[.)])\s+")
_RULE_OF_TABLE = re.compile(r"\s*\|?\s*:?-{2,}:?\s*(\|\s*:?-{2,}:?\s*)*\|?\s*")
_MARK = re.compile(r"\[(?:source|caution)\s*:[^\]]*\]|\{:?\s*#[^}]*\}|!\[[^\]]*\]\([^)]*\)")
# No paragraph is longer; what is, is looked at so far, so that no text keeps its author waiting.
LONGEST = 8000
QUOTED = re.compile(r"\"[^\"]*\"|\u201c[^\u201d]*\u201d")
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")


@dataclass(frozen=True)
class Block:
    """A heading, a paragraph, one item of a list or one row of a table, with its first line.

    `section` is the heading under which it stands. The first row of a table is its head.
    """

    line: int
    kind: str
    text: str
    section: str

    @property
    def words(self) -> str:
        """Return what is read: without marks of sources and cautions, pictures, and addresses of links."""
        return re.sub(r"[*_`>]", "", _LINK.sub(r"\1", _MARK.sub("", self.text[:LONGEST])))

    @property
    def own_words(self) -> str:
        """Return the same without what stands in quotation marks: that is what somebody says or writes."""
        return QUOTED.sub('""', self.words)


@dataclass(frozen=True)
class _Line:
    number: int
    text: str


def blocks_of(body: str, first_line: int = 1) -> Iterator[Block]:
    """Yield the blocks of a Markdown text in their order; fenced code is none of them."""
    section, in_table = "", False
    gathered: list[_Line] = []
    lines = [*_outside_fences(body, first_line), _Line(0, "")]
    for line in lines:
        heading, row = _HEADING.fullmatch(" ".join(line.text[:LONGEST].split())), line.text.strip().startswith("|")
        if gathered and (heading or row or not line.text.strip() or _ITEM.match(line.text)):
            yield _paragraph(gathered, section)
            gathered = []
        if heading:
            section, in_table = heading.group(1), False
            yield Block(line.number, "heading", heading.group(1), section)
        elif row:
            if not _RULE_OF_TABLE.fullmatch(line.text):
                yield Block(line.number, "row" if in_table else "head", line.text, section)
                in_table = True
        elif line.text.strip():
            gathered.append(line)
            in_table = False
        else:
            in_table = False


def _paragraph(lines: list[_Line], section: str) -> Block:
    kind = "item" if _ITEM.match(lines[0].text) else "paragraph"
    text = " ".join(line.text.strip() for line in lines)
    return Block(lines[0].number, kind, _ITEM.sub("", text, count=1) if kind == "item" else text, section)


def _outside_fences(body: str, first_line: int) -> Iterator[_Line]:
    for at, (text, is_prose) in enumerate(outside_fences(body.split("\n"))):
        yield _Line(first_line + at, text if is_prose else "")
