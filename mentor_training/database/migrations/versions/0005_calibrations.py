"""Calibrations: staged sets with their keys, what observers scored, and which of them a standing rests on."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime, WordList
from mentor_training.database.guards import refuse_changes

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

APPEND_ONLY = {
    "calibration": ("number",),
    "calibration_performance": ("calibration, place",),
    "calibration_key": ("number",),
    "calibration_key_mark": ("key, criterion",),
    "calibration_score": ("number",),
    "calibration_mark": ("score, criterion",),
    "calibration_closing": ("calibration, observer",),
}


def upgrade() -> None:
    """Make the tables, guard them, and let a standing name the calibration it rests on."""
    _make_sets()
    _make_scores()
    with op.batch_alter_table("observer_standing") as standing:
        standing.add_column(sa.Column("calibration", sa.Integer(), nullable=True))
        standing.create_foreign_key(
            op.f("fk_observer_standing_calibration_calibration"), "calibration", ["calibration"], ["number"]
        )
    for table, keys in APPEND_ONLY.items():
        refuse_changes(table, keys)


def _make_sets() -> None:
    op.create_table(
        "calibration",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("program_edition", sa.Integer(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_calibration")),
    )
    op.create_table(
        "calibration_performance",
        sa.Column("calibration", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("title", sa.String(length=300), nullable=False),
        sa.Column("skill", sa.String(length=80), nullable=False),
        sa.Column("played", sa.String(length=300), nullable=False),
        sa.Column("source", sa.String(length=300), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration"], ["calibration.number"], name=op.f("fk_calibration_performance_calibration_calibration")
        ),
        sa.PrimaryKeyConstraint("calibration", "place", name=op.f("pk_calibration_performance")),
    )
    op.create_table(
        "calibration_key",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("calibration", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("agreed_by", WordList(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration", "place"],
            ["calibration_performance.calibration", "calibration_performance.place"],
            name=op.f("fk_calibration_key_calibration_calibration_performance"),
        ),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_calibration_key")),
    )
    op.create_table(
        "calibration_key_mark",
        sa.Column("key", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("criterion", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("accepted", WordList(), nullable=False),
        sa.ForeignKeyConstraint(
            ["key"], ["calibration_key.number"], name=op.f("fk_calibration_key_mark_key_calibration_key")
        ),
        sa.PrimaryKeyConstraint("key", "criterion", name=op.f("pk_calibration_key_mark")),
    )


def _make_scores() -> None:
    op.create_table(
        "calibration_score",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("calibration", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("observer", sa.String(length=80), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration", "place"],
            ["calibration_performance.calibration", "calibration_performance.place"],
            name=op.f("fk_calibration_score_calibration_calibration_performance"),
        ),
        sa.ForeignKeyConstraint(["observer"], ["person.code"], name=op.f("fk_calibration_score_observer_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_calibration_score")),
    )
    op.create_index(
        op.f("ix_calibration_score_calibration_observer"),
        "calibration_score",
        ["calibration", "observer"],
        unique=False,
    )
    op.create_table(
        "calibration_mark",
        sa.Column("score", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("criterion", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("mark", sa.String(length=80), nullable=False),
        sa.Column("way", sa.String(length=300), nullable=False),
        sa.ForeignKeyConstraint(
            ["score"], ["calibration_score.number"], name=op.f("fk_calibration_mark_score_calibration_score")
        ),
        sa.PrimaryKeyConstraint("score", "criterion", name=op.f("pk_calibration_mark")),
    )
    op.create_table(
        "calibration_closing",
        sa.Column("calibration", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("observer", sa.String(length=80), nullable=False),
        sa.Column("closed_at", UtcDateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration"], ["calibration.number"], name=op.f("fk_calibration_closing_calibration_calibration")
        ),
        sa.ForeignKeyConstraint(["observer"], ["person.code"], name=op.f("fk_calibration_closing_observer_person")),
        sa.PrimaryKeyConstraint("calibration", "observer", name=op.f("pk_calibration_closing")),
    )
