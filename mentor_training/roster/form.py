"""The files of a roster by OneRoster 1.2 CSV: which columns they have and what these may hold; pure.

1EdTech OneRoster 1.2, CSV binding (final 19 Sep 2022, 1.2.1 of 22 Aug 2023). The columns of what comes in follow an
open reader and writer of that binding, not the official page itself. From memory, and to be held against the official
page before anybody relies on it: the columns of lineItems.csv, results.csv and categories.csv (`RESULT_FILES`), the
whole list of file names in a manifest (`ALL_FILES`), that status and dateLastModified stay empty in a bulk file, and
that `tobedeleted` is the status of a row that the registrar takes back.
"""

from __future__ import annotations

from dataclasses import dataclass

HEAD = ("sourcedId", "status", "dateLastModified")
NEEDED, FREE, DAY, ADDRESS, YES_OR_NO = "needed", "free", "day", "address", "true-or-false"


@dataclass(frozen=True)
class Column:
    """A column that is looked at: what kind of cell, which words it may hold, which file it points into."""

    name: str
    kind: str = NEEDED
    words: tuple[str, ...] = ()
    into: str = ""
    many: bool = False
    optional: bool = False


def _into(name: str, file: str, many: bool = False, optional: bool = False) -> Column:
    return Column(name, NEEDED, (), file, many, optional)


FILES: dict[str, tuple[Column, ...]] = {
    "orgs": (
        Column("name"),
        Column("type", words=("department", "school", "district", "local", "state", "national")),
    ),
    "academicSessions": (
        Column("title"),
        Column("type", words=("gradingPeriod", "semester", "schoolYear", "term")),
        Column("startDate", DAY),
        Column("endDate", DAY),
        Column("schoolYear"),
    ),
    "courses": (Column("title"), _into("orgSourcedId", "orgs")),
    "classes": (
        Column("title"),
        _into("courseSourcedId", "courses"),
        Column("classCode", FREE, optional=True),
        Column("classType", words=("homeroom", "scheduled")),
        _into("schoolSourcedId", "orgs"),
        _into("termSourcedIds", "academicSessions", many=True),
    ),
    "users": (
        Column("enabledUser", YES_OR_NO),
        Column("username"),
        Column("givenName"),
        Column("familyName"),
        Column("identifier", FREE, optional=True),
        Column("email", ADDRESS),
        Column("preferredGivenName", FREE, optional=True),
        Column("preferredFamilyName", FREE, optional=True),
    ),
    "roles": (
        _into("userSourcedId", "users"),
        Column("roleType", words=("primary", "secondary")),
        Column("role"),
        _into("orgSourcedId", "orgs"),
    ),
    "enrollments": (
        _into("classSourcedId", "classes"),
        _into("schoolSourcedId", "orgs"),
        _into("userSourcedId", "users"),
        Column("role", words=("student", "teacher", "proctor", "administrator")),
    ),
}
# These two may be left out; where they are there, they are looked through like the others.
MAY_BE_ABSENT = ("courses", "roles")
MANIFEST = ("propertyName", "value")

# What goes out; from memory, see above.
RESULT_FILES: dict[str, tuple[str, ...]] = {
    "categories": (*HEAD, "title", "weight"),
    "lineItems": (
        *HEAD, "title", "description", "assignDate", "dueDate", "classSourcedId", "categorySourcedId",
        "gradingPeriodSourcedId", "resultValueMin", "resultValueMax", "schoolSourcedId",
    ),
    "results": (
        *HEAD, "lineItemSourcedId", "studentSourcedId", "scoreStatus", "score", "scoreDate", "comment",
    ),
}  # fmt: skip
ALL_FILES = (
    "academicSessions", "categories", "classes", "classResources", "courses", "courseResources", "demographics",
    "enrollments", "lineItemLearningObjectiveIds", "lineItems", "lineItemScoreScales", "orgs", "resources",
    "resultLearningObjectiveIds", "results", "resultScoreScales", "roles", "scoreScales", "userProfiles",
    "userResources", "users",
)  # fmt: skip
