"""Scans of papers on tables that only grow, which of them shows a paper, and whether the hands-on part was seen."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

APPEND_ONLY = {"scan": ("number", "name"), "scan_deletion": ("scan",)}


def upgrade() -> None:
    """Make the two tables with their guards, and name a scan with a paper on file."""
    op.create_table(
        "scan",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(length=80), nullable=False),
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("pages", sa.Integer(), nullable=False),
        sa.Column("put_at", UtcDateTime(), nullable=False),
        sa.Column("put_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.code"], name=op.f("fk_scan_person_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_scan")),
        sa.UniqueConstraint("name", name=op.f("uq_scan_name")),
    )
    op.create_index(op.f("ix_scan_person"), "scan", ["person"], unique=False)
    op.create_table(
        "scan_deletion",
        sa.Column("scan", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("deleted_at", UtcDateTime(), nullable=False),
        sa.Column("deleted_by", sa.String(length=80), nullable=False),
        sa.Column("because", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["scan"], ["scan.number"], name=op.f("fk_scan_deletion_scan_scan")),
        sa.PrimaryKeyConstraint("scan", name=op.f("pk_scan_deletion")),
    )
    with op.batch_alter_table("paper_on_file") as paper:
        paper.add_column(sa.Column("scan", sa.Integer(), nullable=True))
        paper.add_column(sa.Column("hands_on", sa.Boolean(), nullable=True))
        paper.create_foreign_key(op.f("fk_paper_on_file_scan_scan"), "scan", ["scan"], ["number"])
        paper.create_index(op.f("ix_paper_on_file_scan"), ["scan"], unique=False)
    for table, keys in APPEND_ONLY.items():
        refuse_changes(table, keys)
