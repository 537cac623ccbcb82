"""What a roster would change: who is new, who differs, who is here and not in it; nothing is taken away; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from mentor_training.csv_form import CODE, Cells
from mentor_training.people.permissions import COURSE_INSTRUCTOR, VOLUNTEER
from mentor_training.people.roster import Row
from mentor_training.roster.reading import Roster

ROLES = {"student": VOLUNTEER, "teacher": COURSE_INSTRUCTOR}


@dataclass(frozen=True)
class Change:
    """One person as the roster would have them; `before` is None for somebody new. `words` say what differs."""

    row: Row
    before: Row | None
    words: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """What a roster would do: changes, how many people are as they are, and what stays although the roster lacks it.

    `users` gives the sourcedId of each person's user.
    """

    changes: tuple[Change, ...]
    same: int
    stays: tuple[str, ...]
    passed_over: tuple[str, ...]
    users: Mapping[str, str]


def section_of(roster: Roster, class_id: str, sections: Collection[str]) -> str:
    """Return which section of the program a class is: by its classCode or its sourcedId; nothing for none."""
    row = roster.of("classes")[class_id]
    return next((code for code in (row.text("classCode"), class_id) if code in sections), "")


def compare(roster: Roster, people: Iterable[Row], sections: Collection[str]) -> Comparison:
    """Hold a roster without findings against the people there are.

    A user is the person with the same e-mail address, else the one whose code is the user's identifier or sourcedId;
    else somebody new, by that code. Students become volunteers and teachers course instructors of the class's section.
    Roles and sections are only added; a name or an address that differs is brought up to date. Rules of this program.
    """
    known = {row.person: row for row in people}
    by_email = {row.email: row for row in known.values()}
    wanted, passed_over = _enrolled(roster, sections)
    changes: list[Change] = []
    users: dict[str, str] = {}
    taken: set[str] = set()
    for user_id, (roles, of_sections) in wanted.items():
        user = roster.of("users")[user_id]
        email = user.text("email").lower()
        code = next((one for one in (user.text("identifier"), user_id) if CODE.fullmatch(one)), "")
        before = by_email.get(email) or known.get(user.text("identifier")) or known.get(user_id)
        if before is None and not code:
            roster.find("users", user.number, "sourcedId", f"{user_id!r} is no code", "add an identifier such as v-014")
            continue
        row = _row(before, code, _name(user.cells), email, roles, of_sections)
        if email in taken:
            roster.find("users", user.number, "email", f"two users with the address {email}", "keep one of them")
        taken.add(email)
        if row.person in users.values():
            roster.find("users", user.number, "sourcedId", f"two users are {row.person}", "keep one of them")
        users[user_id] = row.person
        changes.append(Change(row, before, _differs(before, row)))
    here = {code for one in wanted.values() for code in one[1]}
    stays = tuple(
        f"{row.name} ({row.person}) is in section {code} and not in the roster; they stay in it"
        for row in known.values()
        for code in row.sections
        if code in here and VOLUNTEER in row.roles and not _has(users, wanted, row.person, code)
    )
    changed = tuple(one for one in changes if one.words)
    backwards = {person: user for user, person in users.items()}
    return Comparison(changed, len(changes) - len(changed), stays, passed_over, backwards)


def _has(users: Mapping[str, str], wanted: Mapping[str, tuple[list[str], list[str]]], person: str, code: str) -> bool:
    return any(found == person and code in wanted[user][1] for user, found in users.items())


def _enrolled(
    roster: Roster, sections: Collection[str]
) -> tuple[dict[str, tuple[list[str], list[str]]], tuple[str, ...]]:
    """Return the roles and sections of each enrolled user, and what is passed over with the reason."""
    wanted: dict[str, tuple[list[str], list[str]]] = {}
    passed: dict[str, None] = {}
    for row in roster.of("enrollments").values():
        class_id, user_id, role = row.text("classSourcedId"), row.text("userSourcedId"), row.text("role")
        section = section_of(roster, class_id, sections)
        if gone := _marked_gone(roster, row, user_id):
            passed[f"user {user_id}: {gone} to be deleted; nobody is taken away here"] = None
        elif not section:
            passed[f"class {class_id}: no course of the program has a section of that code"] = None
        elif role not in ROLES:
            passed[f"user {user_id}: enrolled as {role}, which is nobody here"] = None
        elif roster.of("users")[user_id].text("enabledUser") == "false":
            passed[f"user {user_id}: not enabled"] = None
        else:
            roles, of_sections = wanted.setdefault(user_id, ([], []))
            roles += [ROLES[role]] if ROLES[role] not in roles else []
            of_sections += [section] if section not in of_sections else []
    return wanted, tuple(passed)


def _marked_gone(roster: Roster, enrollment: Cells, user_id: str) -> str:
    """Say which row of a student the registrar marked as to be deleted; from memory, and in a whole set not usual."""
    marked = (("the enrollment is marked", enrollment), ("the user is marked", roster.of("users")[user_id]))
    return next((said for said, row in marked if row.cells.get("status", "").strip().lower() == "tobedeleted"), "")


def _name(user: Mapping[str, str]) -> str:
    """Return how somebody is called: the preferred name where the registrar has one."""
    given = user["preferredGivenName"].strip() or user["givenName"].strip()
    return f"{given} {user['preferredFamilyName'].strip() or user['familyName'].strip()}"


def _row(before: Row | None, code: str, name: str, email: str, roles: list[str], sections: list[str]) -> Row:
    if before is None:
        return Row(code, name, email, tuple(roles), tuple(sections))
    more = tuple(one for one in roles if one not in before.roles)
    others = tuple(one for one in sections if one not in before.sections)
    return replace(
        before, name=name, email=email, roles=(*before.roles, *more), sections=(*before.sections, *others)
    )  # fmt: skip


def _differs(before: Row | None, after: Row) -> tuple[str, ...]:
    if before is None:
        return (f"new: {after.name}, {after.email}, {' '.join(after.roles)} of {' '.join(after.sections)}",)
    both = (
        ("name", before.name, after.name), ("e-mail", before.email, after.email),
        ("roles", " ".join(before.roles), " ".join(after.roles)),
        ("sections", " ".join(before.sections), " ".join(after.sections)),
    )  # fmt: skip
    return tuple(f"{what}: {old or 'none'} becomes {new}" for what, old, new in both if old != new)
