"""How far observers agree: on a calibration, with the key and with each other, and on what two saw on the floor."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Response, render_template

from mentor_training.calendar.queries import upcoming
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.observing.agreement.leniency import Leniency, leniency
from mentor_training.observing.agreement.marks import Mark, Marks, Unit, side_by_side
from mentor_training.observing.agreement.reading import COLUMNS
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.calibrations import (
    KEY,
    CalibrationSet,
    closed_marks,
    opened_for,
    progress_of,
    result_for,
    standings_on,
    unit_of,
)
from mentor_training.observing.queries.paired import paired_observers, sign_offs_since
from mentor_training.observing.rules.calibration import KeyMark, proposed_last_day
from mentor_training.observing.rules.paired import WANTED
from mentor_training.observing.rules.results import Marking
from mentor_training.people.access import db, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people, volunteers_answered_for
from mentor_training.program.queries import require_edition


@dataclass(frozen=True)
class Differing:
    """A criterion on which those who closed a set, and the key, do not all say the same."""

    performance: int
    text: str
    key: KeyMark
    marks: tuple[str, ...]


@pages.get("/calibrations/<int:number>")
@guarded(Act.SEE_AGREEMENT)
def calibration(number: int) -> str:
    """Show a calibration whole: its keys, who came to what, how far they agree, and where they differ."""
    found = opened_for(db(), me(), number)
    given = closed_marks(db(), found)
    marks = _without_not_seen(given)
    names = {row.code: row.name for row in people(db())}
    return render_template(
        "observing/calibration.html",
        found=found,
        names=names,
        observers=[(code, _left(found, code), result_for(db(), found, code)) for code in sorted(found.begun)],
        standings=standings_on(db(), number),
        last_day=proposed_last_day(today(), [one.day for one in upcoming(db(), today())]),
        agreement=_agreement(marks) if marks.observers else None,
        by_observer=leniency(marks),
        by_criterion=_by_criterion(found, leniency(marks, by_criterion=True)),
        differing=list(_differing(found, given)),
        closed=sorted(found.closed),
        critical=_critical(found),
        either=sum(len(one.accepted) > 1 for one in found.key),
    )


@pages.get("/calibrations/<int:number>/marks.csv")
@guarded(Act.SEE_AGREEMENT)
def calibration_marks_csv(number: int) -> Response:
    """Give all marks and the key in the form that the command `agreement` reads."""
    found = opened_for(db(), me(), number)
    rows = [(who, unit.performance, unit.criterion, mark) for (who, unit), mark in closed_marks(db(), found).items()]
    for one in found.staged:
        for mark in one.key:
            unit = unit_of(one, mark.spot.criterion)
            rows.append((KEY, unit.performance, unit.criterion, mark.accepted[0]))
    return _csv(write_for_spreadsheets(COLUMNS, rows), f"calibration-{number}-marks.csv")


@pages.get("/calibrations/<int:number>/agreement.csv")
@guarded(Act.SEE_AGREEMENT)
def calibration_agreement_csv(number: int) -> Response:
    """Give the coefficients as CSV, each with its interval."""
    from mentor_training.observing.agreement import wording
    from mentor_training.observing.agreement.figures import figures

    marks = _without_not_seen(closed_marks(db(), opened_for(db(), me(), number)))
    text = write_for_spreadsheets(wording.COLUMNS, wording.rows(marks, figures(marks), ""))
    return _csv(text, f"calibration-{number}-agreement.csv")


@pages.get("/calibrations/live")
@guarded(Act.SEE_AGREEMENT)
def paired() -> str:
    """Show how far observers marked alike what two of them saw live, and which sign-offs to go over."""
    program = require_edition(db(), today(), now()).program
    lines = paired_observers(db(), today(), now())
    answered_for = {row.code: row.name for row in volunteers_answered_for(db(), me())}
    again = [one for one in lines if one.paired.is_too_small(program.policy.agreement_share)]
    zone = instance().settings.zone
    return render_template(
        "observing/paired.html",
        lines=lines,
        again=again,
        sign_offs={
            one.person.code: sign_offs_since(db(), one.person.code, one.since, zone, answered_for) for one in again
        },
        volunteers=answered_for,
        names={row.code: row.name for row in people(db())},
        titles={slug: skill.title for slug, skill in program.skills.items()},
        least=program.policy.agreement_share,
        wanted=WANTED,
    )


def _left(found: CalibrationSet, observer: str) -> int:
    return len(progress_of(db(), found, observer).left)


def _without_not_seen(given: dict[tuple[str, Unit], Mark]) -> Marks:
    return side_by_side({where: mark for where, mark in given.items() if mark != Marking.NOT_SEEN})


def _agreement(marks: Marks) -> dict[str, object]:
    """Return every coefficient as a row, and what a reader should know of them."""
    # These need numpy, which takes a tenth of a second to import; no other page should pay for it.
    from mentor_training.observing.agreement import wording
    from mentor_training.observing.agreement.figures import figures

    found = figures(marks)
    return {"rows": wording.rows(marks, found, wording.NOT_DEFINED), "remarks": wording.remarks(marks, found)}


def _by_criterion(found: CalibrationSet, lines: tuple[Leniency, ...]) -> list[tuple[Leniency, str]]:
    texts = {
        f"{one.skill.slug}/{number}": f"{one.skill.title}, {number}: {criterion.text}"
        for one in found.staged
        for number, criterion in enumerate(one.skill.criteria, 1)
    }
    return [(line, texts[line.criterion or ""]) for line in lines]


def _differing(found: CalibrationSet, given: dict[tuple[str, Unit], Mark]) -> Iterator[Differing]:
    for one in found.staged:
        for mark in one.key:
            unit = unit_of(one, mark.spot.criterion)
            said = tuple(str(given[code, unit]) for code in sorted(found.closed))
            if not set(said) <= set(mark.accepted) or len(set(said)) > 1:
                yield Differing(one.row.place, one.skill.criteria[mark.spot.criterion - 1].text, mark, said)


def _critical(found: CalibrationSet) -> list[str]:
    """Return the critical criteria by the names that stand in the file of marks."""
    return sorted({
        unit_of(one, number).criterion
        for one in found.staged
        for number, criterion in enumerate(one.skill.criteria, 1)
        if criterion.critical
    })  # fmt: skip


def _csv(text: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, content_type="text/csv; charset=utf-8", headers=headers)
