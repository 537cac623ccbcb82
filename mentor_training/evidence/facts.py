"""Evidence as frozen facts for the rules, and the kinds of record there are; pure."""

from __future__ import annotations

import re
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


# A day outside these is a slip of the pen, and would break the reckoning of months and years for everybody.
EARLIEST, LATEST = date(1900, 1, 1), date(2199, 12, 31)

SLUG = "[a-z0-9-]+"
CODE = "[A-Za-z0-9][A-Za-z0-9_.-]*"
ITEM_FORMS = {
    COMPLETED: rf"module/{SLUG}(@[1-9][0-9]{{0,5}})?",
    SIGNED_OFF: rf"skill/{SLUG}",
    MET: rf"skill/{SLUG}",
    ON_FILE: rf"paper/{SLUG}",
    WAIVED: rf"(paper|module|skill)/{SLUG}",
    PRACTICED: rf"skill/{SLUG}",
    STOOD_DOWN: rf"((activity/)?{SLUG})?",
    RESTRICTED: rf"((activity/)?{SLUG})?",
    HOURS: SLUG,
    ATTENDED: CODE,
    READ_CARD: rf"card/{CODE}@[1-9][0-9]{{0,5}}",
}


def record_faults(
    kind: str, item: str, first_day: date, last_day: date | None, note: str, refers_to: str | None
) -> tuple[str, ...]:
    """Return what is wrong with a record before it is stored, empty when nothing is.

    Days lie from 1900 through 2199, the last not before the first; hours carry whole minutes as their note; a
    correction names the record it is about. What is stored must be readable, because it can never be changed.
    """
    if kind not in KINDS:
        return (f"{kind!r} is no kind of record; there are {', '.join(KINDS)}.",)
    faults = []
    if kind in ITEM_FORMS and not re.fullmatch(ITEM_FORMS[kind], item):
        faults.append(f"{item!r} is no item of a {kind} record.")
    faults += [
        f"{day} is no day of this program; write one from {EARLIEST} through {LATEST}."
        for day in (first_day, last_day or first_day)
        if not EARLIEST <= day <= LATEST
    ]
    if last_day and last_day < first_day:
        faults.append(f"It would end on {last_day}, before it begins on {first_day}.")
    if kind == HOURS and not re.fullmatch(r"-?[0-9]{1,6}", note):
        faults.append(f"{note!r} is no number of minutes; hours carry whole minutes as their note.")
    if (kind in ABOUT_ANOTHER) != bool(refers_to):
        faults.append("A withdrawal, a void and a lifting name the record they are about, and nothing else does.")
    return tuple(dict.fromkeys(faults))
