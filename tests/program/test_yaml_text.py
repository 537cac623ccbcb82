"""YAML as its author means it: lines, duplicate keys, and the traps of YAML 1.1 refused."""

from __future__ import annotations

from typing import Any

import pytest

from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.front_matter import read_front_matter
from mentor_training.program.reading.yaml_text import read_yaml


def read(text: str) -> tuple[Any, list[str]]:
    """Return the values of a text and the findings."""
    report = Report()
    document = read_yaml("q.yaml", text, report)
    return document and document.data, [str(one) for one in report.in_order()]


def test_plain_values_are_read_as_they_look() -> None:
    """Texts, whole numbers, numbers with a point, true, false and nothing."""
    data, findings = read('a: some words\nb: -3\nc: 0.5\nd: true\ne: false\nf:\ng: "no"\nh: 2026-10-17\ni: 1e3\n')
    assert findings == []
    assert data == {
        "a": "some words", "b": -3, "c": 0.5, "d": True, "e": False, "f": None, "g": "no", "h": "2026-10-17",
        "i": "1e3",
    }  # fmt: skip


@pytest.mark.parametrize("word", ["yes", "No", "on", "OFF", "TRUE"])
def test_a_word_that_silently_means_true_or_false_is_refused(word: str) -> None:
    """YAML 1.1, type bool (yaml.org/type/bool.html), lists these words; Norway's `no` is the best known of them."""
    assert read(f"x: 1\na: {word}\n")[1] == [
        f'q.yaml:2: `{word}` without quotes means true or false here; write true, false or "{word}"'
    ]


@pytest.mark.parametrize("number", ["010", "0x1F", "1_000", "1:30", "+1", ".inf", "1.", "0b11", "09.5", ".NaN"])
def test_a_number_that_is_not_what_it_looks_like_is_refused(number: str) -> None:
    """YAML 1.1, types int and float (yaml.org/type/int.html, float.html): 010 would be 8, and 1:30 would be 90."""
    right = f'write the number with plain digits, or the text as "{number}"'
    assert read(f"a: {number}\n")[1] == [f"q.yaml:1: `{number}` does not read as the number it looks like; {right}"]


def test_a_key_that_is_there_twice_is_refused_with_both_lines() -> None:
    """The YAML library alone would keep the later one and say nothing."""
    assert read("a: 1\nb:\n  c: 2\n  d: 3\n  c: 4\n")[1] == [
        "q.yaml:5: `c` is there twice, first on line 3; give each key once"
    ]


def test_an_alias_is_refused() -> None:
    """A few aliases of aliases can stand for billions of values."""
    assert read("a: &x [1, 2]\nb: *x\n")[1] == [
        "q.yaml:1: this repeats another part of the file by an alias; write it out"
    ]


def test_a_tag_is_refused() -> None:
    """No text makes the program build anything but texts, numbers, lists and tables."""
    assert read("a: !!python/name:os.system x\n")[1] == [
        (
            "q.yaml:1: the tag `tag:yaml.org,2002:python/name:os.system` is not used here; "
            "write a text, a number, true or false"
        )
    ]


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("a: 1\nb: c: d\n", "q.yaml:2: this is not YAML (mapping values are not allowed in this context); put a text"),
        ("a:\n\t- b\n", "q.yaml:2: this is not YAML (found character that cannot start any token); check the ind"),
        ('a: "x\nb: 1\n', "q.yaml:1: this is not YAML (found unexpected end of stream)"),
        ("a: 1\nfoo\nb: 2\n", "q.yaml:2: this is not YAML (could not find expected ':')"),
        ("a: 1\nb: 2\n[]", "q.yaml:3: this is not YAML (could not find expected ':')"),
        ("a: 1\n---\nb: 2\n", "q.yaml:2: this is not YAML (but found another document); keep to one document"),
        ("a: 1\nb: \x07\n", "q.yaml:2: this is not YAML (control characters are not allowed)"),
        ("- a\n", "q.yaml:1: there are no `key: value` lines here; write one key on each line"),
        ("", "q.yaml:1: there are no `key: value` lines here"),
        ("a: " + "[" * 3000, "q.yaml:1: this is not YAML (exceeded maximum nesting depth"),
    ],
)
def test_what_is_not_yaml_is_said_at_its_line(text: str, finding: str) -> None:
    """The parser's own words come with the file, the line and what would be right."""
    data, findings = read(text)
    assert data is None
    assert len(findings) == 1
    assert findings[0].startswith(finding)


def test_the_lines_of_a_front_matter_are_the_lines_of_the_file() -> None:
    """The three hyphens are line 1; what stands in the body keeps its line too."""
    report = Report()
    document = read_front_matter("m.md", "---\na: 1\nb:\n  - c: 2\n---\nText\n", report)
    assert document is not None
    assert document.line(("a",)) == 2
    assert document.line(("b", 0, "c")) == 4
    assert (document.body, document.body_line) == ("Text\n", 6)
    assert document.stem == "m"


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("slug: a\n", "m.md:1: there is no front matter; begin the file with a line of three hyphens `---`"),
        ("", "m.md:1: there is no front matter; begin the file with a line of three hyphens `---`"),
        ("---\nslug: a\n", "m.md:1: the front matter does not end; close it with a line of three hyphens `---`"),
        ("+++\na = 1\n", "m.md:1: the front matter does not end; close it with a line of three plus signs `+++`"),
        ("+++\n---\n", "m.md:1: the front matter does not end; close it with a line of three plus signs `+++`"),
    ],
)
def test_a_front_matter_that_does_not_begin_or_end_is_said(text: str, finding: str) -> None:
    """Without it nothing of the file can be read."""
    report = Report()
    assert read_front_matter("m.md", text, report) is None
    assert [str(one) for one in report.in_order()] == [finding]
