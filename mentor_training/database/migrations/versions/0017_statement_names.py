"""What program and people were called when a statement was made, frozen with it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; statements made before are printed with the names of now."""
    op.add_column("statement", sa.Column("called", sa.Text(), server_default="", nullable=False))
