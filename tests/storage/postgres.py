"""A PostgreSQL of the test run's own: no network, no durability, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import psycopg
import pytest
from psycopg import sql

from mentor_training.system_packages import Need, how_to_install, program_path
from tests.missing import give_up

# Speed only: nothing that a test stores has to survive a power cut.
FAST = "-c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off"


@dataclass
class Cluster:
    """A running server that hands out databases, each reached by the address that SQLAlchemy takes."""

    folder: Path
    _numbers: Iterator[int] = field(default_factory=count)
    _templates: dict[Callable[[str], None], str] = field(default_factory=dict)

    def address(self, database: str) -> str:
        return f"postgresql+psycopg://postgres@/{database}?host={self.folder}"

    def new_database(self, prepare: Callable[[str], None] | None = None) -> str:
        """Give the address of a new database: empty, or a copy of the one that `prepare` filled once.

        `prepare` gets an address and must close its connections: PostgreSQL copies no database that is in use.
        """
        if prepare is None:
            return self._create("template1")
        if prepare not in self._templates:
            address = self._create("template1")
            prepare(address)
            self._templates[prepare] = address.partition("?")[0].rpartition("/")[2]
        return self._create(self._templates[prepare])

    def _create(self, template: str) -> str:
        name = f"t_{next(self._numbers)}"
        command = sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), sql.Identifier(template))
        with psycopg.connect(host=str(self.folder), user="postgres", dbname="postgres", autocommit=True) as connection:
            connection.execute(command)
        return self.address(name)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Cluster]:
    """One server for the whole test run, listening on a socket in its own folder only."""
    if program_path(("initdb",)) is None:
        give_up(how_to_install("PostgreSQL", [Need("postgresql")]))
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    try:
        _start(folder)
        yield Cluster(folder)
    finally:
        _run_as_owner("pg_ctl", "stop", "-D", str(folder / "data"), "-m", "immediate", check=False)
        shutil.rmtree(folder, ignore_errors=True)


def _start(folder: Path) -> None:
    if os.geteuid() == 0:
        shutil.chown(folder, _owner())
    data, log = str(folder / "data"), str(folder / "log")
    _run_as_owner("initdb", "--no-sync", "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C", "-D", data)
    _run_as_owner("pg_ctl", "start", "-w", "-D", data, "-l", log, "-o", f"-k {folder} {FAST}")


def _run_as_owner(program: str, *arguments: str, check: bool = True) -> None:
    # PostgreSQL refuses to run as root, which is who runs tests in a container.
    before = ["runuser", "-u", _owner(), "--"] if os.geteuid() == 0 else []
    command = [*before, program_path((program,)) or program, *arguments]
    # Not captured: the server would keep the pipe open, and reading it would never end.
    subprocess.run(command, check=check, cwd="/", stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)


def _owner() -> str:
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"
