"""Short ways to read a definition in a test."""

from __future__ import annotations

import re
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


def in_two_versions(quiz: str) -> str:
    """Return a quiz that asks each scenario with something unsafe in a second version too, at its end."""
    scenarios = re.split(r"(?m)^(?=  - slug: )", quiz)[1:]
    unsafe = [one for one in scenarios if "class: unsafe" in one or "must: true" in one]
    again = [re.sub(r"\A  - slug: (.*)\n", r"  - slug: \1-again\n    version_of: \1\n", one) for one in unsafe]
    return quiz + "".join(again)
