"""Pass marks: what judges said of the items of a quiz, on tables that only grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import JsonText, UtcDateTime, WordList
from mentor_training.database.guards import refuse_changes

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

APPEND_ONLY = {"pass_mark_setting": ("number",), "pass_mark_judge": ("setting, place",)}


def upgrade() -> None:
    """Make both tables and their guards."""
    op.create_table(
        "pass_mark_setting",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quiz", sa.String(length=80), nullable=False),
        sa.Column("module_edition", sa.Integer(), nullable=False),
        sa.Column("program_edition", sa.Integer(), nullable=False),
        sa.Column("items", WordList(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_pass_mark_setting")),
    )
    op.create_index(op.f("ix_pass_mark_setting_quiz"), "pass_mark_setting", ["quiz"], unique=False)
    op.create_table(
        "pass_mark_judge",
        sa.Column("setting", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("percents", JsonText(), nullable=False),
        sa.ForeignKeyConstraint(
            ["setting"], ["pass_mark_setting.number"], name=op.f("fk_pass_mark_judge_setting_pass_mark_setting")
        ),
        sa.PrimaryKeyConstraint("setting", "place", name=op.f("pk_pass_mark_judge")),
    )
    for table, keys in APPEND_ONLY.items():
        refuse_changes(table, keys)
