"""The command line: assembles the commands of every capability."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from mentor_training.calendar.commands import calendar, copy, series
from mentor_training.certificates.commands.certifying import certificates
from mentor_training.clearance.commands.answers import clearance, why
from mentor_training.clearance.commands.asking import who
from mentor_training.clearance.commands.lapsing import lapses
from mentor_training.clearance.commands.publishing import compare, publish
from mentor_training.database.commands import backup, health, restore_command, start, upgrade_command
from mentor_training.database.instance import Instance, open_instance
from mentor_training.demo.commands import demo
from mentor_training.errors import NotFound, PdfUnavailable, Refused
from mentor_training.hours.commands import hours, statements
from mentor_training.jobs.commands import jobs
from mentor_training.journal.commands import journal
from mentor_training.learning.commands import items
from mentor_training.letters.commands import letters, remind
from mentor_training.observing.commands import agreement
from mentor_training.overview.commands.looking_back import then
from mentor_training.overview.commands.opening import steps
from mentor_training.papers.commands import papers
from mentor_training.participants.commands import cards, participants
from mentor_training.people.commands import people
from mentor_training.planning.commands.attending import availability, terms
from mentor_training.planning.commands.planning import cover, observations, plan, sessions
from mentor_training.planning.commands.repairing import repair
from mentor_training.program.commands import check
from mentor_training.register.commands import register
from mentor_training.roster.commands import roster
from mentor_training.serving import serve, work
from mentor_training.settings import SettingsError

WITHOUT_INSTANCE = ("start", "restore", "demo", "agreement")


class Commands(click.Group):
    """The commands, with what the rules refuse said in words and exit status 1 or 2."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command; a refusal is the answer no (1), a thing that is not there is bad input (2)."""
        try:
            return super().invoke(ctx)
        except Refused as no:
            for reason in no.reasons:
                click.echo(reason, err=True)
            raise click.exceptions.Exit(1) from None
        except NotFound as missing:
            click.echo(f"there is no {missing.what}", err=True)
            raise click.exceptions.Exit(2) from None
        except PdfUnavailable as lacking:
            click.echo(str(lacking), err=True)
            raise click.exceptions.Exit(1) from None


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--instance",
    "folder",
    type=click.Path(path_type=Path),
    default=lambda: os.environ.get("MENTOR_TRAINING_INSTANCE", "instance"),
    help="The instance's folder; else MENTOR_TRAINING_INSTANCE, else ./instance.",
)
@click.pass_context
def main(ctx: click.Context, folder: Path) -> None:
    """Training and competency tracker for student volunteers in an adapted physical activity program."""
    if ctx.invoked_subcommand in WITHOUT_INSTANCE or ctx.resilient_parsing or _asks_for_help():
        return
    try:
        ctx.obj = open_instance(Path(folder))
    except SettingsError as error:
        raise click.UsageError(str(error)) from None
    ctx.call_on_close(ctx.obj.database.close)


def _asks_for_help() -> bool:
    return any(word in ("-h", "--help") for word in sys.argv[1:])


@click.command("serve")
@click.option("--host", default="127.0.0.1", help="Where to listen; default: this machine only.")
@click.option("--port", type=click.IntRange(0, 65535), default=8765, help="Default: 8765; 0 takes a free one.")
@click.option("--no-worker", is_flag=True, help="Leave background work to others: `work`.")
@click.pass_obj
def serve_command(instance: Instance, host: str, port: int, no_worker: bool) -> None:
    """Serve the instance in a browser, with a worker for background work; refused where `health` finds a fault."""
    serve(instance, host, port, click.echo, works=not no_worker)


@click.command("work")
@click.pass_obj
def work_command(instance: Instance) -> None:
    """Do background work, beside the server's own worker or instead of it, until interrupted."""
    work(instance, click.echo)


for command in (
    demo,
    start,
    health,
    upgrade_command,
    backup,
    restore_command,
    serve_command,
    work_command,
    jobs,
    people,
    check,
    publish,
    clearance,
    why,
    who,
    lapses,
    steps,
    then,
    compare,
    journal,
    participants,
    cards,
    papers,
    register,
    roster,
    terms,
    sessions,
    availability,
    plan,
    cover,
    repair,
    observations,
    hours,
    statements,
    items,
    agreement,
    certificates,
    letters,
    remind,
):
    main.add_command(command)
for part in (series, copy, calendar):
    sessions.add_command(part)
