"""Who may import whom: the contracts of pyproject.toml hold, and they notice when somebody breaks them."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def lint_imports(folder: Path) -> tuple[int, str]:
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-logo", "--no-cache"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    return done.returncode, " ".join((done.stdout + done.stderr).split())


def test_every_import_goes_in_an_allowed_direction() -> None:
    """All contracts are kept."""
    code, said = lint_imports(ROOT)
    assert code == 0, said


@pytest.mark.parametrize(
    ("file", "line", "contract"),
    [
        ("errors.py", "import mentor_training.settings", "A room imports only what lies below it"),
        ("papers/rules.py", "import sqlalchemy", "Rules know no screen, no store, no clock, no settings"),
        (
            "papers/rules.py",
            "import mentor_training.clock",
            "Rules know no screen, no store, no clock, no settings",
        ),
        ("papers/actions.py", "import flask", "Tables, queries and actions know no screen and no command line"),
        ("papers/access.py", "import mentor_training.people.pages", "Only the application knows the pages"),
        ("papers/access.py", "import mentor_training.people.commands", "Only the command line knows the commands"),
        ("people/rules.py", "import mentor_training.people.tables", "Inside a room: pages, then forms"),
        ("seeded/__init__.py", "import json", "A room imports only what lies below it"),
        ("bootstrap.py", "import click", "What makes the environment needs nothing from it"),
    ],
)
def test_an_import_in_a_forbidden_direction_is_noticed(tmp_path: Path, file: str, line: str, contract: str) -> None:
    """A copy of the package with one wrong line breaks just the contract that speaks of it."""
    shutil.copytree(ROOT / "mentor_training", tmp_path / "mentor_training", ignore=shutil.ignore_patterns("static"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    changed = tmp_path / "mentor_training" / file
    changed.parent.mkdir(exist_ok=True)
    (changed.parent / "__init__.py").touch()
    with changed.open("a", encoding="utf-8") as text:
        text.write(f"\n{line}\n")
    code, said = lint_imports(tmp_path)
    assert code == 1, said
    assert re.search(rf"{contract}[^.]* BROKEN", said), said
