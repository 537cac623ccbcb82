"""When an observation was made on a phone without a network, and how far that phone's clock was off."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add both columns, empty for what was recorded before, which came straight from a page."""
    op.add_column("observation", sa.Column("made_at", UtcDateTime(), nullable=True))
    op.add_column("observation", sa.Column("clock_seconds", sa.Integer(), nullable=True))
