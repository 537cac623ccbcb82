"""The forms about papers."""

from __future__ import annotations

from collections.abc import Sequence

from flask_wtf import FlaskForm
from flask_wtf.file import FileField
from wtforms import RadioField, SelectField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from mentor_training.errors import Refused
from mentor_training.papers.scans.reading import PlainScan, read_scan
from mentor_training.program.catalog import Program
from mentor_training.web.forms import DayField, options

DAY_FORM = "Write it as a day, such as 2026-10-17."
CHOOSE_AGAIN = "Choose the file again: a browser sends it once, and something else has to be put right first."
NOTHING_CHOSEN = "Choose a picture or PDF, or one that you sent before."
NO_HANDS_ON = (
    "It does not show the hands-on skills part. A course taken online alone does not count: bring the card of a course "
    "with the hands-on part, or have its teacher confirm it."
)


class ScanForm(FlaskForm):
    """A picture or PDF of a paper, or one that was sent before and shows this paper too."""

    scan = FileField("Picture or PDF of it", [Optional()])
    same_as = SelectField("Or the same picture as one sent before", [Optional()])


class PaperForm(ScanForm):
    """A paper with its dates as printed."""

    paper = SelectField("Paper", [InputRequired("Choose which paper it is.")])
    issued = DayField("Issued on", [InputRequired(f"Write the day on which it was issued. {DAY_FORM}")])
    last_day = DayField("Good through", [Optional()])


class VerifyForm(FlaskForm):
    """What the coordinator sees on a paper."""

    issued = DayField("Issued on, as printed", [InputRequired(f"Write the day that is printed on it. {DAY_FORM}")])
    last_day = DayField("Good through, as printed", [Optional()])
    hands_on = RadioField(
        "Was the hands-on skills part seen on the card, or confirmed?",
        choices=options([("yes", "Yes, seen or confirmed"), ("no", "No")]),
        validate_choice=False,
    )

    @property
    def answer(self) -> bool | None:
        """Return the answer about the hands-on part; None where none was given."""
        return {"yes": True, "no": False}.get(self.hands_on.data or "") if "hands_on" in self else None


class DeclineForm(FlaskForm):
    """Why a paper is declined."""

    reason = TextAreaField("Why it is declined", [InputRequired("Write why; the volunteer reads it."), Length(max=500)])


Sent = Sequence[tuple[int, tuple[str, ...]]]


def scan_form(program: Program, sent: Sent) -> ScanForm:
    """Return the form for a picture alone, with what was sent before to choose from."""
    form = ScanForm()
    offer_sent(form, program, sent)
    return form


def paper_form(program: Program, sent: Sent = (), **given: object) -> PaperForm:
    """Return the form with the papers of the program, and what was sent before, to choose from."""
    form = PaperForm(**given)
    papers = [(slug, paper.title) for slug, paper in program.papers.items()]
    form.paper.choices = options([("", "Choose a paper"), *papers])
    offer_sent(form, program, sent)
    return form


def offer_sent(form: ScanForm, program: Program, sent: Sent) -> None:
    """Let a form choose among scans that are kept; the question is left out where there are none."""
    if not sent:
        del form.same_as
        return
    titles = [
        (str(number), ", ".join(program.title_of(f"paper/{slug}") for slug in papers) or "no paper any more")
        for number, papers in sent
    ]
    form.same_as.choices = options([("", "None"), *((number, f"The one of: {words}") for number, words in titles)])


def shared_scan(form: ScanForm) -> int | None:
    """Return the number of the scan chosen among those sent before; a new file wins over it."""
    chosen = form.same_as.data if "same_as" in form and not form.scan.data else ""
    return int(chosen) if chosen else None


def plain_scan(form: ScanForm) -> PlainScan | None:
    """Return what is kept of the file that was sent; None without one or where the field says why not."""
    if not form.scan.data:
        return None
    try:
        return read_scan(form.scan.data.read())
    except Refused as no:
        form.scan.errors = list(no.reasons)
        return None
