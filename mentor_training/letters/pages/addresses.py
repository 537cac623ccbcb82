"""Addresses that the mail server refuses: which are set aside, and how that is put right."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.letters.actions import try_again
from mentor_training.letters.digests import MOST_REFUSALS
from mentor_training.letters.pages.blueprint import pages
from mentor_training.letters.queries.refused import refused_addresses
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act


@pages.get("/letters/addresses")
@guarded(Act.KEEP_ADDRESSES)
def addresses() -> str:
    """Show which addresses were refused the last time, since when, and to which nothing is sent any more."""
    found = refused_addresses(db())
    aside = [one for one in found if one.is_set_aside]
    return render_template("letters/addresses.html", refused=found, aside=aside, most=MOST_REFUSALS)


@pages.post("/letters/addresses/<code>/again")
@guarded(Act.KEEP_ADDRESSES)
def again_submit(code: str) -> Response:
    """Have an address be tried again by the next mail."""
    try_again(db(), now(), me(), code)
    return done(url_for("letters.addresses"), f"The next mail to {code} is tried.")
