"""The guarded door of every page: who is signed in, what they may do, the request's one database session.

Every view function is wrapped by `guarded(act)` or by `public`; a test looks at all of them.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import wraps
from hmac import compare_digest
from typing import Any, cast

from flask import Flask, current_app, flash, g, redirect, request, session, url_for
from flask_login import LoginManager, UserMixin, current_user, login_user, logout_user
from sqlalchemy.orm import Session
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Response

from mentor_training.database.instance import Instance
from mentor_training.errors import NotAllowed
from mentor_training.journal.actions import take_turn
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import newest_moment
from mentor_training.people.permissions import Act, Actor
from mentor_training.people.queries import actor_of
from mentor_training.people.tables import Person, SentForm

View = Callable[..., Any]

EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)
# Signing in and out keep nobody else waiting: they take no turn to write, and a wrong password may be tried again.
WITHOUT_TURN = ("people.sign_in_submit", "people.sign_out")


class Account(UserMixin):
    """The signed-in person as the sign-in library wants it."""

    def __init__(self, row: Person) -> None:
        self.actor = actor_of(row)
        self.seal = digest(row.password_hash or "")[:16]

    def get_id(self) -> str:
        """Return what the session cookie carries: a new password ends every session begun with the old one."""
        return f"{self.seal}:{self.actor.code}"


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
    """Return the moment of this request: one and the same throughout it.

    An act takes its turn to write before it looks at the clock, and never dates itself before the newest entry of the
    journal: what is known at a moment stays the same however long anybody waited.
    """
    if "moment" not in g:
        newest = None
        if request.method == "POST" and request.endpoint not in WITHOUT_TURN:
            take_turn(db())
            newest = newest_moment(db())
        g.moment = max(instance().now(), newest or EARLIEST)
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


def before_commit(app: Flask, act: Callable[[Session, datetime, Actor], None]) -> None:
    """Have something done in every transaction of a signed-in person just before it is committed.

    For what a higher room owes to an act of a lower one, which cannot call it.
    """
    app.extensions.setdefault("before_commit", []).append(act)


def done(location: str, message: str = "") -> Response:
    """Commit this request's one transaction and go on to another page (303)."""
    sent = db().get(SentForm, sent_token())
    if sent:
        sent.location = location
    settle()
    if message:
        flash(message)
    return redirect(location, 303)


def settle() -> None:
    """Commit this request's one transaction; called by what answers without a page, and by `done` for all others."""
    person = maybe_me()
    for act in current_app.extensions.get("before_commit", ()) if person else ():
        act(db(), now(), person)
    db().commit()


def sent_token() -> str:
    """Return what one sending of a form is known by: the page's token, who sent it, where to, and what stood in it.

    The same page sent again with other content is another act; with the same content it is the same.
    """
    token = request.form.get("once", "")
    if not token or "sent" in g:
        return cast(str, g.get("sent", ""))
    who = maybe_me()
    parts = [token, who.code if who else "", request.path]
    parts += [f"{key}={value}" for key, value in sorted(request.form.items(multi=True)) if key != "csrf_token"]
    for name, upload in sorted(request.files.items(multi=True)):
        parts.append(f"{name}={hashlib.sha256(upload.read()).hexdigest()}")
        upload.seek(0)
    g.sent = digest("\n".join(parts))
    return cast(str, g.sent)


def once_token() -> str:
    """Return a fresh token for a form, so that the same page sent twice counts once."""
    return secrets.token_urlsafe(18)


def sign_in_person(row: Person) -> None:
    """Remember in the session cookie who signed in, and forget everything of whoever was there before."""
    session.clear()
    session.permanent = True
    login_user(Account(row))


def sign_out_person() -> None:
    """Forget who was signed in, with every form of theirs that is still open."""
    logout_user()
    session.clear()


def _load(code: str) -> Account | None:
    seal, _, person = code.partition(":")
    row = db().get(Person, person)
    account = Account(row) if row else None
    return account if account and compare_digest(account.seal, seal) else None


def _answer_again() -> Response | None:
    """Answer a form that has been acted on already with where it led, and do nothing again."""
    if request.method != "POST" or request.endpoint is None or request.endpoint in WITHOUT_TURN:
        return None
    if any("\0" in value for values in request.form.listvalues() for value in values):
        raise BadRequest("A text holds a character that cannot be stored (NUL); take it out and send it again.")
    token = sent_token()
    if not token:
        return None
    who, moment = maybe_me(), now()
    earlier = db().get(SentForm, token)
    if earlier:
        flash("This form had been sent already; it counted once.")
        return redirect(earlier.location or url_for("overview.home"), 303)
    db().add(SentForm(token=token, person=who.code if who else "", moment=moment, location=""))
    db().flush()
    return None


def _close(_error: BaseException | None) -> None:
    open_db = g.pop("db", None)
    if open_db is not None:
        open_db.close()
