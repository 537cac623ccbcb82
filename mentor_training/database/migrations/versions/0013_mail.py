"""What was sent by mail, and who wants no digests."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the four tables, each with its guard: none of them is ever changed."""
    op.create_table(
        "digest_choice",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("wanted", sa.Boolean(), nullable=False),
        sa.Column("said_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_digest_choice_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_digest_choice")),
    )
    op.create_index(op.f("ix_digest_choice_person"), "digest_choice", ["person"], unique=False)
    op.create_table(
        "mail",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("message_id", sa.String(length=200), nullable=False),
        sa.Column("begun_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_mail_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_mail")),
        sa.UniqueConstraint("message_id", name=op.f("uq_mail_message_id")),
    )
    op.create_index("ix_mail_person", "mail", ["person"], unique=False)
    op.create_table(
        "mail_matter",
        sa.Column("mail", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(["mail"], ["mail.number"], name=op.f("fk_mail_matter_mail_mail")),
        sa.PrimaryKeyConstraint("mail", "key", name=op.f("pk_mail_matter")),
    )
    op.create_table(
        "mail_end",
        sa.Column("mail", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.String(length=80), nullable=False),
        sa.Column("code", sa.Integer(), nullable=False),
        sa.Column("ended_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(["mail"], ["mail.number"], name=op.f("fk_mail_end_mail_mail")),
        sa.PrimaryKeyConstraint("mail", name=op.f("pk_mail_end")),
    )
    refuse_changes("digest_choice", ("number",))
    refuse_changes("mail", ("number", "message_id"))
    refuse_changes("mail_matter", ("mail, key",))
    refuse_changes("mail_end", ("mail",))
