"""Collecting the files of a definition."""

from __future__ import annotations

from pathlib import Path

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
