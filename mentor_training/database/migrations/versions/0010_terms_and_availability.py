"""Terms, and who can come when; both only grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime, WordList
from mentor_training.database.guards import refuse_changes

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables with their guards."""
    op.create_table(
        "term",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("holidays", WordList(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_term")),
    )
    op.create_index(op.f("ix_term_code"), "term", ["code"])
    op.create_table(
        "availability",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("code", sa.String(length=80), nullable=False),
        sa.Column("about", sa.String(length=80), nullable=False),
        sa.Column("which", sa.String(length=80), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("said_at", UtcDateTime(), nullable=False),
        sa.Column("said_by", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_availability")),
    )
    op.create_index("ix_availability_kind_code", "availability", ["kind", "code"])
    for table in ("term", "availability"):
        refuse_changes(table, ("number",))
