"""The guarded door of every page: who is signed in, what they may do, the request's one database session.

Every view function is wrapped by `guarded(act)` or by `public`; a test looks at all of them.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import date, datetime
from functools import wraps
from typing import Any, cast

from flask import Flask, current_app, flash, g, redirect, request, url_for
from flask_login import LoginManager, UserMixin, current_user, login_user, logout_user
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from mentor_training.database.instance import Instance
from mentor_training.errors import NotAllowed
from mentor_training.people.permissions import Act, Actor
from mentor_training.people.queries import actor_of
from mentor_training.people.tables import Person, SentForm

View = Callable[..., Any]


class Account(UserMixin):
    """The signed-in person as the sign-in library wants it."""

    def __init__(self, actor: Actor) -> None:
        self.actor = actor

    def get_id(self) -> str:
        """Return what the session cookie carries."""
        return self.actor.code


def set_up_access(app: Flask, instance: Instance) -> None:
    """Connect the request's database session, the sign-in library and forms that count once."""
    app.extensions["instance"] = instance
    login = LoginManager(app)
    login.login_view = "people.sign_in"
    login.login_message = "Sign in first."
    login.user_loader(_load)
    app.before_request(_answer_again)
    app.teardown_request(_close)


def instance() -> Instance:
    """Return the instance that this application serves."""
    return cast(Instance, current_app.extensions["instance"])


def now() -> datetime:
    """Return the moment of this request: one and the same throughout it."""
    if "moment" not in g:
        g.moment = instance().now()
    return cast(datetime, g.moment)


def today() -> date:
    """Return the day of this request in the program's time zone."""
    return now().astimezone(instance().settings.zone).date()


def db() -> Session:
    """Return this request's database session: a writer's for a form that was sent, else a reader's."""
    if "db" not in g:
        database = instance().database
        g.db = database.open_writer() if request.method == "POST" else database.open_reader()
    return cast(Session, g.db)


def me() -> Actor:
    """Return who is signed in; only pages behind `guarded` ask."""
    return cast(Actor, current_user.actor)


def maybe_me() -> Actor | None:
    """Return who is signed in, or None."""
    return cast(Actor, current_user.actor) if current_user.is_authenticated else None


def guarded(act: Act) -> Callable[[View], View]:
    """Open a page only to those whose roles allow an act; everybody else is asked to sign in, or told no."""

    def wrap(view: View) -> View:
        @wraps(view)
        def inner(*args: Any, **kwargs: Any) -> Any:
            if not current_user.is_authenticated:
                return redirect(url_for("people.sign_in", then=request.full_path if request.method == "GET" else None))
            if not me().may(act):
                raise NotAllowed(act.value)
            return view(*args, **kwargs)

        inner.act = act  # type: ignore[attr-defined]
        return inner

    return wrap


def public(view: View) -> View:
    """Mark a page that anybody may open."""
    view.act = None  # type: ignore[attr-defined]
    return view


def done(location: str, message: str = "") -> Response:
    """Commit this request's one transaction and go on to another page (303); the only place where a page commits."""
    token = request.form.get("once", "")
    if token:
        sent = db().get(SentForm, token)
        if sent:
            sent.location = location
    db().commit()
    if message:
        flash(message)
    return redirect(location, 303)


def once_token() -> str:
    """Return a fresh token for a form, so that the same page sent twice counts once."""
    return secrets.token_urlsafe(18)


def sign_in_person(row: Person) -> None:
    """Remember in the session cookie who signed in."""
    login_user(Account(actor_of(row)))


def sign_out_person() -> None:
    """Forget who was signed in."""
    logout_user()


def _load(code: str) -> Account | None:
    row = db().get(Person, code)
    return Account(actor_of(row)) if row else None


def _answer_again() -> Response | None:
    """Answer a form that has been acted on already with where it led, and do nothing again."""
    token = request.form.get("once", "") if request.method == "POST" else ""
    if not token:
        return None
    who = maybe_me()
    try:
        db().add(SentForm(token=token[:64], person=who.code if who else "", moment=now(), location=""))
        db().flush()
    except IntegrityError:
        db().rollback()
        earlier = db().get(SentForm, token[:64])
        flash("This form had been sent already; it counted once.")
        return redirect((earlier.location if earlier else "") or url_for("overview.home"), 303)
    return None


def _close(_error: BaseException | None) -> None:
    open_db = g.pop("db", None)
    if open_db is not None:
        open_db.close()
