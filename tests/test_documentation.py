"""What the two documents promise is there: every command is named, and every command that is named exists."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from mentor_training.cli import main

ROOT = Path(__file__).resolve().parent.parent
DOCUMENTS = ("README.md", "DEVELOPERS.md")


def documented() -> str:
    """Return what both documents say."""
    return "\n".join((ROOT / name).read_text(encoding="utf-8") for name in DOCUMENTS)


def commands(group: click.Group, before: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Give every command as its words, those of groups included."""
    for name, command in group.commands.items():
        yield (*before, name)
        if isinstance(command, click.Group):
            yield from commands(command, (*before, name))


def is_named(words: tuple[str, ...], text: str) -> bool:
    """Tell whether one line of a text names a command as code; a group and its part may stand in code of their own."""
    return any(set(words) <= words_in_code(line) for line in text.splitlines())


def words_in_code(line: str) -> set[str]:
    return {word for code in re.findall(r"`([^`]+)`", line) for word in re.split(r"[^a-z-]+", code)}


@pytest.mark.parametrize("words", list(commands(main)), ids=" ".join)
def test_every_command_is_named_in_the_documents(words: tuple[str, ...]) -> None:
    """Somebody who reads them finds it."""
    assert is_named(words, documented())


def test_a_command_that_is_not_named_is_noticed() -> None:
    """A check that never finds anything is no check."""
    assert not is_named(("levitate",), documented())
    assert not is_named(("journal", "levitate"), documented())


def test_every_command_of_the_readmes_table_exists() -> None:
    """The first word of each piece of code in the table's second column."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = [row.split(" | ", 1)[1] for row in text.splitlines() if row.startswith("| ") and "`" in row]
    named = {code.split()[0] for row in rows for code in re.findall(r"`([a-z][^`]*)`", row)}
    assert named
    known = {word for words in commands(main) for word in words}
    assert named - known == set()


@pytest.mark.parametrize("words", list(commands(main)), ids=" ".join)
def test_every_command_says_what_it_does(words: tuple[str, ...]) -> None:
    """`--help` shows a sentence, which is its docstring."""
    command: click.Command = main
    for word in words:
        assert isinstance(command, click.Group)
        command = command.commands[word]
    assert (command.help or "").strip()
