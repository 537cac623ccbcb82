"""Hours on the command line."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from mentor_training.console import DAY, as_of_options, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.errors import NotFound, Refused
from mentor_training.hours import queries
from mentor_training.hours.checking import MOST_TOLD
from mentor_training.hours.exports import write_statement
from mentor_training.hours.rules import in_hours
from mentor_training.hours.stated import sums_in
from mentor_training.hours.stating import make_statement
from mentor_training.hours.verifying import check_file
from mentor_training.people.permissions import CONSOLE

OUTPUT = click.option(
    "--output", required=True, type=click.Path(file_okay=False, path_type=Path), help="The folder for the files."
)


@click.group()
def hours() -> None:
    """Show the hours of a section, state them, write a statement again."""


@hours.command()
@click.argument("section")
@click.option("--through", type=DAY, default=None, help="The last day to take in; default: today.")
@click.option("--if-all-approved", is_flag=True, help="Make it only if nothing waits for approval.")
@OUTPUT
@click.pass_obj
def statement(instance: Instance, section: str, through: date | None, if_all_approved: bool, output: Path) -> None:
    """State SECTION's approved hours under a number, freeze them, and write CSV, XLSX and PDF.

    What waits for approval is not on it, and is said; once it is approved, it comes on the next one.
    """
    day, zone = through or instance.today(), instance.settings.zone
    with instance.database.writing() as db:
        ready = queries.to_state(db, section, day, instance.now(), zone)
        if ready.waiting and if_all_approved:
            raise Refused(f"{_waiting(ready, day)}. Approve them first, or leave --if-all-approved out.")
        number = make_statement(db, instance.now(), CONSOLE, section, day, zone, instance.settings.title).number
    if ready.waiting:
        click.echo(f"{_waiting(ready, day)}; approved later, they come on the next one", err=True)
    _write(instance, number, output)


def _waiting(ready: queries.ToState, day: date) -> str:
    many = "1 entry waits" if ready.waiting == 1 else f"{ready.waiting} entries wait"
    return f"Through {day} {many} for approval and would not be on it: {ready.who_waits}"


@hours.command()
@click.argument("number")
@OUTPUT
@click.pass_obj
def export(instance: Instance, number: str, output: Path) -> None:
    """Write statement NUMBER as CSV, XLSX and PDF once more, the same as before."""
    _write(instance, number, output)


@hours.command()
@click.argument("section")
@as_of_options
@format_option
@click.pass_obj
def show(instance: Instance, section: str, on: date | None, known_at: datetime | None, form: str) -> None:
    """Show what each volunteer of SECTION has by category: approved, waiting, over a cap, still missing."""
    day, moment = on or instance.today(), known_at or instance.now()
    with instance.database.reading() as db:
        logs = queries.logs_of_section(db, section, day, moment)
    if not logs:
        raise NotFound(f"volunteer in section {section}")
    columns = ("volunteer", "category", "required", "approved", "waiting", "over_a_cap", "missing")
    rows = [
        (log.person, one.category, one.required, one.approved, one.waiting, one.over, one.missing)
        for log in logs
        for one in log.sums
    ]
    if form == "json":
        volunteers = [dict(zip(columns, row, strict=True)) for row in rows]
        show_json({"on": day.isoformat(), "known_at": utc_text(moment), "section": section, "minutes": volunteers})
    elif form == "csv":
        show_table(form, columns, rows)
    else:
        click.echo(f"Minutes of section {section} through {day}, by volunteer and category")
        show_table(form, [column.replace("_", " ") for column in columns], rows)


def _write(instance: Instance, number: str, output: Path) -> None:
    settings = instance.settings
    with instance.database.reading() as db:
        row = queries.statement_for(db, CONSOLE, number)
        _tell(row.number, row.body)
        for path in write_statement(db, row, output, settings.title, settings.zone, settings.paper):
            click.echo(path)


def _tell(number: str, body: str) -> None:
    sums = sums_in(body)
    for category in dict.fromkeys(one.category for one in sums):
        of_it = [one for one in sums if one.category == category]
        minutes, stated = sum(one.minutes for one in of_it), sum(one.stated for one in of_it)
        click.echo(f"{number}  {category}  {minutes} min  {in_hours(minutes)} h  stated {stated} h")


@click.group()
def statements() -> None:
    """Check a statement that came back from somewhere."""


@statements.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def verify(instance: Instance, file: Path) -> None:
    """Hold FILE, a statement's CSV, XLSX or PDF, against what was frozen, and name all that does not match."""
    settings = instance.settings
    with instance.database.reading() as db:
        found = check_file(db, file.read_bytes(), settings.title, settings.zone)
    for difference in found.differences[:MOST_TOLD]:
        click.echo(f"{file}: {difference}")
    if len(found.differences) > MOST_TOLD:
        click.echo(f"{file}: and {len(found.differences) - MOST_TOLD} differences more")
    if found.differences:
        raise click.exceptions.Exit(1)
    anew = f"in every {found.part}; the file was saved anew, so its bytes are others"
    how = "to the byte" if found.same_bytes else anew
    click.echo(f"{found.number}, {found.what}: it matches {how}{found.note}")
