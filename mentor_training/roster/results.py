"""Results as OneRoster 1.2 CSV: what is counted, and what each student has of it; pure.

The columns of these files are from memory (see `form`): hold them against the official page before relying on them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from mentor_training.csv_form import write_rows
from mentor_training.hours.rules import in_hours
from mentor_training.hours.stated import StatedSum
from mentor_training.roster.form import ALL_FILES, MANIFEST, RESULT_FILES
from mentor_training.roster.reading import Roster

GRADED, NOT_YET = "fully graded", "not submitted"
Cells = tuple[object, ...]


@dataclass(frozen=True)
class Standing:
    """What a student has: stated sums of hours, and the day of each module completed, by its slug."""

    user: str
    hours: Sequence[StatedSum]
    completed: Mapping[str, str]


@dataclass(frozen=True)
class Results:
    """What results are made of: minutes required by category, titles of modules by slug, students, the day."""

    required: Mapping[str, int]
    modules: Mapping[str, str]
    students: Sequence[Standing]
    day: date


def write_results(roster: Roster, class_id: str, results: Results) -> dict[str, str]:
    """Return manifest, categories, lineItems and results, by name: a line for each category and module."""
    items = dict(_line_items(roster, class_id, results))
    rows = [row for student in results.students for row in _results(class_id, student, results, items)]
    categories = [("hours", "", "", "Hours", ""), ("modules", "", "", "Modules", "")]
    return {
        "manifest": write_rows(MANIFEST, _manifest()),
        "categories": write_rows(RESULT_FILES["categories"], categories),
        "lineItems": write_rows(RESULT_FILES["lineItems"], items.values()),
        "results": write_rows(RESULT_FILES["results"], rows),
    }


def _manifest() -> Iterator[Cells]:
    yield "manifest.version", "1.0"
    yield "oneroster.version", "1.2"
    for name in ALL_FILES:
        yield f"file.{name}", "bulk" if name in RESULT_FILES else "absent"
    yield "source.systemName", "mentor-training"
    yield "source.systemCode", "mentor-training"


def _line_items(roster: Roster, class_id: str, results: Results) -> Iterator[tuple[str, Cells]]:
    row = roster.of("classes")[class_id]
    terms = [code.strip() for code in row.text("termSourcedIds").split(",") if code.strip()]
    first = min(roster.of("academicSessions")[code].text("startDate") for code in terms)
    last = max(roster.of("academicSessions")[code].text("endDate") for code in terms)

    def item(kind: str, name: str, title: str, about: str, most: object) -> tuple[str, Cells]:
        code, school = f"{class_id}-{kind}-{name}", row.text("schoolSourcedId")
        return f"{kind}/{name}", (code, "", "", title, about, first, last, class_id, kind, terms[0], 0, most, school)

    for category, minutes in results.required.items():
        yield item("hours", category, f"Hours stated, {category}", "Of hours required", in_hours(minutes))
    for slug, title in results.modules.items():
        yield item("modules", slug, title, "1 once completed", 1)


def _results(class_id: str, student: Standing, results: Results, items: Iterable[str]) -> Iterator[Cells]:
    for name in items:
        kind, _, about = name.partition("/")
        score, day = _hours(student, about, results) if kind == "hours" else _module(student, about)
        status = GRADED if day else NOT_YET
        code = f"{class_id}-{kind}-{about}-{student.user}"
        # A score needs a date; where there is none yet, the day says when it was looked at.
        yield (
            code,
            "",
            "",
            f"{class_id}-{kind}-{about}",
            student.user,
            status,
            score,
            day or results.day.isoformat(),
            "",
        )


def _hours(student: Standing, category: str, results: Results) -> tuple[object, str]:
    mine = [one.stated for one in student.hours if one.category == category]
    return (sum(mine, Decimal("0.00")), results.day.isoformat()) if mine else ("", "")


def _module(student: Standing, slug: str) -> tuple[object, str]:
    day = student.completed.get(slug, "")
    return (1 if day else ""), day
