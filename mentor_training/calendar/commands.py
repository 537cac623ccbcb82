"""A series of sessions, a copy of one, and all of them as a calendar, on the command line."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date

import click
from sqlalchemy.orm import Session

from mentor_training.calendar.actions import store_new, store_series
from mentor_training.calendar.exports import Issuer, sessions_as_calendar
from mentor_training.calendar.queries import last_changes, refuse_too_early, session_for, sessions, terms
from mentor_training.calendar.recurrence import WEEKDAYS, Repeat, not_met, repeat_faults, without
from mentor_training.calendar.rules import SessionFact, day_in_words
from mentor_training.calendar.series import (
    SESSIONS,
    WEEKS,
    Naming,
    clashes,
    code_after,
    code_fault,
    naming_faults,
    seal_of,
    series_of,
    title_pattern,
)
from mentor_training.calendar.terms import holidays_of
from mentor_training.calendar.weekdays import misnamed_in_words, named_for
from mentor_training.console import DAY, show_table
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.people.permissions import CONSOLE


@click.command()
@click.option("--like", required=True, help="The session whose times, stations and people each of them has.")
@click.option(
    "--on", "weekdays", required=True, help=f"Days of the week, such as TU,SA; known are {','.join(WEEKDAYS)}."
)
@click.option("--from", "first", type=DAY, required=True, help="It begins on the first such day from here on.")
@click.option("--until", type=DAY, default=None, help="The last day on which there may be one; this or --count.")
@click.option("--count", type=int, default=None, help="How many; a day left out counts among them.")
@click.option("--every", type=int, default=1, show_default=True, help="Every so many weeks.")
@click.option("--leave-out", type=DAY, multiple=True, help="A holiday; as often as there are any.")
@click.option("--title", default=None, help="# stands for a number; default: that of --like, numbered on.")
@click.option("--number", type=click.IntRange(0, 100_000), default=None, help="The first number in the titles.")
@click.option("--counts", type=click.Choice([SESSIONS, WEEKS]), default=WEEKS, help="What the number counts.")
@click.option("--code", default=None, help="The first code; default: the next one that is free.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def series(
    instance: Instance, like: str, weekdays: str, first: date, until: date | None, count: int | None, every: int,
    leave_out: tuple[date, ...], title: str | None, number: int | None, counts: str, code: str | None, yes: bool,
) -> None:  # fmt: skip
    """Make many sessions from one: print them all, ask, and store them whole or not at all."""
    repeat = Repeat(first, read_weekdays(weekdays), until, count, every, frozenset(leave_out))
    with instance.database.reading() as db:
        repeat = repeat if repeat_faults(repeat) else without(repeat, holidays_of(terms(db)))
        pattern, naming = _named(db, like, title, number, counts, code)
        shown = _made(db, pattern, repeat, naming)
        refuse_too_early(db, (one.day for one in shown), instance.now())
        _show(db, repeat, shown)
    if not yes:
        click.confirm(f"Store these {len(shown)} sessions?", abort=True)
    with instance.database.writing() as db:
        found = _made(db, pattern, repeat, naming)
        if seal_of(found) != seal_of(shown):
            raise Refused("Codes were taken meanwhile; nothing was stored. Ask again, to see what it would be now.")
        store_series(db, instance.now(), CONSOLE, found, repeat)
    click.echo(f"{len(found)} sessions stored, {found[0].code} to {found[-1].code}")


def read_weekdays(text: str) -> tuple[int, ...]:
    """Read days of the week as RFC 5545 names them, joined by commas; 0 is Monday."""
    names = [one.strip().upper() for one in text.split(",")]
    unknown = [one for one in names if one not in WEEKDAYS]
    if unknown:
        raise click.UsageError(f"--on: {unknown[0]!r} is no day of the week; known are {', '.join(WEEKDAYS)}")
    return tuple(sorted({WEEKDAYS.index(one) for one in names}))


def _named(
    db: Session, like: str, title: str | None, number: int | None, counts: str, code: str | None
) -> tuple[SessionFact, Naming]:
    pattern = session_for(db, like)
    numbered, following = title_pattern(pattern.title)
    first_code = code or code_after([one.code for one in sessions(db)])
    number = number if number is not None else following if title is None else 1
    return pattern, Naming(first_code, title or numbered, number, counts)


def _made(db: Session, pattern: SessionFact, repeat: Repeat, naming: Naming) -> tuple[SessionFact, ...]:
    """Return the sessions, or refuse with everything that is wrong."""
    wrong = [one.what for one in repeat_faults(repeat)]
    wrong += [code_fault(naming.first_code)] if code_fault(naming.first_code) else []
    if not wrong:
        found = series_of(pattern, repeat, naming, [one.code for one in sessions(db)])
        wrong += naming_faults(found)
    if wrong:
        raise Refused(*wrong)
    return found


def _show(db: Session, repeat: Repeat, found: tuple[SessionFact, ...]) -> None:
    rows = [(one.code, day_in_words(one.day), f"{one.starts:%H:%M}-{one.ends:%H:%M}", one.title) for one in found]
    show_table("table", ("session", "day", "time", "title"), rows)
    _warn_of_names(found, repeat.weekdays)
    for clash in clashes(found, sessions(db)):
        click.echo(f"{clash.session.code}: at the same time there is {clash.there.code} already, {clash.there.title}")
    for day in sorted(repeat.left_out.intersection(holidays_of(terms(db)))):
        click.echo(f"{day}: left out, a holiday of the term")
    for day in not_met(repeat):
        click.echo(f"{day}: there would have been no session anyway")


def _warn_of_names(found: Sequence[SessionFact], weekdays: Collection[int]) -> None:
    """Say that sessions are called after another day than theirs, and what would be right; asked about all the same."""
    words = misnamed_in_words(found)
    if words:
        click.echo(
            f"{words}; --title {named_for(found[0].title, weekdays)!r} would say its day (# stands for a number)"
        )


@click.command()
@click.argument("session")
@click.argument("day", type=DAY)
@click.option("--code", default=None, help="The copy's code; default: the next one that is free.")
@click.option("--title", default=None, help="The copy's title; default: that of SESSION, its weekday put right.")
@click.pass_obj
def copy(instance: Instance, session: str, day: date, code: str | None, title: str | None) -> None:
    """Store SESSION once more on DAY: its times, stations and people, and nobody placed."""
    with instance.database.writing() as db:
        found = session_for(db, session)
        new_code = code or code_after([one.code for one in sessions(db)])
        new = replace(found, code=new_code, title=title or named_for(found.title, [day.weekday()]), day=day)
        faults = naming_faults([new])
        if faults:
            raise Refused(*faults)
        refuse_too_early(db, [day], instance.now())
        store_new(db, instance.now(), CONSOLE, [new])
    click.echo(f"{new.code} stored, on {day}: {new.title}")


@click.command()
@click.pass_obj
def calendar(instance: Instance) -> None:
    """Write all sessions to standard output as a calendar file (RFC 5545)."""
    settings = instance.settings
    issuer = Issuer(settings.title, settings.address, settings.zone, settings.place)
    with instance.database.reading() as db:
        text = sessions_as_calendar(sessions(db), issuer, "sessions", "sessions/{}", last_changes(db))
    click.echo(text, nl=False)
