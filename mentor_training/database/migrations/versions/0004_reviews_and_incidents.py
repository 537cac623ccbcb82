"""Reviews with every step of theirs, struck observations, and incidents, all on tables that only grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime, WordList
from mentor_training.database.guards import refuse_changes

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

APPEND_ONLY = {
    "observation_strike": ("observation",),
    "incident": ("number",),
    "incident_addition": ("number",),
    "review": ("id",),
    "review_step": ("number",),
}


def upgrade() -> None:
    """Make the tables, move what closed a review into its steps, and guard all of it."""
    _make_strikes_and_incidents()
    _make_steps()
    op.execute(
        "INSERT INTO review_step (number, review, kind, assignee, text, recorded_at, recorded_by) "
        "SELECT id, id, 'closed', '', outcome, closed_at, closed_by FROM review WHERE closed_at IS NOT NULL"
    )
    with op.batch_alter_table("review") as review:
        review.alter_column("observation", existing_type=sa.Integer(), nullable=True)
        review.add_column(sa.Column("incident", sa.Integer(), nullable=True))
        review.create_foreign_key(op.f("fk_review_incident_incident"), "incident", ["incident"], ["number"])
        review.create_check_constraint(op.f("ck_review_about_one"), "(observation IS NULL) <> (incident IS NULL)")
        for column in ("closed_at", "closed_by", "outcome"):
            review.drop_column(column)
    for table, keys in APPEND_ONLY.items():
        refuse_changes(table, keys)


def _make_strikes_and_incidents() -> None:
    op.create_table(
        "observation_strike",
        sa.Column("observation", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("struck_at", UtcDateTime(), nullable=False),
        sa.Column("struck_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["observation"], ["observation.id"], name=op.f("fk_observation_strike_observation_observation")
        ),
        sa.PrimaryKeyConstraint("observation", name=op.f("pk_observation_strike")),
    )
    op.create_table(
        "incident",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("session", sa.String(length=80), nullable=True),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("about", sa.Time(), nullable=False),
        sa.Column("block", sa.Integer(), nullable=True),
        sa.Column("station", sa.String(length=80), nullable=False),
        sa.Column("led_by", sa.String(length=80), nullable=False),
        sa.Column("involved", WordList(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["session"], ["session.code"], name=op.f("fk_incident_session_session")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_incident")),
    )
    op.create_table(
        "incident_addition",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("incident", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["incident"], ["incident.number"], name=op.f("fk_incident_addition_incident_incident")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_incident_addition")),
    )
    op.create_index(op.f("ix_incident_addition_incident"), "incident_addition", ["incident"], unique=False)


def _make_steps() -> None:
    op.create_table(
        "review_step",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("review", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=80), nullable=False),
        sa.Column("assignee", sa.String(length=80), nullable=False),
        sa.Column("observation", sa.Integer(), nullable=True),
        sa.Column("record", sa.String(length=80), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("recorded_at", UtcDateTime(), nullable=False),
        sa.Column("recorded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["observation"], ["observation.id"], name=op.f("fk_review_step_observation_observation")
        ),
        sa.ForeignKeyConstraint(["record"], ["record.code"], name=op.f("fk_review_step_record_record")),
        sa.ForeignKeyConstraint(["review"], ["review.id"], name=op.f("fk_review_step_review_review")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_review_step")),
    )
    op.create_index(op.f("ix_review_step_review"), "review_step", ["review"], unique=False)
