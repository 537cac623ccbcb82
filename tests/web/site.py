"""A small site of a few pages, to see the templates, the headers and the error pages at work."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from flask import Flask, render_template_string
from flask_wtf import CSRFProtect
from jinja2 import StrictUndefined
from werkzeug.exceptions import BadRequest

from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.web.as_of import carry_as_of, current_as_of
from mentor_training.web.display import register_display
from mentor_training.web.error_pages import register_error_pages
from mentor_training.web.navigation import NavigationLink
from mentor_training.web.protection import protect

NOW = datetime(2026, 10, 17, 12, 40, tzinfo=UTC)
ZONE = ZoneInfo("America/New_York")
PAGE = """{% extends "base.html" %}
{% import "_macros.html" as ui with context %}
{% block title %}Balance <lane>{{ name }}{% endblock %}
{% block content %}<p>Here</p><a id="on" href="{{ url_for('page') }}">On</a>{% endblock %}"""


@dataclass(frozen=True)
class Someone:
    """A person who is signed in."""

    name: str = "Wilhelmina Quarrie"
    code: str = "c-01"
    roles: tuple[str, ...] = ("coordinator",)


def make_site(me: Someone | None = None, **context: Any) -> Flask:
    """Make the site as `me` sees it; `context` replaces what the templates are given."""
    app = Flask("mentor_training.web")
    app.config.update(SECRET_KEY="only for this site", TESTING=True, PROPAGATE_EXCEPTIONS=False)
    app.jinja_env.undefined = StrictUndefined
    CSRFProtect(app)
    register_display(app, ZONE)
    protect(app)
    carry_as_of(app)
    register_error_pages(app)
    add_pages(app)
    app.context_processor(lambda: given_to_templates(me) | context)
    return app


def given_to_templates(me: Someone | None) -> dict[str, Any]:
    links = (NavigationLink("Clearance", "/", True), NavigationLink("Hours", "/hours", False))
    return {
        "me": me,
        "navigation": links if me else (),
        "as_of": current_as_of(NOW, ZONE),
        "program_name": "Copperfinch Movement Mornings",
        "demo": False,
        "made_at": NOW,
        "journal_head": "9f2c11d084ab",
        "once_token": lambda: "only-once",
    }


def add_pages(app: Flask) -> None:
    """Give the site a page, a form, and a page for each way in which something can go wrong."""
    failures = {
        "refused": Refused("Ansa holds no background check.", "Two <already> work with Teodor."),
        "not-found": NotFound("no volunteer v-999"),
        "not-allowed": NotAllowed("publishing is the coordinator's"),
        "bad": BadRequest("'never' is not a day."),
        "broken": ZeroDivisionError("the reader must not see this"),
    }
    for name, failure in failures.items():
        app.add_url_rule(f"/{name}", name, lambda failure=failure: fail(failure), methods=["GET", "POST"])
    app.add_url_rule("/", "page", lambda: render_template_string(PAGE, name=""))
    app.add_url_rule("/form", "form", lambda: "taken", methods=["POST"])
    app.add_url_rule("/own", "own", lambda: ("kept", {"Cache-Control": "max-age=60"}))
    app.add_url_rule("/moved", "moved", lambda: ("", 303, {"Location": "/"}))


def fail(failure: Exception) -> str:
    raise failure


def draw(source: str, me: Someone | None = None, **values: Any) -> str:
    """Return what a template with the macros imported as `ui` gives."""
    with make_site(me).test_request_context("/"):
        return render_template_string('{% import "_macros.html" as ui with context %}' + source, **values)
