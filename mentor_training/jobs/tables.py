"""The jobs that wait, run, or have ended."""

from __future__ import annotations

from typing import Any

from sqlalchemy import CheckConstraint, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Json, JsonText, LongText, MaybeMoment, Moment


class Job(Base):
    """One piece of background work.

    `arguments` hold codes and figures only. `key` names what it is about; `open_key` is the same while it waits or
    runs, and nothing afterwards: so there is one open job of a key and no more. `asked_at` is the program's clock, all
    other moments are the machine's. `total` is 0 while nobody knows it. `result` is what the handler returned, or the
    list of reasons why not.
    """

    __tablename__ = "job"

    number: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[Code]
    key: Mapped[str] = mapped_column(String(200), index=True)
    open_key: Mapped[str | None] = mapped_column(String(200), unique=True)
    arguments: Mapped[Json]
    asked_by: Mapped[Code]
    asked_at: Mapped[Moment]
    state: Mapped[Code]
    worker: Mapped[Code] = mapped_column(default="")
    attempts: Mapped[int] = mapped_column(default=0)
    lease_until: Mapped[MaybeMoment]
    begun_at: Mapped[MaybeMoment]
    beat_at: Mapped[MaybeMoment]
    ended_at: Mapped[MaybeMoment]
    done: Mapped[int] = mapped_column(default=0)
    total: Mapped[int] = mapped_column(default=0)
    words: Mapped[LongText]
    stop_wished: Mapped[bool] = mapped_column(default=False)
    result: Mapped[Any] = mapped_column(JsonText, nullable=True)

    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'running', 'done', 'refused', 'failed', 'stopped')", name="state"),
        CheckConstraint("(open_key IS NOT NULL) = (state IN ('waiting', 'running'))", name="open_key"),
        Index("ix_job_state", "state", "number"),
    )
