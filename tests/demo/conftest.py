"""The demo as somebody makes it who has just cloned the project: told once for all tests, in a process of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from mentor_training.database.instance import Instance, open_instance

LONGEST_TELLING = 600


@dataclass(frozen=True)
class Told:
    """A demo that was made: its folder, and what the command printed."""

    folder: Path
    output: str
    errors: str


def run_demo(*words: object, hash_seed: str = "1") -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own, its output in a pipe."""
    arguments = ["demo", *(str(word) for word in words)]
    code = f"from mentor_training.cli import main; main({arguments!r})"
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed}
    command = [sys.executable, "-c", code]
    return subprocess.run(
        command, capture_output=True, text=True, env=environment, timeout=LONGEST_TELLING, check=False
    )


@pytest.fixture(scope="session")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """Make the demo once for the whole test run; nobody writes in it."""
    folder = tmp_path_factory.mktemp("told") / "demo"
    done = run_demo("--folder", folder, "--no-serve")
    assert done.returncode == 0, done.stderr
    return Told(folder, done.stdout, done.stderr)


@pytest.fixture
def folder(told: Told, tmp_path: Path) -> Path:
    """Give a copy of the demo in which a test may do what it likes."""
    return shutil.copytree(told.folder, tmp_path / "demo")


@pytest.fixture
def demo(folder: Path) -> Iterator[Instance]:
    """Open a copy of the demo, its clock running on from the end of the story."""
    opened = open_instance(folder)
    yield opened
    opened.database.close()
