"""The evidence for a skill laid out, and the sign-off."""

from __future__ import annotations

from dataclasses import dataclass

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.access import partners_on
from mentor_training.observing.actions.sign_off import STATEMENT, objections, sign_off
from mentor_training.observing.forms import SignOffForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.floor import asked
from mentor_training.observing.queries.floor import SkillState, observed_for, state_of, to_see, volunteers_before
from mentor_training.observing.queries.history import shown_observations
from mentor_training.observing.queries.reviews import has_open_review
from mentor_training.observing.queries.signed import shown_sign_offs
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.actions import WrongPassword, count_failure
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.program.queries import require_edition

Answer = Response | tuple[str, int]


@dataclass(frozen=True)
class ToSign:
    """A skill of a volunteer that is ready for a sign-off."""

    person: Person
    state: SkillState


@pages.get("/sign-offs")
@guarded(Act.SIGN_OFF)
def waiting() -> str:
    """Show every sign-off that waits for this observer, to be gone through one after another."""
    ready = _ready()
    mine = [one for one in ready if _may_sign(one)]
    return render_template("observing/sign_offs.html", waiting=mine, others=len(ready) - len(mine))


@pages.get("/observe/<code>/<slug>/sign-off")
@guarded(Act.SEE_OBSERVATIONS)
def evidence(code: str, slug: str) -> str:
    """Lay out what has been seen and what is missing; where nothing is, the form to sign off."""
    return _evidence_page(code, slug, SignOffForm())


@pages.post("/observe/<code>/<slug>/sign-off")
@guarded(Act.SIGN_OFF)
def sign_off_submit(code: str, slug: str) -> Answer:
    """Sign off, or say why not; a password that does not fit is counted, and nothing else is stored."""
    form = SignOffForm()
    person = observed_for(db(), me(), code, today())
    if not form.validate_on_submit():
        return _evidence_page(code, slug, form), 422
    try:
        sign_off(
            db(), now(), today(), me(), code, slug, form.password.data or "", form.reason.data or "",
            _partners(code, slug),
        )  # fmt: skip
    except WrongPassword as no:
        db().rollback()
        count_failure(db(), now(), me().code)
        db().commit()
        form.password.errors = list(no.reasons)
        return _evidence_page(code, slug, form), 422
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _evidence_page(code, slug, form), 422
    title = require_edition(db(), today(), now()).program.skills[slug].title
    return done(*_next(code, f"{title} is signed off for {person.name}."))


def _next(code: str, said: str) -> tuple[str, str]:
    """Return where to go on after a sign-off: to the next that waits, of the same volunteer first, or back to them."""
    left = sorted(_ready(), key=lambda one: one.person.code != code)
    for one in left:
        if _may_sign(one):
            address = url_for("observing.evidence", code=one.person.code, slug=one.state.skill.slug)
            return address, f"{said} The next one waits here."
    return url_for("observing.volunteer", code=code), f"{said} No other sign-off waits for you."


def _ready() -> list[ToSign]:
    """Return what is ready among the volunteers that this observer sees, in the order of urgency."""
    lines = to_see(db(), volunteers_before(db(), me(), today()), today(), now())
    return [ToSign(line.person, state) for line in lines for state in line.states if state.group == "ready"]


def _may_sign(one: ToSign) -> bool:
    code, skill = one.person.code, one.state.skill
    partners = _partners(code, skill.slug)
    return not objections(db(), now(), today(), me(), code, skill, one.state.readiness, partners)


def _partners(code: str, slug: str) -> frozenset[str]:
    """Return with whom the observer was paired today or on a day that was seen."""
    days = {one.row.day for one in shown_observations(db(), me(), code, slug, now())}
    return partners_on(me().code, {today(), *days})


def _evidence_page(code: str, slug: str, form: SignOffForm) -> str:
    day, known_at = asked()
    person = observed_for(db(), me(), code, today())
    state = state_of(db(), person, slug, day, known_at)
    can_sign = me().may(Act.SIGN_OFF) and day == today()
    if state.readiness.disagreeing:
        form.reason.flags.optional, form.reason.flags.required = False, True
    against = (
        objections(db(), now(), today(), me(), code, state.skill, state.readiness, _partners(code, slug))
        if can_sign
        else []
    )
    return render_template(
        "observing/sign_off.html",
        person=person,
        skill=state.skill,
        state=state,
        shown=shown_observations(db(), me(), code, slug, known_at),
        sign_offs=shown_sign_offs(db(), code, slug, known_at),
        under_review=has_open_review(db(), code, slug),
        objections=against,
        form=form if can_sign and state.readiness.is_ready and not against else None,
        problems=form,
        statement=STATEMENT,
        program=require_edition(db(), day, known_at).program,
    )
