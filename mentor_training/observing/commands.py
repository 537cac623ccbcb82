"""How far observers agree, on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from mentor_training.console import format_option, read_text, show_json, show_table, stop_on
from mentor_training.observing.agreement.key import AgainstKey, against_key
from mentor_training.observing.agreement.marks import Marks
from mentor_training.observing.agreement.reading import read_marks


@click.command()
@click.option(
    "--marks", "file", required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A CSV with the columns observer, performance, criterion and mark; a row a mark.",
)  # fmt: skip
@click.option("--key", default=None, help="The observer in the file whose marks are the agreed key.")
@click.option("--critical", multiple=True, help="With --key: a critical criterion; may be given several times.")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Draws the bootstrap's samples.")
@format_option
def agreement(file: Path, key: str | None, critical: tuple[str, ...], seed: int, form: str) -> None:
    """Show how far observers agree who marked the same performances, with intervals; needs no instance.

    Marks are done, another-way, reminded, helped, not-done and stopped, in this order, or numbers, ordered by value. A
    row that is missing is a missing mark, and so is not-seen.
    """
    if critical and key is None:
        raise click.UsageError("--critical goes with --key: what was missed is seen against a key")
    marks, problems = read_marks(read_text(file))
    stop_on(file, problems)
    held = None if key is None else _against(marks, key, critical)
    _show(marks if key is None else marks.without(key), held, seed, form)


def _against(marks: Marks, key: str, critical: Sequence[str]) -> tuple[AgainstKey, ...]:
    if key not in marks.observers:
        raise click.UsageError(f"--key: nobody in the file is {key!r}; there are {', '.join(marks.observers)}")
    if unknown := set(critical) - {unit.criterion for unit in marks.units}:
        raise click.UsageError(f"--critical: the file has no criterion {', '.join(sorted(unknown))}")
    return against_key(marks, key, critical)


def _show(marks: Marks, held: Sequence[AgainstKey] | None, seed: int, form: str) -> None:
    # These need numpy, which takes a tenth of a second to import; no other command should pay for it.
    from mentor_training.observing.agreement import wording
    from mentor_training.observing.agreement.figures import figures

    found = figures(marks, seed)
    if form == "json":
        show_json(wording.as_json(marks, found, held))
    elif form == "csv":
        show_table(form, wording.COLUMNS, wording.rows(marks, found, ""))
    else:
        for part in wording.parts(marks, found, held):
            _show_part(part)


def _show_part(part: str | tuple[Sequence[str], Sequence[Sequence[object]]]) -> None:
    if isinstance(part, str):
        click.echo(part)
    else:
        show_table("table", *part)
