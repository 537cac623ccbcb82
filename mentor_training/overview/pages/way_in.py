"""The way in: each person is led to the page they come for."""

from __future__ import annotations

from flask import redirect, url_for
from werkzeug.wrappers import Response

from mentor_training.overview.pages.blueprint import pages
from mentor_training.overview.rules import home_of
from mentor_training.people.access import maybe_me, public
from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, OBSERVER, VOLUNTEER

# With several roles, the first that somebody has decides; the others are one press away.
HOMES = (
    (COORDINATOR, "overview.today"),
    (OBSERVER, "observing.today"),
    (COURSE_INSTRUCTOR, "hours.sections"),
    (VOLUNTEER, "overview.my_path"),
)


@pages.get("/")
@public
def home() -> Response:
    """Lead each person to the page they come for; a stranger to signing in."""
    me = maybe_me()
    if me is None:
        return redirect(url_for("people.sign_in"))
    return redirect(url_for(home_of(me.roles, HOMES) or "program.overview"))
