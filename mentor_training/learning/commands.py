"""How quiz items do, on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from mentor_training.console import format_option, read_text, show_json, show_table, stop_on
from mentor_training.database.instance import Instance
from mentor_training.learning import exports, questions
from mentor_training.learning.questions import BankReport
from mentor_training.learning.responses import read_responses
from mentor_training.learning.statistics import figures
from mentor_training.people.permissions import CONSOLE
from mentor_training.program.queries import known_editions

OVERVIEW = ("quiz", "edition", "people", "attempts", "items", "kr20", "sem", "look_at")


@click.command()
@click.argument("quiz", required=False)
@click.option("--edition", type=int, default=None, help="The edition of the quiz's module; default: the newest.")
@click.option("--all-attempts", is_flag=True, help="All closed attempts; default: the first of each volunteer.")
@click.option(
    "--responses", type=click.Path(exists=True, dir_okay=False, path_type=Path), default=None,
    help="Instead of a quiz, a CSV with a row a person and a column an item, of 0 and 1.",
)  # fmt: skip
@format_option
@click.pass_obj
def items(
    instance: Instance, quiz: str | None, edition: int | None, all_attempts: bool, responses: Path | None, form: str
) -> None:
    """Show how hard the items of QUIZ are, how well they tell people apart, and which to look at; or of all quizzes."""
    if responses and (quiz or edition is not None or all_attempts):
        raise click.UsageError("--responses stands alone: the file is the quiz, and every row counts")
    if edition is not None and quiz is None:
        raise click.UsageError("--edition goes with a QUIZ")
    if responses:
        _show_responses(responses, form)
    elif quiz is None:
        _show_all(_reports(instance, None, None, all_attempts), form)
    else:
        _show_one(_reports(instance, quiz, edition, all_attempts)[0], form)


def _reports(instance: Instance, quiz: str | None, edition: int | None, all_attempts: bool) -> list[BankReport]:
    now = instance.now()
    with instance.database.reading() as db:
        editions = known_editions(db, now)
        found: Sequence[questions.Bank] = questions.banks(db, CONSOLE, editions, now)
        if quiz is not None:
            found = [questions.bank_for(found, quiz, edition)]
        return [questions.report(db, CONSOLE, bank, editions, now, all_attempts) for bank in found]


def _show_responses(file: Path, form: str) -> None:
    responses, problems = read_responses(read_text(file))
    stop_on(file, problems)
    found = figures(responses.rows, len(responses.items))
    if form == "json":
        show_json(exports.responses_as_json(responses.items, found))
        return
    if form == "table":
        click.echo(exports.in_words(found.people, found))
    show_table(form, exports.COLUMNS, exports.responses_as_rows(responses.items, found, _empty(form)))


def _show_one(report: BankReport, form: str) -> None:
    if form == "json":
        show_json(exports.report_as_json(report))
        return
    if form == "table":
        which = "all attempts" if report.all_attempts else "first attempts"
        said = exports.in_words(report.people, report.figures)
        click.echo(f"{report.bank.quiz}, edition {report.bank.edition}, {report.attempts} {which} of {said}")
    show_table(form, exports.COLUMNS, exports.report_as_rows(report, _empty(form)))


def _show_all(reports: Sequence[BankReport], form: str) -> None:
    if form == "json":
        show_json({"quizzes": [exports.report_as_json(one) for one in reports]})
        return
    rows = [
        (
            one.bank.quiz, one.bank.edition, one.people, one.attempts, len(one.items),
            exports.shown(one.figures.kr20, _empty(form)), exports.shown(one.figures.sem, _empty(form)),
            sum(bool(item.look_at) for item in one.items),
        )
        for one in reports
    ]  # fmt: skip
    show_table(form, OVERVIEW, rows)


def _empty(form: str) -> str:
    return "" if form == "csv" else exports.NOT_DEFINED
