"""Every template can be read, every page stands in the frame with a title, and none brings what the policy forbids."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask
from jinja2 import nodes

import mentor_training
from mentor_training.application import create_app
from tests.builders import World

TEMPLATES = Path(mentor_training.__file__).parent / "web" / "templates"

# Templates that are no pages in the frame, each with what it is.
WITHOUT_FRAME = {
    "base.html": "the frame itself",
    "broken.html": "shown when the frame may be what is broken",
}
# `|safe` marks text as HTML that was made elsewhere. Each place says what makes it safe.
MARKED_SAFE: dict[str, str] = {}

INLINE_STYLE = re.compile(r"\sstyle\s*=|<style", re.IGNORECASE)
INLINE_SCRIPT = re.compile(r"<script(?![^>]*\ssrc=)|javascript:", re.IGNORECASE)
HANDLER = re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE)
MARKED = re.compile(r"\|\s*safe\b|\bMarkup\b|autoescape\s+false")
FAR = re.compile(r"(?:src|href)\s*=\s*[\"'](?:https?:)?//", re.IGNORECASE)
COMMENT = re.compile(r"\{#.*?#\}", re.DOTALL)


def templates() -> dict[str, str]:
    """Return every template by its name, its comments left out."""
    found = sorted(TEMPLATES.rglob("*.html"))
    return {str(path.relative_to(TEMPLATES)): COMMENT.sub("", path.read_text(encoding="utf-8")) for path in found}


def is_part(name: str) -> bool:
    """Tell whether a template is a part of others: its name begins with an underscore."""
    return Path(name).name.startswith("_")


def is_paper(text: str) -> bool:
    """Tell whether a template is a sheet for a PDF: it carries its style within itself, and no browser opens it."""
    return "font_faces()" in text


def on_screens() -> dict[str, str]:
    """Return the templates that a browser shows."""
    return {name: text for name, text in templates().items() if not is_paper(text)}


def lacks_frame(name: str, text: str) -> bool:
    return not is_part(name) and name not in WITHOUT_FRAME and '{% extends "base.html" %}' not in text


def lacks_title(name: str, text: str) -> bool:
    title = re.search(r"\{% block title %\}(.*?)\{% endblock %\}", text, re.DOTALL)
    return '{% extends "base.html" %}' in text and not (title and title[1].strip())


def has_inline_style(_name: str, text: str) -> bool:
    return INLINE_STYLE.search(text) is not None


def has_inline_script(_name: str, text: str) -> bool:
    return INLINE_SCRIPT.search(text) is not None


def has_a_handler(_name: str, text: str) -> bool:
    return HANDLER.search(text) is not None


def marks_as_safe(name: str, text: str) -> bool:
    return name not in MARKED_SAFE and MARKED.search(text) is not None


def reaches_away(_name: str, text: str) -> bool:
    return FAR.search(text) is not None


def sends_without_a_token(_name: str, text: str) -> bool:
    forms = re.findall(r"<form\b[^>]*\bmethod=\"post\".*?</form>", text, re.DOTALL)
    return any("csrf_token" not in form and "ui.form_" not in form and "form_tokens()" not in form for form in forms)


RULES: dict[Callable[[str, str], bool], str] = {
    # Each rule with a text that breaks it.
    lacks_frame: "<p>Alone</p>",
    lacks_title: '{% extends "base.html" %}{% block title %}{% endblock %}',
    has_inline_style: '<p class="a" style="color: red">Red</p>',
    has_inline_script: "<script>go()</script>",
    has_a_handler: '<button type="button" onclick="go()">Go</button>',
    marks_as_safe: "{{ remark | safe }}",
    reaches_away: '<img src="//elsewhere.example/a.png">',
    sends_without_a_token: '<form method="post" action="/"><button>Go</button></form>',
}


@pytest.mark.parametrize("broken", RULES, ids=lambda rule: rule.__name__)
def test_no_template_breaks_a_rule(broken: Callable[[str, str], bool]) -> None:
    """Every template that a browser shows is looked at."""
    found = on_screens()
    assert len(found) > 50
    assert [name for name, text in found.items() if broken(name, text)] == []


@pytest.mark.parametrize("broken", RULES, ids=lambda rule: rule.__name__)
def test_each_rule_notices_what_breaks_it(broken: Callable[[str, str], bool]) -> None:
    """A check that never finds anything is no check."""
    assert broken("room/page.html", RULES[broken])


@pytest.fixture
def app(world: World) -> Flask:
    """Give the whole application, with its filters."""
    return create_app(world.instance, testing=True)


def test_every_template_can_be_read(app: Flask) -> None:
    """It parses, and every filter and test that it names exists."""
    for name in templates():
        app.jinja_env.get_template(name)


def test_every_template_that_is_named_is_there(app: Flask) -> None:
    """What a template extends, includes or imports is not looked for until it is shown; here it is looked for first."""
    for name, text in templates().items():
        tree = app.jinja_env.parse(text)
        for node in tree.find_all((nodes.Extends, nodes.Include, nodes.Import, nodes.FromImport)):
            named = getattr(node, "template", None)
            if isinstance(named, nodes.Const):
                assert named.value in templates(), f"{name} names {named.value}"


def test_every_address_that_is_named_is_there(app: Flask) -> None:
    """The endpoints that templates give to `url_for` exist, with the arguments they are given or some default."""
    known = set(app.view_functions)
    for name, text in templates().items():
        for call in app.jinja_env.parse(text).find_all(nodes.Call):
            if isinstance(call.node, nodes.Name) and call.node.name == "url_for" and call.args:
                first = call.args[0]
                if isinstance(first, nodes.Const):
                    assert first.value in known, f"{name} leads to {first.value}"


def test_every_page_is_shown_by_some_view() -> None:
    """A page that no module names is left over."""
    package = TEMPLATES.parents[1]
    code = "".join(path.read_text(encoding="utf-8") for path in package.rglob("*.py"))
    pages = [name for name in templates() if not is_part(name) and name not in WITHOUT_FRAME]
    assert [name for name in pages if f'"{name}"' not in code] == []
