"""What the demo says when it has been told: who is cleared, who has no mentor and why, hours, and papers made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.certificates.pdf import certificate_pdf, verification_address
from mentor_training.certificates.tables import Certificate
from mentor_training.clearance.queries import gate_at
from mentor_training.database.instance import Instance
from mentor_training.demo.stage import DEMO_DAY
from mentor_training.errors import PdfUnavailable
from mentor_training.hours.exports import write_statement
from mentor_training.hours.queries import logs_of_section
from mentor_training.hours.rules import in_hours
from mentor_training.hours.tables import Statement
from mentor_training.people.queries import volunteers
from mentor_training.planning.queries.plan import gaps_of, plan_for
from mentor_training.program.catalog import Level
from mentor_training.web.display import show_day

SESSION, SECTION = "s-11", "KIN-372-A"
PAPERS_MADE = "papers-made"
SHOWN = ("direct", "training", "preparation", "orientation")


def summarize(instance: Instance, now: datetime) -> Iterator[str]:
    """Yield the lines of the summary, with everything in it asked of the instance as anybody else would ask."""
    with instance.database.reading() as db:
        yield from who_is_cleared(db, now)
        yield ""
        yield from who_has_no_mentor(db, now)
        yield ""
        yield from hours_of_section(db, now)
        yield ""
        yield from papers_made(instance, db)


def who_is_cleared(db: Session, now: datetime) -> Iterator[str]:
    """Yield, for each station and duty, how many volunteers have which level on the demo day."""
    gate, everybody = gate_at(db, now), volunteers(db)
    gate.load_everybody()
    edition = gate.edition(DEMO_DAY)
    yield f"Clearance on {show_day(DEMO_DAY)}, {len(everybody)} volunteers, edition {edition.number} of the program"
    yield f"  {'':<36}{'not yet':>9}{'supervised':>12}{'independent':>13}{'lead':>6}"
    for station in edition.program.stations.values():
        levels = Counter(gate.decide(one.code, station.slug, None, DEMO_DAY).level for one in everybody)
        counts = [levels[level] if level <= station.ladder.top else "-" for level in Level]
        title = f"duty: {station.title}" if station.is_duty else station.title
        yield f"  {title:<36.36}{counts[0]:>9}{counts[1]:>12}{counts[2]:>13}{counts[3]:>6}"


def who_has_no_mentor(db: Session, now: datetime) -> Iterator[str]:
    """Yield one participant whom the plan of the demo day leaves without a mentor, and why."""
    plan = plan_for(db, SESSION, now)
    plan.gate.load_everybody()
    found = gaps_of(plan)
    if not found:
        yield f"Nobody is without a mentor in session {SESSION}"
        return
    often = Counter(gap.participant for gap in found)
    one = max(found, key=lambda gap: (often[gap.participant], -gap.block))
    blocks = ", ".join(str(gap.block) for gap in found if gap.participant == one.participant)
    name = plan.floor.call(one.participant)
    yield f"Without a mentor in session {SESSION}: {name} ({one.participant}), blocks {blocks}"
    yield f"  {one.because}"
    for near in one.nearest:
        lacks = "; ".join(near.lacks)
        yield f"  nearest: {plan.floor.call(near.mentor)} at {plan.floor.title(near.station)}, who lacks: {lacks}"


def hours_of_section(db: Session, now: datetime) -> Iterator[str]:
    """Yield what each volunteer of the section has approved by category, and what waits."""
    logs = logs_of_section(db, SECTION, DEMO_DAY, now)
    yield f"Hours of section {SECTION}, approved through {show_day(DEMO_DAY)}"
    yield "  " + f"{'':<30}" + "".join(f"{name:>13}" for name in SHOWN) + f"{'waiting':>10}"
    for log in logs:
        approved = "".join(f"{in_hours(log.sum_of(name).approved):>13}" for name in SHOWN)
        waiting = in_hours(sum(log.sum_of(name).waiting for name in SHOWN))
        yield f"  {log.person:<7}{log.name:<23.22}{approved}{waiting:>10}"
    sums = "".join(f"{in_hours(sum(log.sum_of(name).approved for log in logs)):>13}" for name in SHOWN)
    waiting = in_hours(sum(log.sum_of(name).waiting for log in logs for name in SHOWN))
    yield f"  {'all together':<30}{sums}{waiting:>10}"


def papers_made(instance: Instance, db: Session) -> Iterator[str]:
    """Write the statement and the certificate of the story and yield where they lie; without Pango, what to install."""
    settings, folder = instance.settings, instance.settings.folder / PAPERS_MADE
    statement = db.scalars(select(Statement).order_by(Statement.number)).first()
    certificate = db.scalars(select(Certificate).order_by(Certificate.number)).first()
    yield "Made:"
    if statement is not None:
        try:
            for path in write_statement(db, statement, folder, settings.title, settings.zone, settings.paper):
                yield f"  statement {statement.number}: {_shown(path)}"
        except PdfUnavailable as lacking:
            yield f"  statement {statement.number} as PDF: {lacking}"
    if certificate is not None:
        yield from _certificate_made(instance, db, certificate, folder)


def _certificate_made(instance: Instance, db: Session, row: Certificate, folder: Path) -> Iterator[str]:
    path, site = folder / f"{row.number}.pdf", instance.settings.address
    try:
        made = certificate_pdf(db, row, site)
    except PdfUnavailable as lacking:
        yield f"  certificate {row.number} as PDF: {lacking}"
    else:
        path.write_bytes(made)
        yield f"  certificate {row.number}: {_shown(path)}"
    yield f"  anybody checks it at {verification_address(site, row)}"


def _shown(path: Path) -> str:
    here = Path.cwd()
    return str(path.relative_to(here) if path.is_relative_to(here) else path)
