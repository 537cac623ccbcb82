"""Taking a quiz: where one stands, one scenario a page, all answers at a glance, and closing."""

from __future__ import annotations

import secrets

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotFound, Refused
from mentor_training.learning import actions, queries
from mentor_training.learning.forms import AnswerForm, UnfoldForm, answer_form
from mentor_training.learning.pages.blueprint import known_now, pages
from mentor_training.learning.queries import Sitting
from mentor_training.learning.rules.answers import Walked, walk
from mentor_training.learning.rules.holds import time_to_resume
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import extra_time_of
from mentor_training.program.quiz_values import Scenario

SEEDS = 2**31


@pages.get("/quiz/<slug>")
@guarded(Act.COMPLETE_MODULES)
def quiz(slug: str) -> str:
    """Show what the quiz takes, whether an attempt may start now, and the earlier attempts."""
    then = known_now()
    bank = then.quiz(slug)
    earlier = queries.attempts_of(db(), me().code, slug)
    asked = queries.permission_of(db(), me().code, slug, then.program.policy, now())
    sitting = queries.sitting_for(db(), me(), earlier[-1].id) if asked.open else None
    return render_template(
        "learning/quiz.html",
        quiz=bank,
        module=then.module(bank.module),
        policy=then.program.policy,
        progress=queries.progress_of(db(), me().code, then, then.module(bank.module), bank),
        asked=asked,
        held=queries.Held(me().code, bank, asked.hold) if asked.hold else None,
        sitting=sitting,
        earlier=list(zip(earlier, queries.tries_of(db(), me().code, slug), strict=True)),
        resume_hours=round(time_to_resume(extra_time_of(db(), me().code)).total_seconds() / 3600),
        now=now(),
    )


@pages.post("/quiz/<slug>")
@guarded(Act.COMPLETE_MODULES)
def quiz_submit(slug: str) -> Response:
    """Start an attempt, or go on with the one that is open."""
    row = actions.start_attempt(db(), now(), me(), instance().settings.zone, slug, secrets.randbelow(SEEDS))
    sitting = queries.sitting_for(db(), me(), row.id)
    return done(_address(sitting, sitting.first_unanswered or 1))


@pages.get("/attempt/<int:number>")
@guarded(Act.COMPLETE_MODULES)
def attempt(number: int) -> str | Response:
    """Show all scenarios of an open attempt with what is answered; of a closed one, the result."""
    sitting = queries.sitting_for(db(), me(), number)
    if not sitting.tried.is_open(now()):
        return redirect(url_for("learning.result", number=number))
    return render_template("learning/attempt.html", sitting=sitting, **_named(sitting))


@pages.get("/attempt/<int:number>/<int:place>")
@guarded(Act.COMPLETE_MODULES)
def scenario(number: int, place: int) -> str | Response:
    """Show one scenario of an open attempt, with the answer kept so far."""
    sitting = queries.sitting_for(db(), me(), number)
    if not sitting.tried.is_open(now()):
        return redirect(url_for("learning.result", number=number))
    return _scenario_page(sitting, place, answer_form(sitting, _at(sitting, place)))


@pages.post("/attempt/<int:number>/<int:place>")
@guarded(Act.COMPLETE_MODULES)
def scenario_submit(number: int, place: int) -> Response | tuple[str, int]:
    """Keep the answer as it is given and go where the button says."""
    sitting = queries.sitting_for(db(), me(), number)
    asked = _at(sitting, place)
    form = answer_form(sitting, asked)
    try:
        if not form.validate_on_submit():
            return _scenario_page(sitting, place, form), 422
        _check_scene(asked, form)
        answer = form.answer()
        if answer is not None or asked.kind != "unfold":
            actions.keep_answer(db(), now(), me(), number, asked.slug, answer)
    except Refused as no:
        form.form_errors.extend(no.reasons)
        db().rollback()
        return _scenario_page(queries.sitting_for(db(), me(), number), place, form), 422
    return done(_onward(queries.sitting_for(db(), me(), number), asked, place, answer is not None))


@pages.get("/attempt/<int:number>/close")
@guarded(Act.COMPLETE_MODULES)
def close(number: int) -> str | Response:
    """Show what closing the attempt means, before it is done."""
    sitting = queries.sitting_for(db(), me(), number)
    if not sitting.tried.is_open(now()):
        return redirect(url_for("learning.result", number=number))
    return render_template("learning/close.html", sitting=sitting, **_named(sitting))


@pages.post("/attempt/<int:number>/close")
@guarded(Act.COMPLETE_MODULES)
def close_submit(number: int) -> Response:
    """Close the attempt; closing it twice counts once."""
    actions.close_attempt(db(), now(), me(), instance().settings.zone, number)
    return done(url_for("learning.result", number=number))


def _named(sitting: Sitting) -> dict[str, object]:
    return {"module": sitting.program.modules[sitting.quiz.module], "policy": sitting.program.policy}


def _at(sitting: Sitting, place: int) -> Scenario:
    if not 1 <= place <= len(sitting.scenarios):
        raise NotFound(f"scenario {place} of this attempt; it has {len(sitting.scenarios)}")
    return sitting.scenarios[place - 1]


def _address(sitting: Sitting, place: int) -> str:
    return url_for("learning.scenario", number=sitting.attempt.id, place=place)


def _scenario_page(sitting: Sitting, place: int, form: AnswerForm) -> str:
    asked = _at(sitting, place)
    kept = sitting.answers.get(asked.slug)
    walked = walk(asked, kept.choices if isinstance(kept, Walked) else ()) if asked.kind == "unfold" else None
    return render_template(
        "learning/scenario.html",
        sitting=sitting,
        scenario=asked,
        place=place,
        form=form,
        walked=walked,
        **_named(sitting),
    )


def _check_scene(asked: Scenario, form: AnswerForm) -> None:
    """Refuse a choice made on a page of a scene that was left meanwhile: it would count in another scene."""
    if not isinstance(form, UnfoldForm) or form.choice.data is None:
        return
    now_at = walk(asked, form.made).now
    if now_at is None or form.scene.data != now_at.slug:
        raise Refused("This scene lies behind you: what you did in it stands. Go on from where you are now.")


def _onward(sitting: Sitting, asked: Scenario, place: int, given: bool) -> str:
    """Return where to go: on in an unfolding scenario, else where the button says."""
    if asked.kind == "unfold" and given:
        return _address(sitting, place) + "#now"
    then = request.form.get("then", "next")
    if then == "back" and place > 1:
        return _address(sitting, place - 1)
    if then == "next" and place < len(sitting.scenarios):
        return _address(sitting, place + 1)
    return url_for("learning.attempt", number=sitting.attempt.id)
