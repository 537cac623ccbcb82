"""The PostgreSQL of the test run does what the storage tests rely on."""

from __future__ import annotations

from sqlalchemy import create_engine, text

from tests.storage.postgres import Cluster


def fill(address: str) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE station (slug text PRIMARY KEY)"))
        connection.execute(text("INSERT INTO station VALUES ('quiet-room')"))
    engine.dispose()


def count_of(address: str) -> int:
    engine = create_engine(address)
    with engine.begin() as connection:
        number = connection.execute(text("SELECT count(*) FROM station")).scalar_one()
    engine.dispose()
    return int(number)


def add(address: str) -> None:
    engine = create_engine(address)
    with engine.begin() as connection:
        connection.execute(text("INSERT INTO station VALUES ('pool-deck')"))
    engine.dispose()


def test_two_databases_from_one_template_do_not_see_each_other(postgres: Cluster) -> None:
    """What one test stores is not there for the next, though both begin from the same filled database."""
    first, second = postgres.new_database(fill), postgres.new_database(fill)
    add(first)
    assert (count_of(first), count_of(second)) == (2, 1)


def test_the_server_of_the_test_run_opens_no_port(postgres: Cluster) -> None:
    """Nobody on the machine's network can reach the test database, which asks for no password."""
    engine = create_engine(postgres.new_database())
    with engine.begin() as connection:
        assert connection.execute(text("SHOW listen_addresses")).scalar_one() == ""
    engine.dispose()
