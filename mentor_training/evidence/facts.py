"""Evidence as frozen facts for the rules, and the kinds of record there are; pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

COMPLETED = "completed"
SIGNED_OFF = "signed-off"
MET = "met"
ON_FILE = "on-file"
WAIVED = "waived"
PRACTICED = "practiced"
WITHDRAWN = "withdrawn"
VOIDED = "voided"
STOOD_DOWN = "stood-down"
RESTRICTED = "restricted"
LIFTED = "lifted"
HOURS = "hours"
ATTENDED = "attended"
READ_CARD = "read-card"

KINDS = (
    COMPLETED, SIGNED_OFF, MET, ON_FILE, WAIVED, PRACTICED, WITHDRAWN, VOIDED,
    STOOD_DOWN, RESTRICTED, LIFTED, HOURS, ATTENDED, READ_CARD,
)  # fmt: skip

ABOUT_ANOTHER = (WITHDRAWN, VOIDED, LIFTED)


@dataclass(frozen=True)
class Fact:
    """One record of evidence. Days are inclusive days in the program's zone; no last day means open."""

    code: str
    person: str
    kind: str
    item: str
    first_day: date
    last_day: date | None
    recorded_at: datetime
    recorded_by: str = ""
    refers_to: str | None = None
    note: str = ""
