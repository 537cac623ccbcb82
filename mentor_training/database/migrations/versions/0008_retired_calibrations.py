"""Calibrations that are no longer scored, and why somebody is called calibrated without one."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from mentor_training.database.column_types import UtcDateTime
from mentor_training.database.guards import refuse_changes

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table with its guard, and give standings a reason; those of before have none."""
    op.create_table(
        "calibration_retirement",
        sa.Column("calibration", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("retired_at", UtcDateTime(), nullable=False),
        sa.Column("retired_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["calibration"], ["calibration.number"], name=op.f("fk_calibration_retirement_calibration_calibration")
        ),
        sa.PrimaryKeyConstraint("calibration", name=op.f("pk_calibration_retirement")),
    )
    refuse_changes("calibration_retirement", ("calibration",))
    op.add_column("observer_standing", sa.Column("reason", sa.Text(), nullable=False, server_default=""))
