"""Which address a mail went to, as a mark, and that an address is to be tried again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the mark, empty for mails that went before, and make the table, each row a record."""
    op.add_column("mail", sa.Column("address_mark", sa.String(length=64), server_default="", nullable=False))
    op.create_table(
        "mail_again",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("after", sa.Integer(), nullable=False),
        sa.Column("wished_at", UtcDateTime(), nullable=False),
        sa.Column("wished_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_mail_again_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_mail_again")),
    )
    op.create_index("ix_mail_again_person", "mail_again", ["person"], unique=False)
    refuse_changes("mail_again", ("number",))
