"""What is still to happen, told in the order of its moments, so that the journal never goes backwards."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import count
from typing import Concatenate, ParamSpec

from sqlalchemy.orm import Session

from mentor_training.database.session import Database

P = ParamSpec("P")
Act = Callable[[Session, datetime], object]


@dataclass
class Agenda:
    """Acts with the moments at which they happen; an act may add later ones."""

    _waiting: list[tuple[datetime, int, Act]] = field(default_factory=list)
    _numbers: count[int] = field(default_factory=count)
    _now: datetime | None = None

    def add(
        self,
        moment: datetime,
        act: Callable[Concatenate[Session, datetime, P], object],
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> None:
        """Put an act on the agenda: it is handed the database, the moment, and what is given here.

        ValueError for one that would have happened already.
        """
        if self._now is not None and moment < self._now:
            raise ValueError(f"{moment} lies before {self._now}, and a story is not told backwards")

        def happen(db: Session, at: datetime) -> object:
            return act(db, at, *args, **kwargs)

        heapq.heappush(self._waiting, (moment, next(self._numbers), happen))

    def tell(self, database: Database, until: datetime, day_told: Callable[[date], None]) -> None:
        """Let everything happen up to a moment, one transaction a day; what lies beyond it stays untold."""
        while self._waiting and self._waiting[0][0] <= until:
            day = self._waiting[0][0].date()
            with database.writing() as db:
                while self._waiting and self._waiting[0][0] <= until and self._waiting[0][0].date() == day:
                    self._now, _, act = heapq.heappop(self._waiting)
                    act(db, self._now)
            day_told(day)
