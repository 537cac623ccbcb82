"""Collecting the files of a definition, and advice on its content."""

from __future__ import annotations

from pathlib import Path

import pytest

from mentor_training.program.lint import longest_is_best, module_remarks, word_count
from mentor_training.program.quiz_values import Option, Scenario
from mentor_training.program.reading import Finding, collect_files


def write(path: Path, content: bytes) -> None:
    """Write a file and the folders it lies in."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def test_files_are_collected_under_the_names_people_know(tmp_path: Path) -> None:
    """Wherever the folders lie; what is hidden, a README or no text of ours is left alone."""
    write(tmp_path / "a" / "program.toml", b'name = "P"\n')
    write(tmp_path / "a" / "skills" / "x.md", b"---\n")
    write(tmp_path / "a" / ".hidden.toml", b"x")
    write(tmp_path / "a" / ".git" / "x.md", b"x")
    write(tmp_path / "b" / "safety.md", b"text")
    write(tmp_path / "b" / "README.md", b"about")
    write(tmp_path / "b" / "picture.png", b"\x89PNG")
    write(tmp_path / "b" / "safety.md~", b"old")
    files, findings = collect_files(tmp_path / "a", tmp_path / "b", tmp_path / "not-there")
    assert files == {
        "program/program.toml": 'name = "P"\n',
        "program/skills/x.md": "---\n",
        "modules/safety.md": "text",
    }
    assert findings == ()


def test_the_same_text_is_collected_from_any_editor(tmp_path: Path) -> None:
    """Neither line ends nor a byte order mark make another definition of it."""
    write(tmp_path / "program.toml", b"\xef\xbb\xbfname = 1\r\nentry = 2\r")
    files, _ = collect_files(tmp_path, tmp_path / "x", tmp_path / "y")
    assert files == {"program/program.toml": "name = 1\nentry = 2\n"}


def test_a_file_that_is_no_text_is_a_fault_at_its_line(tmp_path: Path) -> None:
    """It is left out, and said."""
    write(tmp_path / "a.yaml", b"slug: x\ntext: caf\xe9\n")
    write(tmp_path / "b.yaml", b"slug: x\0\n")
    files, findings = collect_files(tmp_path / "x", tmp_path / "y", tmp_path)
    assert files == {}
    assert findings == (
        Finding("quizzes/a.yaml", 2, "the file is not UTF-8 text", "save it with the encoding UTF-8"),
        Finding("quizzes/b.yaml", 1, "the file holds a zero byte and is no text", "write it anew as text"),
    )


def test_a_file_that_cannot_be_read_is_a_fault(tmp_path: Path) -> None:
    """A link that leads nowhere, for one."""
    (tmp_path / "stations.toml").symlink_to(tmp_path / "gone.toml")
    _, findings = collect_files(tmp_path, tmp_path / "x", tmp_path / "y")
    assert [str(one) for one in findings] == [
        "program/stations.toml:1: the file cannot be read (No such file or directory); let the program read it"
    ]


def test_a_finding_reads_as_file_line_what_and_what_would_be_right() -> None:
    """The form that editors and people know."""
    assert str(Finding("program/stations.toml", 3, "unknown key `titel`", "did you mean `title`?")) == (
        "program/stations.toml:3: unknown key `titel`; did you mean `title`?"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", 0),
        ("One two three.", 3),
        ("## A heading {#a-slug}\n\n- one\n- two", 4),
        ("Wash for 20 s [source: cdc-hands].\n\n[caution: call]", 4),
        ("**Bold** - and a [link](https://example.org/a b)", 4),
        ("| a | b |\n| --- | --- |\n| 1 | 2 |", 4),
    ],
)
def test_words_are_counted_without_the_marks(text: str, words: int) -> None:
    """What a reader reads, and not what the page is made from."""
    assert word_count(text) == words


@pytest.mark.parametrize(("count", "remarks"), [(799, 1), (800, 0), (2000, 0), (2001, 1)])
def test_the_length_of_a_module(count: int, remarks: int) -> None:
    """800 to 2,000 words; a rule of this program."""
    assert len(module_remarks("word " * count, 8)) == remarks


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("![](a.png)", True),
        ("![ ][ref]", True),
        ('<img src="a.png">', True),
        ('<img src="a.png" alt="">', False),
        ("![A gait belt](a.png)", False),
        ('<img alt="A gait belt" src="a.png">', False),
    ],
)
def test_a_picture_needs_words(line: str, told: bool) -> None:
    """Success criterion 1.1.1 of WCAG 2.2 asks for a text alternative."""
    remarks = module_remarks("word " * 900 + "\n\n" + line, 8)
    assert [remark.line for remark in remarks] == ([10] if told else [])


def scenario(*lengths: int) -> Scenario:
    """Return a scenario whose options have these lengths; the first is the best one."""
    options = [Option("x" * length, "wrong" if at else "best") for at, length in enumerate(lengths)]
    return Scenario("s", "choose_one", "T", options=tuple(options))


def test_the_best_option_being_always_the_longest_gives_a_quiz_away() -> None:
    """Always, in three scenarios or more; one exception is enough."""
    assert longest_is_best([scenario(9, 3, 2), scenario(5, 1), scenario(7, 6)])
    assert not longest_is_best([scenario(9, 3, 2), scenario(5, 1)])
    assert not longest_is_best([scenario(9, 3, 2), scenario(5, 1), scenario(6, 7)])
