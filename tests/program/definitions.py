"""Short ways to read a definition in a test."""

from __future__ import annotations

from collections.abc import Mapping

from mentor_training.program.catalog import Program
from mentor_training.program.reading import read_program

NAME = {"program/program.toml": 'name = "P"\n'}
WORDS = "word " * 900
SAFETY = f"---\nslug: safety\ntitle: Safety\nedition: 1\nminutes: 5\n---\n## First {{#first}}\n{WORDS}\n"


def found(files: Mapping[str, str]) -> list[str]:
    """Return the findings of files beside a program.toml with a name only; advice is marked as such."""
    _, findings = read_program({**NAME, **files})
    return [str(one) if one.fault else f"advice: {one}" for one in findings]


def program_of(files: Mapping[str, str]) -> Program:
    """Return the program that files without a fault define."""
    program, findings = read_program({**NAME, **files})
    assert program is not None, "\n".join(str(one) for one in findings)
    return program
