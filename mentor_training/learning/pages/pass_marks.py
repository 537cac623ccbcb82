"""Setting the pass mark of a quiz by judges: what stands, what is to be written into the file, and the form."""

from __future__ import annotations

from dataclasses import dataclass

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.learning.forms import JUDGES, EstimatesForm, estimates_form
from mentor_training.learning.judging import set_pass_mark
from mentor_training.learning.pages.blueprint import as_of, pages
from mentor_training.learning.questions import Bank, PassMark, bank_to_judge, pass_marks_of, reads_the_same
from mentor_training.learning.rules.items import Chosen, choices
from mentor_training.learning.rules.pass_mark import MOST_JUDGES, furthest_apart, lines_of_file, rounded, source
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import known_editions
from mentor_training.program.quiz_values import Quiz


@dataclass(frozen=True)
class ToJudge:
    """An item as its judges read it: each version with what can be chosen in it, and what that is called."""

    slug: str
    versions: tuple[tuple[str, tuple[Chosen, ...]], ...]


@pages.get("/items/<quiz>/pass-mark")
@guarded(Act.SET_PASS_MARKS)
def pass_mark(quiz: str) -> str:
    """Show what stands, what to write into the file, what stood before, and the form."""
    bank = bank_to_judge(_editions(), quiz)
    return _pass_mark_page(bank, _form(bank))


@pages.post("/items/<quiz>/pass-mark")
@guarded(Act.SET_PASS_MARKS)
def pass_mark_submit(quiz: str) -> Response | tuple[str, int]:
    """Record what the judges said; it stands from now on."""
    bank = bank_to_judge(known_editions(db(), now()), quiz)
    form = _form(bank)
    if form.validate_on_submit() and form.day.data is not None:
        try:
            zone, sheets = instance().settings.zone, form.sheets()
            set_pass_mark(db(), now(), me(), zone, quiz, form.seen(), form.day.data, sheets)
            said = f"What {len(sheets)} {'judge' if len(sheets) == 1 else 'judges'} said is recorded."
            return done(url_for("learning.pass_mark", quiz=quiz), said)
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
    # What is sent next is about the items that are shown now.
    form.edition.data = str(bank.published.number)
    return _pass_mark_page(bank, form), 422


def _editions() -> tuple[PublishedProgram, ...]:
    return known_editions(db(), as_of().known_at or now())


def _form(bank: Bank) -> EstimatesForm:
    return estimates_form(tuple(bank.items), today(), bank.published.number)


def _pass_mark_page(bank: Bank, form: EstimatesForm) -> str:
    found = pass_marks_of(db(), bank.quiz, as_of().day, as_of().known_at or now())
    stands = found[0] if found else None
    return render_template(
        "learning/pass_mark.html",
        bank=bank,
        form=form,
        judges=JUDGES,
        most=MOST_JUDGES,
        to_judge=[_to_judge(bank, slug) for slug in bank.items],
        stands=stands,
        apart=[stands.row.items[at] for at in furthest_apart(stands.proposal)] if stands else [],
        lines=lines_of_file(stands.sheets, stands.row.day) if stands else (),
        is_reworded=stands is not None and not reads_the_same(_editions(), bank, stands.row.program_edition),
        is_written=stands is not None and _is_written(bank.wording, stands),
        earlier=found[1:],
    )


def _to_judge(bank: Bank, slug: str) -> ToJudge:
    return ToJudge(slug, tuple((one.text, choices(one, {})) for one in bank.items[slug]))


def _is_written(quiz: Quiz, stands: PassMark) -> bool:
    """Say whether the file says what stands."""
    mark = float(rounded(stands.proposal.whole.mean))
    return quiz.pass_mark == mark and quiz.pass_mark_source == source(stands.sheets, stands.row.day)
