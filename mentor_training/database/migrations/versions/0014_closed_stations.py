"""Stations that are closed during a session, and opened again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; each row is a record, with its guard."""
    op.create_table(
        "station_closing",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("station", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("from_block", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=80), nullable=False),
        sa.Column("turned_at", UtcDateTime(), nullable=False),
        sa.Column("turned_by", sa.String(length=80), nullable=False),
        sa.CheckConstraint("kind IN ('closed', 'opened')", name=op.f("ck_station_closing_kind")),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_station_closing_session_session")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_station_closing")),
    )
    op.create_index(op.f("ix_station_closing_session"), "station_closing", ["session"], unique=False)
    refuse_changes("station_closing", ("number",))
