"""Shadows on a floor, and attendance that is put right after the day."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the two tables; a correction is a record, with its guard."""
    op.create_table(
        "shadow",
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("block", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("station", sa.String(length=80), nullable=False),
        sa.Column("noted_at", UtcDateTime(), nullable=False),
        sa.Column("noted_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_shadow_person_person")),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_shadow_session_session")),
        sa.PrimaryKeyConstraint("session", "block", "person", name=op.f("pk_shadow")),
    )
    op.create_table(
        "attendance_correction",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("came_at", UtcDateTime(), nullable=True),
        sa.Column("left_at", UtcDateTime(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("corrected_at", UtcDateTime(), nullable=False),
        sa.Column("corrected_by", sa.String(length=80), nullable=False),
        sa.CheckConstraint(
            "(came_at IS NULL) = (left_at IS NULL)", name=op.f("ck_attendance_correction_both_or_neither")
        ),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_attendance_correction_session_session")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_attendance_correction")),
    )
    op.create_index(op.f("ix_attendance_correction_session"), "attendance_correction", ["session"], unique=False)
    refuse_changes("attendance_correction", ("number",))
