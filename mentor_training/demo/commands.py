"""The demo on the command line."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from urllib.parse import urlsplit

import click

from mentor_training.database.instance import Instance, open_instance
from mentor_training.demo.cast import PASSWORD
from mentor_training.demo.story.summer import MOVED_IN
from mentor_training.demo.summary import summarize
from mentor_training.demo.telling import DAYS, MARK, make_demo
from mentor_training.serving import serve

PORT = 8765
# It wins over the settings, and a story must never be told into somebody's real database.
FOREIGN = "MENTOR_TRAINING_DATABASE"


@click.command()
@click.option(
    "--folder", type=click.Path(path_type=Path, file_okay=False), default=Path("demo"), help="Default: ./demo."
)
@click.option("--no-serve", is_flag=True, help="End after the summary.")
@click.option("--port", type=click.IntRange(1, 65535), default=None, help=f"Default: {PORT}, or the demo's own.")
def demo(folder: Path, no_serve: bool, port: int | None) -> None:
    """Tell the story of half a term into a folder, say what came of it, and serve it.

    A demo that is there already is served again as it is, its clock going on from what happened last.
    """
    if os.environ.get(FOREIGN):
        raise click.UsageError(f"{FOREIGN} names another database, and a demo has one of its own; unset it first")
    if not (folder / MARK).is_file():
        _make(folder, port or PORT)
    instance = open_instance(folder)
    click.get_current_context().call_on_close(instance.database.close)
    for line in summarize(instance, instance.now()):
        click.echo(line)
    click.echo(f"\nEverybody's password is: {PASSWORD}")
    if not no_serve:
        serve(instance, "127.0.0.1", port or _own_port(instance), click.echo)


def _make(folder: Path, port: int) -> None:
    if folder.exists() and any(folder.iterdir()):
        raise click.UsageError(f"{folder} is not empty and holds no demo; name a new folder, so that nothing is lost")
    with click.progressbar(
        length=DAYS, label="Telling the story", file=sys.stderr, hidden=not sys.stderr.isatty(), show_pos=False
    ) as bar:
        make_demo(folder, port, lambda day: bar.update((day - MOVED_IN).days + 1 - bar.pos))
        bar.update(DAYS - bar.pos)


def _own_port(instance: Instance) -> int:
    return urlsplit(instance.settings.address).port or PORT
