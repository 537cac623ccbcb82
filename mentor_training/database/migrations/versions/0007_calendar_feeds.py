"""Private addresses of calendars, each the hash of its secret."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "calendar_feed",
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("made_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_calendar_feed_person_person")),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_calendar_feed")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_calendar_feed_token_hash")),
    )
