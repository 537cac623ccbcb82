"""How quiz items do, for course instructors: all quizzes, one of them with its picture, and the same as CSV."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

from flask import Response, render_template, request, url_for

from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.learning.exports import COLUMNS, report_as_rows
from mentor_training.learning.pages.blueprint import as_of, known_then, pages
from mentor_training.learning.pictures import FOR_A_DESK, FOR_A_PHONE, Point, describe, draw_items
from mentor_training.learning.questions import Bank, BankReport, Item, bank_for, banks, report
from mentor_training.learning.rules.items import LookAt
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import known_editions
from mentor_training.web.charts import BY_DAY, BY_NIGHT


@pages.get("/items")
@guarded(Act.SEE_ITEMS)
def items() -> str:
    """Show every quiz with the number of its items that are to be looked at."""
    editions = _editions()
    reports = [report(db(), me(), bank, editions, _until(), _all_attempts()) for bank in _banks(editions)]
    return render_template("learning/items.html", reports=reports, all_attempts=_all_attempts(), address=_address)


@pages.get("/items/<quiz>")
@guarded(Act.SEE_ITEMS)
def items_of_quiz(quiz: str) -> str:
    """Show how each item of a quiz did, what is to be looked at, and what was chosen."""
    found, editions = _report(quiz), _editions()
    points = _points(found)
    return render_template(
        "learning/items_of_quiz.html",
        report=found,
        others=[bank for bank in _banks(editions) if bank.quiz == quiz and bank.edition != found.bank.edition],
        points=points,
        description=describe(points, len(found.items) - len(points)),
        section_of={item.scenario.slug: _section(found.bank, item) for item in found.items},
        address=_address,
    )


@pages.get("/items/<quiz>/items.csv")
@guarded(Act.SEE_ITEMS)
def items_csv(quiz: str) -> Response:
    """Give the items of a quiz as CSV, safe to open in a spreadsheet."""
    found = _report(quiz)
    text = write_for_spreadsheets(COLUMNS, report_as_rows(found, empty=""))
    name = f"items-{found.bank.quiz}-{found.bank.edition}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, content_type="text/csv; charset=utf-8", headers=headers)


@pages.get("/items/<quiz>/picture.svg")
@guarded(Act.SEE_ITEMS)
def items_picture(quiz: str) -> Response:
    """Give the picture of difficulty against discrimination, by day or by night, for a desk or a phone."""
    found = _report(quiz)
    points = _points(found)
    colors = BY_NIGHT if request.args.get("night") else BY_DAY
    inches = FOR_A_PHONE if request.args.get("phone") else FOR_A_DESK
    svg = draw_items(points, len(found.items) - len(points), colors, inches)
    return Response(svg, content_type="image/svg+xml")


def _all_attempts() -> bool:
    return request.args.get("attempts") == "all"


def _until() -> datetime:
    """Return the moment up to which attempts count: the end of the day looked at, as far as it is known."""
    zone = instance().settings.zone
    day_ends = datetime.combine(as_of().day + timedelta(days=1), time(), zone) - timedelta(microseconds=1)
    return min(as_of().known_at or now(), day_ends)


def _editions() -> tuple[PublishedProgram, ...]:
    return known_editions(db(), as_of().known_at or now())


def _banks(editions: tuple[PublishedProgram, ...]) -> tuple[Bank, ...]:
    return banks(db(), me(), editions, _until())


def _report(quiz: str) -> BankReport:
    editions = _editions()
    bank = bank_for(_banks(editions), quiz, request.args.get("edition", type=int))
    return report(db(), me(), bank, editions, _until(), _all_attempts())


def _address(endpoint: str, bank: Bank, **more: Any) -> str:
    """Return the address of a page about items that looks at the same attempts."""
    if _all_attempts():
        more["attempts"] = "all"
    return url_for(f"learning.{endpoint}", quiz=bank.quiz, edition=bank.edition, **more)


def _points(found: BankReport) -> list[Point]:
    """Return the items that can be drawn; the others have no discrimination."""
    return [
        Point(number, float(its.difficulty), float(its.discrimination), LookAt.MODULE in item.look_at)
        for number, item in enumerate(found.items, 1)
        if (its := item.figures).difficulty is not None and its.discrimination is not None
    ]


def _section(bank: Bank, item: Item) -> tuple[str, str, str] | None:
    """Return the module, the section to look at, and its title, where the program in force still has it."""
    module = known_then().program.modules.get(bank.wording.module)
    sections = module.sections if module else ()
    again = next((one for one in sections if one.slug == item.scenario.read_again), None)
    return (bank.wording.module, again.slug, again.title) if again else None
