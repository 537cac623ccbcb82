"""Signing in and out, invitations, and the list of people."""

from __future__ import annotations

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotFound, Refused
from mentor_training.journal.queries import is_moving_in
from mentor_training.people import actions, queries
from mentor_training.people.access import (
    db,
    done,
    guarded,
    instance,
    me,
    now,
    public,
    sign_in_person,
    sign_out_person,
)
from mentor_training.people.forms import ExtraTimeForm, RosterForm, SignInForm, WelcomeForm
from mentor_training.people.permissions import Act
from mentor_training.people.roster import read_roster
from mentor_training.web.uploads import uploaded_text

pages = Blueprint("people", __name__)

DEMO_PEOPLE = (
    ("v-001", "the student volunteer"),
    ("o-01", "the observing instructor"),
    ("i-01", "the course instructor"),
    ("c-01", "the coordinator"),
)


@pages.get("/sign-in")
@public
def sign_in() -> str:
    """Show the sign-in page; a demo offers its four people by one button each."""
    return _sign_in_page(SignInForm(then=request.args.get("then", "")))


@pages.post("/sign-in")
@public
def sign_in_submit() -> Response | tuple[str, int]:
    """Sign in, or say in words that address and password do not fit together."""
    form = SignInForm()
    if not form.validate_on_submit():
        return _sign_in_page(form), 422
    address, database = form.email.data or "", instance().database
    try:
        with database.writing() as short:
            number = actions.begin_try(short, now(), address, request.remote_addr or "")
    except Refused as no:
        form.password.errors = list(no.reasons)
        return _sign_in_page(form), 429
    with database.reading() as quiet:
        person = actions.check_password(quiet, address, form.password.data or "")
    if person is None:
        form.password.errors = ["Address and password do not fit together. Check both and try again."]
        return _sign_in_page(form), 422
    with database.writing() as short:
        actions.end_try(short, number)
    sign_in_person(person)
    return redirect(_local(form.then.data) or url_for("overview.home"), 303)


@pages.post("/sign-in/demo/<code>")
@public
def sign_in_demo(code: str) -> Response:
    """Sign in as one of the four people of the demo's story; there is no such page elsewhere."""
    if not instance().settings.demo or code not in dict(DEMO_PEOPLE):
        abort(404)
    sign_in_person(queries.person_for(db(), code))
    return done(url_for("overview.home"))


@pages.post("/sign-out")
@public
def sign_out() -> Response:
    """Sign out."""
    sign_out_person()
    flash("You are signed out.")
    return redirect(url_for("people.sign_in"), 303)


@pages.get("/welcome/<token>")
@public
def welcome(token: str) -> str:
    """Show an invited person where to choose a password."""
    return _welcome_page(token, WelcomeForm())


@pages.post("/welcome/<token>")
@public
def welcome_submit(token: str) -> Response | tuple[str, int]:
    """Store the chosen password and sign the person in."""
    form = WelcomeForm()
    if not form.validate_on_submit():
        return _welcome_page(token, form), 422
    if form.password.data != form.again.data:
        form.again.errors = ["The two are not the same; write it once more."]
        return _welcome_page(token, form), 422
    try:
        person = actions.accept_invitation(
            db(), now(), token, form.password.data or "", instance().settings.minimum_length
        )
    except Refused as no:
        form.password.errors = list(no.reasons)
        return _welcome_page(token, form), 422
    sign_in_person(person)
    return done(url_for("overview.home"), f"Welcome, {person.name}.")


@pages.get("/people")
@guarded(Act.INVITE)
def listing() -> str:
    """List everybody with an account, and take a roster in."""
    return render_template("people/listing.html", people=queries.people(db()), form=RosterForm(), problems=())


@pages.post("/people/import")
@guarded(Act.INVITE)
def import_submit() -> Response | tuple[str, int]:
    """Take people.csv in whole, or say everything that is wrong with it and take nothing."""
    form = RosterForm()
    rows, problems = read_roster(uploaded_text("file"))
    if problems:
        page = render_template("people/listing.html", people=queries.people(db()), form=form, problems=problems)
        return page, 422
    changed = actions.import_people(db(), now(), me(), rows, is_moving_in(db()))
    return done(url_for("people.listing"), f"{len(rows)} rows read, {changed} of them new or changed.")


@pages.post("/people/<code>/invite")
@guarded(Act.INVITE)
def invite_submit(code: str) -> tuple[str, int]:
    """Make an invitation and show its address once, to be handed over."""
    token = actions.invite(db(), now(), me(), code)
    person = queries.person_for(db(), code)
    db().commit()
    address = instance().settings.address + url_for("people.welcome", token=token)
    return render_template("people/invited.html", person=person, address=address), 200


@pages.get("/people/<code>/accommodation")
@guarded(Act.KEEP_ACCOMMODATIONS)
def accommodation(code: str) -> str:
    """Show how much extra time a person is allowed, and the form to set it."""
    person = queries.person_for(db(), code)
    return _accommodation_page(code, ExtraTimeForm(percent=person.extra_time_percent))


@pages.post("/people/<code>/accommodation")
@guarded(Act.KEEP_ACCOMMODATIONS)
def accommodation_submit(code: str) -> Response | tuple[str, int]:
    """Set how much extra time a person is allowed."""
    form = ExtraTimeForm()
    if not form.validate_on_submit() or form.percent.data is None:
        return _accommodation_page(code, form), 422
    person = actions.set_extra_time(db(), now(), me(), code, form.percent.data)
    return done(url_for("people.listing"), f"Kept for {person.name}.")


@pages.get("/me")
@guarded(Act.SEE_OWN_ACCOUNT)
def own() -> str:
    """Show one's own account, and whether digests come by mail."""
    person = queries.person_for(db(), me().code)
    return render_template("people/own.html", person=person, wanted=queries.wants_digests(db(), person.code))


@pages.post("/me/digests")
@guarded(Act.SEE_OWN_ACCOUNT)
def digests_submit() -> Response:
    """Turn one's own digests on or off."""
    wanted = request.form.get("wanted") == "yes"
    actions.choose_digests(db(), now(), me(), wanted)
    return done(url_for("people.own"), "Digests come by mail." if wanted else "No digests come by mail any more.")


def _accommodation_page(code: str, form: ExtraTimeForm) -> str:
    return render_template("people/accommodation.html", person=queries.person_for(db(), code), form=form)


def _sign_in_page(form: SignInForm) -> str:
    offered = DEMO_PEOPLE if instance().settings.demo else ()
    people = [(queries.person_for(db(), code), what) for code, what in offered]
    return render_template("people/sign_in.html", form=form, demo_people=people)


def _welcome_page(token: str, form: WelcomeForm) -> str:
    person = queries.by_invitation(db(), token, now())
    if person is None:
        raise NotFound("this invitation, or it has ended; ask the coordinator for a new one")
    return render_template(
        "people/welcome.html", form=form, token=token, person=person, minimum=instance().settings.minimum_length
    )


def _local(address: str | None) -> str:
    """Return an address within this site; anything else would send people away.

    A control character or a backslash is dropped or turned by browsers after any check, so none is let through.
    """
    text = address or ""
    if not text.startswith("/") or text.startswith("//") or "\\" in text or not text.isprintable():
        return ""
    return text
