"""A volunteer's own hours."""

from __future__ import annotations

from flask import Response, render_template, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.errors import Refused
from mentor_training.hours import actions
from mentor_training.hours.exports import log_csv
from mentor_training.hours.forms import ByHandForm
from mentor_training.hours.pages.answering import asked, file, typed_beside
from mentor_training.hours.pages.blueprint import pages
from mentor_training.hours.queries import Log, log_for, rounding_of, titles_of
from mentor_training.hours.rules import rule_in_words, standing_of, stated_hours
from mentor_training.hours.toward import HOURS_PER_CREDIT, credits_worth
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.catalog import Program
from mentor_training.program.queries import edition_in_force


@pages.get("/hours")
@guarded(Act.SEE_OWN_HOURS)
def own() -> str:
    """Show one's own log, its sums, and what is still missing toward the course, with the arithmetic."""
    log, program = _own_log()
    rounding = rounding_of(program) if program else None
    per_credit = log.course.hours_per_credit if log.course else HOURS_PER_CREDIT
    return render_template(
        "hours/own.html",
        log=log,
        titles=titles_of(db(), log.entries, program),
        standing_of=standing_of,
        stated=[stated_hours(one.approved, rounding) for one in log.sums] if rounding else [],
        rule=rule_in_words(rounding) if rounding else "",
        credits=credits_worth(sum(one.approved for one in log.sums), per_credit),
        per_credit=per_credit,
    )


@pages.get("/hours/log.csv")
@guarded(Act.SEE_OWN_HOURS)
def own_csv() -> Response:
    """Give one's own log as CSV."""
    log, program = _own_log()
    return file(
        log_csv(log, titles_of(db(), log.entries, program), instance().settings.zone), f"hours-{log.person}.csv"
    )


@pages.get("/hours/by-hand")
@guarded(Act.SEE_OWN_HOURS)
def own_by_hand() -> str:
    """Show the form for preparation or orientation of one's own."""
    return render_template("hours/by_hand.html", form=ByHandForm(), action=url_for("hours.own_by_hand_submit"))


@pages.post("/hours/by-hand")
@guarded(Act.SEE_OWN_HOURS)
def own_by_hand_submit() -> Answer | tuple[str, int]:
    """Enter preparation or orientation of one's own; it waits for approval."""
    form, beside = ByHandForm(), None
    if form.validate_on_submit():
        typed = form.values(instance().settings.zone)
        try:
            row = actions.enter_by_hand(db(), now(), me(), me().code, *typed)
            return done(url_for("hours.own"), f"{row.minutes} minutes entered; they wait for approval.")
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
            beside = typed_beside(me().code, *typed[1:4])
    action = url_for("hours.own_by_hand_submit")
    return render_template("hours/by_hand.html", form=form, action=action, beside=beside), 422


def _own_log() -> tuple[Log, Program | None]:
    on, known_at = asked()
    published = edition_in_force(db(), on, known_at)
    return log_for(db(), person_for(db(), me().code), on, known_at), published.program if published else None
