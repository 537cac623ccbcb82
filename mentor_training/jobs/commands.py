"""Background work on the command line: what there is, waiting for it, stopping it."""

from __future__ import annotations

import sys
from time import sleep

import click

from mentor_training.clock import SystemClock
from mentor_training.console import format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.errors import Refused
from mentor_training.jobs.actions import wish_stop
from mentor_training.jobs.queries import job_for, seen_jobs
from mentor_training.jobs.rules import DONE, OPEN, STOPPED, seconds_between
from mentor_training.jobs.tables import Job

# Whoever sits at the console sees all jobs.
CONSOLE = "console"
COLUMNS = ("job", "kind", "about", "asked by", "asked at", "state", "done", "total")
LOOK_EVERY = 0.5


@click.group()
def jobs() -> None:
    """Say what runs in the background, wait for it, stop it."""


@jobs.command("list")
@format_option
@click.pass_obj
def list_jobs(instance: Instance, form: str) -> None:
    """Show the newest jobs, newest first; what has ended is kept for 14 days."""
    with instance.database.reading() as db:
        rows = [_row(job) for job in seen_jobs(db, CONSOLE, sees_all=True)]
    if form == "json":
        show_json({"jobs": [dict(zip(COLUMNS, row, strict=True)) for row in rows]})
        return
    show_table(form, COLUMNS, rows)


def _row(job: Job) -> tuple[object, ...]:
    about = job.key.removeprefix(f"{job.kind}/")
    return (job.number, job.kind, about, job.asked_by, utc_text(job.asked_at), job.state, job.done, job.total)


@jobs.command("wait")
@click.argument("number", type=click.IntRange(1))
@click.option(
    "--seconds", type=click.FloatRange(0, 86400), default=3600, show_default=True, help="No longer than this."
)
@click.pass_obj
def wait(instance: Instance, number: int, seconds: float) -> None:
    """Wait until job NUMBER has ended, showing how far it is; the job goes on whether one waits or not.

    Exit status 1 where it was not done, with the reasons, or has not ended in time.
    """
    shown, ends = "", SystemClock().now().timestamp() + seconds
    while True:
        with instance.database.reading() as db:
            job = job_for(db, number, CONSOLE, sees_all=True)
        shown = _tell(job, shown)
        if job.state not in OPEN or SystemClock().now().timestamp() >= ends:
            break
        sleep(LOOK_EVERY)
    if job.state in OPEN:
        raise Refused(f"job {number} has not ended yet; it goes on")
    if job.state != DONE:
        raise Refused(f"job {number} was {'stopped' if job.state == STOPPED else 'not done'}", *(job.result or ()))
    click.echo(f"job {number} is done, in {seconds_between(job.begun_at, job.ended_at or SystemClock().now())} s")


def _tell(job: Job, shown: str) -> str:
    """Show how far a job is, if that is not shown already: over itself on a terminal, else a line each."""
    step = (job.words.splitlines() or [""])[-1]
    far = f"{job.done} of {job.total}" if job.total else job.state
    line = f"job {job.number}: {far}{'; ' if step else ''}{step}"
    if job.state in OPEN and line != shown:
        click.echo(f"\r{line:<78}" if sys.stderr.isatty() else line, err=True, nl=not sys.stderr.isatty())
    elif job.state not in OPEN and sys.stderr.isatty():
        click.echo("", err=True)
    return line


@jobs.command("stop")
@click.argument("number", type=click.IntRange(1))
@click.pass_obj
def stop(instance: Instance, number: int) -> None:
    """Have job NUMBER stop within seconds, with the best that it has by then."""
    with instance.database.writing() as db:
        job = job_for(db, number, CONSOLE, sees_all=True)
        if job.state not in OPEN:
            raise Refused(f"job {number} has ended already: {job.state}")
        wish_stop(db, SystemClock().now(), job)
        state = job.state
    click.echo(f"job {number} {'was stopped' if state == STOPPED else 'stops within seconds'}")
