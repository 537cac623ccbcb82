"""Publishing an edition, and before it: who would gain and who would lose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import click

from mentor_training.clearance.commands.answers import WORDS
from mentor_training.clearance.comparison import Change, PairChanges
from mentor_training.clearance.need_changes import NeedChange
from mentor_training.clearance.queries import compare_files, compare_pairs
from mentor_training.clearance.questions import needs_compared
from mentor_training.console import DAY, format_option, show_json, show_table
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.program import actions
from mentor_training.program.catalog import Module, Program
from mentor_training.program.differences import UNRAISED, unraised
from mentor_training.program.editions import file_changes
from mentor_training.program.files import FilesOnDisk, files_on_disk
from mentor_training.program.queries import as_published, files_of, latest_edition


@click.command()
@click.option("--effective", type=DAY, required=True, help="The day the edition would take effect.")
@format_option
@click.pass_obj
def compare(instance: Instance, effective: date, form: str) -> None:
    """Say who would gain and who would lose, and on which day, if the program's files took effect on a day."""
    found = sound_files(instance, aside=form != "table")
    compared, needs = _changes(instance, found, effective), _need_changes(instance, found, effective)
    pairs = _pair_changes(instance, found, effective)
    if form == "json":
        changes, for_needs = [_as_json(one) for one in compared], [_need_as_json(one) for one in needs]
        of_pairs = [{"person": one.person, "gained": one.gained, "lost": one.lost} for one in pairs]
        show_json({"effective": effective.isoformat(), "changes": changes, "needs": for_needs, "pairs": of_pairs})
        return
    rows = [("station", one.person, one.station, one.day, WORDS[one.before], WORDS[one.after]) for one in compared]
    rows += [("need", one.person, one.need, one.day, WORDS[one.before], WORDS[one.after]) for one in needs]
    show_table(form, ("kind", "person", "what", "day", "without it", "with it"), rows)
    if form == "table":
        for line in _summaries(compared, needs, pairs):
            click.echo(line)


@click.command()
@click.option("--effective", type=DAY, required=True, help="The day the edition takes effect.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def publish(instance: Instance, effective: date, yes: bool) -> None:
    """Publish the program's files as the next edition; a published edition never changes.

    Shows first which files change, and who would gain and who would lose.
    """
    found = sound_files(instance)
    for line in _announcement(instance, found, effective):
        click.echo(line)
    if not yes:
        click.confirm("Publish it?", abort=True)
    with instance.database.writing() as db:
        edition = actions.publish(db, instance.now(), CONSOLE, instance.today(), found.files, effective)
        click.echo(f"edition {edition.number} is published; it takes effect on {effective.isoformat()}")


def sound_files(instance: Instance, aside: bool = False) -> FilesOnDisk:
    """Return the program's files, or show every finding and stop with status 1 where there is a fault.

    `aside` shows them on standard error, where the answer is for a program to read.
    """
    found = files_on_disk(instance.settings)
    for line in found.lines:
        click.echo(line, err=aside)
    if found.faults:
        click.echo(f"nothing is published: {found.summary}", err=True)
        raise click.exceptions.Exit(1)
    return found


def _changes(instance: Instance, found: FilesOnDisk, effective: date) -> list[Change]:
    program: Program | None = found.program
    if program is None:
        return []
    with instance.database.reading() as db:
        return compare_files(db, found.files, program, effective, instance.now())


def _need_changes(instance: Instance, found: FilesOnDisk, effective: date) -> tuple[NeedChange, ...]:
    if found.program is None:
        return ()
    with instance.database.reading() as db:
        return needs_compared(db, found.files, found.program, effective, instance.now())


def _pair_changes(instance: Instance, found: FilesOnDisk, effective: date) -> list[PairChanges]:
    if found.program is None:
        return []
    with instance.database.reading() as db:
        return compare_pairs(db, found.files, found.program, effective, instance.now())


def _announcement(instance: Instance, found: FilesOnDisk, effective: date) -> Iterator[str]:
    with instance.database.reading() as db:
        latest = latest_edition(db)
        before = files_of(db, latest.number) if latest else {}
    number = latest.number + 1 if latest else 1
    yield f"edition {number} would take effect on {effective.isoformat()}, with {len(found.files)} files"
    if latest is None:
        return
    changed = file_changes(before, found.files)
    for word in ("added", "changed", "removed"):
        for path in getattr(changed, word):
            yield f"  {word} since edition {latest.number}: {path}"
    for module in _unraised(instance, found):
        yield f"  the module {module.slug} says something else; {UNRAISED.format(module.edition)}"
    compared = _changes(instance, found, effective)
    for one in compared:
        verb = "gains" if one.gains else "loses"
        yield f"  {one.person} {verb} at {one.station} on {one.day}: {WORDS[one.before]} -> {WORDS[one.after]}"
    needs = _need_changes(instance, found, effective)
    for other in needs:
        verb = "gains" if other.gains else "loses"
        yield f"  {other.person} {verb} for {other.need} on {other.day}: {WORDS[other.before]} -> {WORDS[other.after]}"
    yield from _summaries(compared, needs, _pair_changes(instance, found, effective))


def _unraised(instance: Instance, found: FilesOnDisk) -> tuple[Module, ...]:
    with instance.database.reading() as db:
        latest = latest_edition(db)
        before = as_published(db, latest).program if latest else None
    return unraised(before, found.program) if before and found.program else ()


def _summaries(compared: Sequence[Change], needs: Sequence[NeedChange], pairs: Sequence[PairChanges]) -> Iterator[str]:
    yield _summary(compared)
    if needs:
        yield _summary(needs, "for some need")
    if pairs:
        gained, lost = sum(one.gained for one in pairs), sum(one.lost for one in pairs)
        yield f"counted by station and participant, {gained} pairings would be gained, {lost} would be lost"


def _summary(compared: Sequence[Change] | Sequence[NeedChange], where: str = "somewhere") -> str:
    gains = {one.person for one in compared if one.gains}
    losses = {one.person for one in compared if not one.gains}
    return f"{len(gains)} volunteers would gain {where}, {len(losses)} would lose {where}"


def _as_json(one: Change) -> dict[str, str | int]:
    return {
        "person": one.person,
        "station": one.station,
        "day": one.day.isoformat(),
        "before": int(one.before),
        "after": int(one.after),
    }


def _need_as_json(one: NeedChange) -> dict[str, str | int]:
    return {
        "person": one.person,
        "need": one.need,
        "day": one.day.isoformat(),
        "before": int(one.before),
        "after": int(one.after),
    }
