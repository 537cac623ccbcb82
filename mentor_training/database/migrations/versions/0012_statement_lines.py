"""The lines of a statement, frozen beside its sums."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.guards import refuse_changes

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table with its guard; statements made before have no lines."""
    op.add_column("statement", sa.Column("lines_hash", sa.String(length=64), server_default="", nullable=False))
    op.create_table(
        "statement_piece",
        sa.Column("statement", sa.String(length=80), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["statement"], ["statement.number"], name=op.f("fk_statement_piece_statement_statement")
        ),
        sa.PrimaryKeyConstraint("statement", "place", name=op.f("pk_statement_piece")),
    )
    refuse_changes("statement_piece", ("statement, place",))
