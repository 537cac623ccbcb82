"""Participants and cards on the command line."""

from __future__ import annotations

from pathlib import Path

import click

from mentor_training.console import read_text, stop_on
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.journal.queries import is_moving_in
from mentor_training.participants import actions, card_file, queries, roster
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import people

FILE = click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))


@click.group()
def participants() -> None:
    """Take participants in, write them out."""


@participants.command("import")
@FILE
@click.pass_obj
def import_participants(instance: Instance, file: Path) -> None:
    """Take participants.csv in: whole, or not at all. Import people and publish the program first."""
    with instance.database.writing() as db:
        now = instance.now()
        codes = [person.code for person in people(db)]
        rows, problems = roster.read_participants(read_text(file), queries.known_needs(db, now), codes)
        stop_on(file, problems)
        changed = actions.import_participants(db, now, CONSOLE, rows, instance.today(), is_moving_in(db))
    click.echo(f"{len(rows)} rows read, {changed} of them new or changed")


@participants.command("export")
@click.pass_obj
def export_participants(instance: Instance) -> None:
    """Write participants.csv to standard output: what holds today. That it was written out is journaled."""
    rows = []
    with instance.database.writing() as db:
        actions.note_export(db, instance.now(), CONSOLE, "export of needs")
        for row in queries.participants(db):
            profile = queries.profile_in_force(db, row.code, instance.today(), instance.now())
            if profile:
                lists = (";".join(words) for words in (profile.needs, profile.keep_apart, profile.wishes))
                rows.append((row.code, row.first_name, profile.adaptation_level, *lists))
    click.echo(write_rows(roster.COLUMNS, rows), nl=False)


@click.group()
def cards() -> None:
    """Take participants' cards in, write them out."""


@cards.command("import")
@FILE
@click.pass_obj
def import_cards(instance: Instance, file: Path) -> None:
    """Take cards.csv in: whole, or not at all. A version that is there already never changes."""
    with instance.database.writing() as db:
        now = instance.now()
        found, problems = card_file.read_cards(read_text(file), queries.first_names(db), queries.cards_known(db, now))
        stop_on(file, problems)
        new = actions.import_cards(db, now, CONSOLE, found, is_moving_in(db))
    click.echo(f"{len(found)} rows read, {new} card versions new")


@cards.command("export")
@click.pass_obj
def export_cards(instance: Instance) -> None:
    """Write cards.csv to standard output: every version. That it was written out is journaled."""
    with instance.database.writing() as db:
        actions.note_export(db, instance.now(), CONSOLE, "export of cards")
        found = queries.cards_known(db, instance.now())
    rows = [(card.participant, card.version, card.first_day, card.review_by, card.text) for card in found]
    click.echo(write_rows(card_file.COLUMNS, rows), nl=False)
