"""When a certificate may be issued, what it rests on, and what verification answers; pure."""

from __future__ import annotations

import hmac
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from math import ceil

from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, Actor
from mentor_training.program.requirements import (
    Atom,
    Hours,
    Item,
    Requirement,
    atoms_of,
    smallest_missing,
)

# No 0, 1, I or O, which people take for one another; 32 signs carry 5 bits each.
SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
CODE_LENGTH = 16  # 80 bits
# So many unknown answers to one client within so long, and it waits.
MOST_UNKNOWN = 20
WINDOW = timedelta(minutes=15)
LIMITS = (
    "This certificate is a record of training in a supervised student program. It is not a license, a registration "
    "or a permission to practice any profession, and it permits nobody to work without supervision."
)


# A number in any of the ways in which people type it: with blanks or other dashes, a capital O or I for a digit.
NUMBER = re.compile(r"C(\d{4})(\d+)")
MISREAD = str.maketrans("OIL", "011")


class Standing(StrEnum):
    """All that verification ever says."""

    VALID = "valid"
    LAPSED = "lapsed"
    WITHDRAWN = "withdrawn"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Ground:
    """Something that a certificate rests on: an item with the record by which it was held since a day (ISO 8601), or
    so many hours.
    """

    what: str
    how: str
    record: str = ""
    since: str = ""


def eligibility(
    requires: Requirement, holds: Callable[[Atom], bool], minutes: Callable[[str], int], title_of: Callable[[str], str]
) -> tuple[str, ...]:
    """Return what is missing for a certificate, in words, each without a full stop; empty when its requirement holds.

    The smallest set that would do, hours in minutes so that nothing is complete a minute early. Rules of this program.
    """
    return tuple(_missing(atom, minutes, title_of) for atom in smallest_missing(requires, holds))


def _missing(atom: Atom, minutes: Callable[[str], int], title_of: Callable[[str], str]) -> str:
    if isinstance(atom, Item):
        kind = atom.name.partition("/")[0]
        return f"{title_of(atom.name)} ({kind})"
    if isinstance(atom, Hours):
        left = ceil(Fraction(str(atom.at_least)) * 60) - minutes(atom.category)
        return f"{atom.at_least:g} h {atom.category}, approved: {_hours_and_minutes(left)} still to come"
    return f"{atom.at_least} sessions attended before the day"


def _hours_and_minutes(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join([f"{hours} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0))


def held_atoms(requires: Requirement, holds: Callable[[Atom], bool]) -> tuple[Atom, ...]:
    """Return the atoms of a requirement that hold, in the order in which they stand."""
    return tuple(atom for atom in atoms_of(requires) if holds(atom))


def issue_faults(
    by: Actor, person: str, sections: Iterable[str], missing: Sequence[str], valid: str
) -> tuple[str, ...]:
    """Say why somebody may not issue a certificate to a volunteer, empty when they may.

    `missing` is what `eligibility` returned, `valid` the number of one of the same kind that still is. A course
    instructor issues in the own sections, the coordinator anywhere, and nobody to themselves. Rules of this program.
    """
    faults = [f"Missing: {one}." for one in missing]
    if by.code == person:
        faults.append("Nobody issues a certificate to themselves; somebody else has to.")
    elif not may_issue(by, sections):
        faults.append(f"{person} is in none of your sections; their instructor or the coordinator issues it.")
    if valid:
        faults.append(f"{valid} of the same kind is valid already; revoke it first if it is wrong.")
    return tuple(faults)


def may_issue(by: Actor, sections: Iterable[str]) -> bool:
    """Say whether somebody issues and revokes certificates of volunteers in these sections."""
    return COORDINATOR in by.roles or (COURSE_INSTRUCTOR in by.roles and bool(set(sections) & set(by.sections)))


def clean_code(typed: str) -> str:
    """Return a verification code as it is kept, from one that was typed: blanks, hyphens and case do not matter."""
    return "".join(sign for sign in typed.upper() if sign.isalnum() and sign.isascii())


def grouped(code: str) -> str:
    """Write a verification code for people, in groups of four."""
    return "-".join(code[at : at + 4] for at in range(0, len(code), 4))


def clean_number(typed: str) -> str:
    """Return a number as it is kept, from one that was typed: blanks, dashes and case do not matter.

    What cannot be a number is returned as it is, cut, and found nowhere.
    """
    signs = "".join(sign for sign in typed.upper() if sign.isalnum() and sign.isascii())
    found = NUMBER.fullmatch(signs[:1] + signs[1:].translate(MISREAD))
    return f"C-{found[1]}-{found[2]}" if found else typed.strip().upper()[:80]


def standing(last_day: date | None, revoked: bool, on: date) -> Standing:
    """Say how a certificate stands on a day: withdrawn goes before lapsed; its last day still counts."""
    if revoked:
        return Standing.WITHDRAWN
    return Standing.LAPSED if last_day and last_day < on else Standing.VALID


def answered(kept: str | None, typed: str, stands: Standing) -> Standing:
    """Say what verification answers; `kept` is the code of the number asked for, or None where there is none.

    A wrong code is answered like a number that does not exist, and takes as long, so that numbers cannot be tried out.
    """
    fits = hmac.compare_digest((kept or "-" * CODE_LENGTH).encode(), clean_code(typed).encode())
    return stands if kept is not None and fits else Standing.UNKNOWN


def asks_too_often(unknown: Iterable[datetime], at: datetime) -> bool:
    """Say whether somebody who verifies has to wait: too many answers of late were that a certificate is unknown.

    `unknown` are the moments of these answers to one client. Whoever checks true certificates never waits. A rule of
    this program.
    """
    return sum(at - moment < WINDOW for moment in unknown) >= MOST_UNKNOWN


def revoke_faults(by: Actor, person: str, number: str, reason: str, revoked: bool) -> tuple[str, ...]:
    """Say why somebody may not revoke a certificate that they could issue, empty when they may."""
    faults = [] if reason.strip() else ["Write the reason; it stays with the certificate."]
    if revoked:
        faults.append(f"{number} is revoked already.")
    if by.code == person:
        faults.append("Nobody revokes their own certificate; somebody else has to.")
    return tuple(faults)


def reissue_faults(number: str, stands: Standing, missing: Sequence[str]) -> tuple[str, ...]:
    """Say why a certificate cannot be issued anew for the day that it is of, empty when it can.

    `missing` is what `eligibility` returned for that day by what is known now. Rules of this program.
    """
    faults = [f"Missing on its day, by what is known now: {one}. Revoke it instead." for one in missing]
    if stands is Standing.LAPSED:
        faults.append(f"{number} has lapsed; issue a new one for today instead.")
    return tuple(faults)


def fallen_words(what: str, record: str, day: date) -> str:
    """Say that a record on which a certificate rests was voided or withdrawn since."""
    return f"{what}: record {record} was voided or withdrawn since, and does not count on {day.isoformat()} any more"


def fewer_words(category: str, stated: int, now: int) -> str | None:
    """Say that fewer minutes of a category count than a certificate states, or nothing where they do not."""
    if now >= stated:
        return None
    left = _hours_and_minutes(now) or "none"
    return f"{category} hours: {_hours_and_minutes(stated)} stated, {left} by what is known now"
