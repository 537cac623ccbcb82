"""What was changed last on a floor, by the journal."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import takewhile

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.journal.tables import JournalEntry
from mentor_training.planning.rules import Placed

PLACED, REMOVED = "placed", "removed"
MOST = 2000


@dataclass(frozen=True)
class LastChange:
    """All that one act changed on a floor: who was placed and who was taken out, by whom and when.

    `number` is that of its newest entry in the journal.
    """

    number: int
    moment: datetime
    by: str
    placed: tuple[Placed, ...]
    removed: tuple[Placed, ...]


def last_change(db: Session, session: str) -> LastChange | None:
    """Return the newest act that changed a session's floor, or None where nobody was ever placed.

    One act is what one person changed at one moment: a request has one moment throughout.
    """
    newest_first = select(JournalEntry).order_by(JournalEntry.number.desc())
    of_floor = newest_first.where(
        JournalEntry.kind.in_((PLACED, REMOVED)),
        JournalEntry.record.contains(f'"session":{json.dumps(session)}', autoescape=True),
    )
    rows = list(db.scalars(of_floor.limit(MOST)))
    if not rows:
        return None
    act = [*takewhile(lambda row: (row.moment, row.who) == (rows[0].moment, rows[0].who), rows)][::-1]
    return LastChange(
        rows[0].number, rows[0].moment, rows[0].who, _of_kind(act, PLACED), _of_kind(act, REMOVED)
    )  # fmt: skip


def _of_kind(rows: Iterable[JournalEntry], kind: str) -> tuple[Placed, ...]:
    return tuple(_placed(row) for row in rows if row.kind == kind)


def _placed(row: JournalEntry) -> Placed:
    told = json.loads(row.record)
    return Placed(told["block"], told["station"], row.subject, told["role"], told["participant"], told["level"])
