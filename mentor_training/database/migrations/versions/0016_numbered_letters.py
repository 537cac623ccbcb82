"""Letters of hours under numbers, frozen as they were written."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; each row is a record, with its guard."""
    op.create_table(
        "hours_letter",
        sa.Column("number", sa.String(length=80), nullable=False),
        sa.Column("verification_code", sa.String(length=40), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("written_at", UtcDateTime(), nullable=False),
        sa.Column("written_by", sa.String(length=80), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("journal_head", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_hours_letter_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_hours_letter")),
        sa.UniqueConstraint("verification_code", name=op.f("uq_hours_letter_verification_code")),
    )
    op.create_index("ix_hours_letter_person", "hours_letter", ["person"], unique=False)
    refuse_changes("hours_letter", ("number", "verification_code"))
