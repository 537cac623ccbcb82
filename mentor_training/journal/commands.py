"""The journal on the command line: proving the chain, and reading it."""

from __future__ import annotations

from datetime import datetime

import click

from mentor_training.console import MOMENT, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.journal.queries import Wanted, page_of, prove_chain
from mentor_training.journal.tables import JournalEntry

COLUMNS = ("number", "moment", "who", "kind", "subject", "record", "previous", "hash")


@click.group()
def journal() -> None:
    """Prove the journal's chain, and read it."""


@journal.command()
@click.option("--head", "noted", default="", help="A head noted earlier, as on a statement: it must be in the chain.")
@click.pass_obj
def verify(instance: Instance, noted: str) -> None:
    """Prove the chain from its first entry to its last; print how many entries there are, and the head.

    Exit status 1 where it breaks, with the entry that does not follow, or where a noted head is not in it.
    """
    with instance.database.reading() as db:
        proof = prove_chain(db, noted.strip().lower())
    if proof.broken:
        click.echo(f"the chain breaks at entry {proof.broken.number}: {proof.broken.what}", err=True)
        click.echo(f"{proof.entries} entries before it hold, up to {proof.head}", err=True)
        raise click.exceptions.Exit(1)
    click.echo(f"the chain holds: {proof.entries} {'entry' if proof.entries == 1 else 'entries'}, head {proof.head}")
    if not proof.has_noted:
        click.echo(f"but no entry has the noted head {noted}: the journal was cut off or written anew since", err=True)
        raise click.exceptions.Exit(1)


@journal.command()
@click.option("--subject", default="", help="Only entries about this code.")
@click.option("--kind", default="", help="Only entries of this kind.")
@click.option("--most", type=click.IntRange(1, 1_000_000), default=50, help="At most so many; default: 50.")
@click.option("--known-at", type=MOMENT, default=None, help="Only what was recorded by then.")
@format_option
@click.pass_obj
def show(instance: Instance, subject: str, kind: str, most: int, known_at: datetime | None, form: str) -> None:
    """Print entries, newest first."""
    with instance.database.reading() as db:
        rows = page_of(db, Wanted(subject, kind, known_at), most=most).rows
    if form == "json":
        show_json([dict(zip(COLUMNS, cells_of(row), strict=True)) for row in rows])
    elif form == "csv":
        show_table(form, COLUMNS, [cells_of(row) for row in rows])
    else:
        show_table(form, COLUMNS[:6], [cells_of(row)[:6] for row in rows])


def cells_of(row: JournalEntry) -> tuple[int | str, ...]:
    """Return an entry as the documented columns; the record is the canonical JSON that was hashed, as it is stored."""
    return (
        row.number, utc_text(row.moment), row.who, row.kind, row.subject, row.record, row.previous, row.hash,
    )  # fmt: skip
