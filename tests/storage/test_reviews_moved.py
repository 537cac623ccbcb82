"""Reviews that were closed before there were steps keep how they were closed."""

from __future__ import annotations

from alembic import command
from sqlalchemy import text

from mentor_training.database.schema import configuration, upgrade
from mentor_training.database.session import Database

PERSON = (
    "INSERT INTO person (code, name, email, roles, sections, conflicts, extra_time_percent, recorded_at, from_start) "
    "VALUES ('v-001', 'V', 'v@x.example', 'volunteer', '', '', 0, :at, :yes)"
)
SEEN = (
    "INSERT INTO observation (id, key, person, skill, observer, day, station, participant, live, program_edition, "
    "result, not_counted, remark, recorded_at) VALUES (1, 'k', 'v-001', 'guarding', 'v-001', :day, '', '', :yes, 1, "
    "'not-yet', '', '', :at)"
)
REVIEW = (
    "INSERT INTO review (id, person, skill, observation, opened_at, closed_at, closed_by, outcome) "
    "VALUES (:id, 'v-001', 'guarding', 1, :at, :closed, :by, :outcome)"
)
VALUES = {"at": "2026-10-01 12:00:00+00:00", "day": "2026-10-01", "yes": True}


def test_how_a_review_was_closed_becomes_its_last_step(empty: Database) -> None:
    """One that was open stays open; new reviews count on."""
    with empty.engine.connect() as connection, connection.begin():
        command.upgrade(configuration(connection), "0002")
        connection.execute(text(PERSON), VALUES)
        connection.execute(text(SEEN), VALUES)
        closed = {"closed": VALUES["at"], "by": "c-01", "outcome": "Talked through."}
        connection.execute(text(REVIEW), {"id": 1, "at": VALUES["at"], **closed})
        connection.execute(text(REVIEW), {"id": 2, "at": VALUES["at"], "closed": None, "by": "", "outcome": ""})
    upgrade(empty)
    with empty.engine.connect() as connection:
        steps = connection.execute(text("SELECT review, kind, text, recorded_by FROM review_step")).all()
        reviews = connection.execute(text("SELECT id, observation FROM review ORDER BY id")).all()
    assert [tuple(row) for row in steps] == [(1, "closed", "Talked through.", "c-01")]
    assert [tuple(row) for row in reviews] == [(1, 1), (2, 1)]
