"""Background work: the jobs that wait, run, or have ended."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import JsonText, UtcDateTime

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; it is a queue and no record, so that nothing guards it."""
    op.create_table(
        "job",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("open_key", sa.String(length=200), nullable=True),
        sa.Column("arguments", JsonText(), nullable=False),
        sa.Column("asked_by", sa.String(length=80), nullable=False),
        sa.Column("asked_at", UtcDateTime(), nullable=False),
        sa.Column("state", sa.String(length=80), nullable=False),
        sa.Column("worker", sa.String(length=80), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("lease_until", UtcDateTime(), nullable=True),
        sa.Column("begun_at", UtcDateTime(), nullable=True),
        sa.Column("beat_at", UtcDateTime(), nullable=True),
        sa.Column("ended_at", UtcDateTime(), nullable=True),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("stop_wished", sa.Boolean(), nullable=False),
        sa.Column("result", JsonText(), nullable=True),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'done', 'refused', 'failed', 'stopped')", name=op.f("ck_job_state")
        ),
        sa.CheckConstraint("(open_key IS NOT NULL) = (state IN ('waiting', 'running'))", name=op.f("ck_job_open_key")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_job")),
        sa.UniqueConstraint("open_key", name=op.f("uq_job_open_key")),
    )
    op.create_index(op.f("ix_job_key"), "job", ["key"])
    op.create_index("ix_job_state", "job", ["state", "number"])
