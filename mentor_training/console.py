"""What every command shares: reading a file, saying what is wrong with it, days and moments as options."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import click


def read_text(file: Path) -> str:
    """Return a file's text, or say that it is not UTF-8."""
    try:
        return file.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise click.UsageError(f"{file}: it is not UTF-8 (byte {error.start}); save it as CSV UTF-8") from None


def stop_on(file: Path, problems: Sequence[object]) -> None:
    """Print every problem of a file and stop with status 2; nothing has been taken in."""
    if problems:
        for problem in problems:
            click.echo(f"{file}: {problem}", err=True)
        raise click.exceptions.Exit(2)


class DayType(click.ParamType[date]):
    """A day written YYYY-MM-DD."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Return the day, or say what would be right."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no day; write one that exists as YYYY-MM-DD", param, ctx)


class MomentType(click.ParamType[datetime]):
    """A moment written in ISO 8601 with its zone."""

    name = "moment"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Return the moment in UTC, or say what would be right."""
        if isinstance(value, datetime):
            return value
        try:
            moment = datetime.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no moment; write one like 2026-10-16T18:00:00Z", param, ctx)
        if moment.tzinfo is None:
            self.fail(f"{value!r} has no time zone; write one like 2026-10-16T18:00:00Z", param, ctx)
        return moment.astimezone(UTC)


DAY = DayType()
MOMENT = MomentType()


def as_of_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options --on DAY and --known-at MOMENT."""
    command = click.option("--known-at", type=MOMENT, default=None, help="Only what was recorded by then counts.")(
        command
    )
    return click.option("--on", type=DAY, default=None, help="The day asked about; default: today.")(command)


def format_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the option --format table|json|csv, passed on as `form`."""
    option = click.option("--format", "form", type=click.Choice(["table", "json", "csv"]), default="table")
    return option(command)


def show_json(value: Any) -> None:
    """Print JSON, indented."""
    click.echo(json.dumps(value, indent=1, ensure_ascii=False))


def show_table(form: str, columns: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print rows as an aligned table or as CSV."""
    if form == "csv":
        out = io.StringIO(newline="")
        csv.writer(out).writerows([columns, *rows])
        click.echo(out.getvalue(), nl=False)
        return
    cells = [[str(cell) for cell in row] for row in [columns, *rows]]
    widths = [max(len(row[place]) for row in cells) for place in range(len(columns))]
    for row in cells:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def utc_text(moment: datetime) -> str:
    """Write a moment as the documented JSON does: 2026-10-16T18:00:00Z."""
    return (
        moment.astimezone(UTC)
        .isoformat(timespec="seconds" if not moment.microsecond else "microseconds")
        .replace("+00:00", "Z")
    )
