"""What the storage tests share: the same world on SQLite and on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from mentor_training.database.schema import upgrade
from mentor_training.database.session import Database
from tests.builders import SETTINGS, World, make_world
from tests.storage.postgres import Cluster

BOTH = ("sqlite", "postgresql")


def migrated(address: str) -> None:
    """Bring an empty database to the newest form."""
    database = Database(address)
    upgrade(database)
    database.close()


def address_on(kind: str, request: pytest.FixtureRequest, folder: Path) -> str:
    """Give the address of a new, empty database of a kind; only then is a server started, where it takes one."""
    if kind == "sqlite":
        return f"sqlite:///{folder}/empty.db"
    cluster: Cluster = request.getfixturevalue("postgres")
    return cluster.new_database()


@pytest.fixture(params=BOTH)
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """Give an empty database, on each of the two."""
    database = Database(address_on(request.param, request, tmp_path))
    yield database
    database.close()


@pytest.fixture(params=BOTH)
def stored(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[World]:
    """Give an instance with the small program published and nobody in it, on each of the two databases."""
    settings = SETTINGS
    if request.param == "postgresql":
        cluster: Cluster = request.getfixturevalue("postgres")
        settings += f'database = "{cluster.new_database(migrated)}"\n'
    world = make_world(tmp_path / "instance", settings=settings)
    world.publish()
    yield world
    world.instance.database.close()
