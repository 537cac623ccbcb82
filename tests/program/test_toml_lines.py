"""The line of every value in a TOML text, held against texts whose values are their own line numbers."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.program.reading.document import Path
from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.toml_lines import lines_of
from mentor_training.program.reading.toml_text import read_toml

KEYS = st.sampled_from(["a", "b", "c-d", '"e f"', "'g.h'", '"i\\"j"', "k.l"])
DECOYS = st.sampled_from(
    [
        '"# no comment, [no] {table}"',
        "'C:\\no\\escape'",
        '"""\n[not.a.table]\nx = 1 \\" """',
        "'''\n# not a comment\n[[no]]\n'''",
        '"""ends with two quotes"""""',
        "1979-05-27 07:32:00",
        "true",
    ]
)
BREAKS = st.sampled_from(["", " ", "\n", "\n\n", "\n  # a comment with ] and }\n", "# ,\n"])


class Writer:
    """Writes a TOML text in which every whole number is the line it stands on."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.text = ""

    def write(self, text: str) -> None:
        self.text += text

    def gap(self) -> None:
        gap = self.draw(BREAKS)
        self.write(gap if gap[:1] != "#" else " " + gap)

    def value(self, depth: int = 0) -> None:
        kind = self.draw(st.sampled_from(["line", "line", "decoy", "list", "table"][: 3 if depth > 3 else 5]))
        if kind == "line":
            self.write(str(self.text.count("\n") + 1))
        elif kind == "decoy":
            self.write(self.draw(DECOYS))
        elif kind == "list":
            self.entries(depth)
        else:
            self.inline(depth)

    def entries(self, depth: int) -> None:
        self.write("[")
        for at in range(self.draw(st.integers(0, 3))):
            self.write("," if at else "")
            self.gap()
            self.value(depth + 1)
        self.gap()
        self.write("]")

    def inline(self, depth: int) -> None:
        self.write("{")
        for at, key in enumerate(self.draw(st.lists(KEYS, max_size=3, unique=True))):
            self.write(f"{', ' if at else ' '}{key} = ")
            self.value(depth + 1)
        self.write(" }")

    def pairs(self) -> None:
        for key in self.draw(st.lists(KEYS, max_size=3, unique=True)):
            self.write(f"{key} = ")
            self.value()
            self.write("  # the end\n")

    def whole(self) -> str:
        self.pairs()
        for at in range(self.draw(st.integers(0, 3))):
            self.gap()
            self.write("\n[[many]]\n" if self.draw(st.booleans()) else f"\n[one{at}.'in it']  # here\n")
            self.pairs()
            if self.draw(st.booleans()):
                self.write(f"[many{at}]\n[[many{at}.inner]]\n")
                self.pairs()
                self.write(f"[many{at}.inner.x]\n")
                self.pairs()
        return self.text


@st.composite
def texts(draw: st.DrawFn) -> str:
    """Draw a TOML text."""
    return Writer(draw).whole()


def leaves(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield every value of parsed TOML with its path, the tables and lists too."""
    yield path, value
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        yield from leaves(inner, (*path, key))


@given(texts())
def test_every_value_of_a_text_has_its_line(text: str) -> None:
    """The parser of the standard library says which paths there are; the numbers in the text say on which line."""
    lines = lines_of(text)
    for path, value in leaves(tomllib.loads(text)):
        assert path in lines
        if isinstance(value, int) and not isinstance(value, bool):
            assert lines[path] == value


def test_a_later_table_belongs_to_the_latest_entry_of_its_list() -> None:
    """`[a.b]` after `[[a]]` is a table of that entry."""
    lines = lines_of("[[a]]\nx = 1\n[a.b]\ny = 3\n[[a]]\n[a.b]\ny = 6\n[[a.c]]\n[[a.c]]\nz = 9\n")
    assert lines["a", 0, "b", "y"] == 4
    assert lines["a", 1, "b", "y"] == 7
    assert lines["a", 1, "c", 1, "z"] == 10


def test_lines_are_right_with_carriage_returns() -> None:
    """A file from another system has other line ends and the same lines."""
    assert lines_of("a = 1\r\nb = [\r\n  2,\r\n  3\r\n]\r\n")["b", 1] == 4


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ('a = "x"\nb = \n', "t.toml:2: this is not TOML (Invalid value)"),
        ("a = 1\na = 2\n", "t.toml:2: this is not TOML (Cannot overwrite a value); give each key once in its table"),
        ("a = 1\nb = [1,\n2", "t.toml:3: this is not TOML (Unclosed array); close every quotation mark, bracket"),
        ("a" * 3 + "\n", "t.toml:1: this is not TOML (Expected '=' after a key in a key/value pair)"),
        ("a = " + "[" * 5000, "t.toml:1: lists or tables are nested too deep to read; nest them less"),
    ],
)
def test_what_is_not_toml_is_said_at_its_line(text: str, finding: str) -> None:
    """The parser's own words come with the file, the line and what would be right."""
    report = Report()
    assert read_toml("t.toml", text, report) is None
    assert str(report.in_order()[0]).startswith(finding)
