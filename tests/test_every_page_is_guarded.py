"""Every page says who may open it, and opens to nobody else; the public ones are a short, fixed list."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.routing import Rule

import mentor_training
from mentor_training.application import create_app
from mentor_training.people.permissions import ROLES, TABLE, Act, may
from tests.builders import World
from tests.sign_in import Visitor

PACKAGE = Path(mentor_training.__file__).parent

PUBLIC = {
    "overview.home": "leads to signing in, or to one's own page",
    "people.sign_in": "the door",
    "people.sign_in_submit": "the door",
    "people.sign_in_demo": "four buttons of a demonstration; there is no such page elsewhere",
    "people.sign_out": "the way out, whoever is in",
    "people.welcome": "an invited person has no password yet; the token in the address is what lets in",
    "people.welcome_submit": "the same",
    "planning.feed": "a calendar program cannot sign in; the secret in the address is what lets in",
    "certificates.ask": "anybody who holds a certificate in their hands may ask whether it is valid",
    "certificates.answer": "the same; it says valid, revoked or unknown, and nothing about the person",
    "certificates.issuer": "whoever checks a credential asks who issues, and by which keys",
    "certificates.achieved": "and what a kind of certificate is, as the program's file says it",
}
# Acts that no page and no command asks for, each with why it stands in the table all the same.
WITHOUT_A_PAGE: dict[Act, str] = {}


def views(app: Flask) -> Iterator[tuple[str, object]]:
    """Give every view of an application but its static files."""
    return ((name, view) for name, view in app.view_functions.items() if name.rpartition(".")[2] != "static")


def unguarded(app: Flask) -> list[str]:
    """Return the views that neither `guarded` nor `public` has marked."""
    return [name for name, view in views(app) if not hasattr(view, "act")]


def public(app: Flask) -> set[str]:
    """Return the views that anybody may open."""
    return {name for name, view in views(app) if getattr(view, "act", "") is None}


def addresses(app: Flask, method: str) -> Iterator[tuple[Act, str]]:
    """Give every guarded page that takes a method, with an address that fits its form."""
    for rule in app.url_map.iter_rules():
        act = getattr(app.view_functions[rule.endpoint], "act", None)
        if act and method in (rule.methods or ()):
            yield act, address_of(rule, app)


def address_of(rule: Rule, app: Flask) -> str:
    return app.url_map.bind("localhost").build(rule.endpoint, dict.fromkeys(rule.arguments, "1"))


def acts_named(folder: Path) -> set[Act]:
    """Return the acts that the modules of a folder name, the table of permissions itself left out."""
    named: set[Act] = set()
    for path in folder.rglob("*.py"):
        if path.name != "permissions.py":
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "Act":
                    named.add(Act[node.attr])
    return named


@pytest.fixture
def app(world: World) -> Flask:
    """Give the whole application."""
    return create_app(world.instance, testing=True)


def test_every_view_says_who_may_open_it(app: Flask) -> None:
    """It is wrapped by `guarded(act)` or by `public`."""
    assert unguarded(app) == []


def test_a_view_that_says_nothing_is_noticed() -> None:
    """A check that never finds anything is no check."""
    bare = Flask("bare")
    bare.add_url_rule("/", "open_door", lambda: "in")
    assert unguarded(bare) == ["open_door"]


def test_the_public_pages_are_these_and_no_others(app: Flask) -> None:
    """A new public page has to be written down here, with its reason."""
    assert public(app) == set(PUBLIC)


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_stranger_is_asked_to_sign_in_wherever_they_go(app: Flask, method: str) -> None:
    """Never the page, never an error that tells whether there is such a thing; a form without its token is refused."""
    client = app.test_client()
    for _, address in addresses(app, method):
        answer = client.open(address, method=method)
        refused = answer.status_code == 400 and method == "POST"
        asked = answer.status_code == 302 and answer.location.startswith("/sign-in")
        assert refused or asked, f"{method} {address}: {answer.status_code}"


@pytest.mark.parametrize("role", ROLES)
def test_a_role_opens_no_page_that_the_table_does_not_give_it(app: Flask, world: World, role: str) -> None:
    """Each page that is not theirs answers 403, before it looks anything up; each that is does not."""
    world.add_person("x-01", role)
    visitor = Visitor(app.test_client()).sign_in("x-01")
    for act, address in addresses(app, "GET"):
        status = visitor.get(address).status_code
        assert status == 403 or may([role], act), f"{role} opened {address} ({status})"
        assert status < 500, f"{address} broke for {role}"


def test_every_act_is_asked_for_by_some_page_or_command() -> None:
    """Or it is said why not; a reason for an act that is asked for has to go."""
    assert set(Act) - acts_named(PACKAGE) == set(WITHOUT_A_PAGE)


def test_the_table_speaks_of_every_act_and_of_known_roles_only() -> None:
    """No act is open to nobody, and none to a role that there is not."""
    assert set(TABLE) == set(Act)
    assert all(roles and roles <= set(ROLES) for roles in TABLE.values())
