"""Pages that show several capabilities: the way in, my path, today."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.people.access import guarded, maybe_me, public
from mentor_training.people.permissions import Act

pages = Blueprint("overview", __name__)


@pages.get("/")
@public
def home() -> Response:
    """Lead each person to the page they come for."""
    me = maybe_me()
    if me is None:
        return redirect(url_for("people.sign_in"))
    return redirect(url_for("overview.my_path" if me.may(Act.SEE_OWN_PATH) else "people.listing"))


@pages.get("/path")
@guarded(Act.SEE_OWN_PATH)
def my_path() -> str:
    """Show a volunteer what is next and what it opens."""
    return render_template("overview/my_path.html")
