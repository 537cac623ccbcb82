"""Every answer tells the browser what not to do."""

from __future__ import annotations

import pytest

from tests.web.site import Someone, make_site

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
SOURCES = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
    "base-uri": "'none'",
}


@pytest.mark.parametrize("address", ["/", "/static/ink.css", "/refused", "/broken", "/nowhere", "/form", "/moved"])
def test_every_answer_is_protected_whatever_it_is(address: str) -> None:
    """Pages, files, refusals, failures and redirects alike allow nothing but the program's own."""
    with make_site(Someone()).test_client().get(address) as answer:
        headers = answer.headers
    for name, value in HEADERS.items():
        assert headers[name] == value
    policy = dict(part.split(" ", 1) for part in headers["Content-Security-Policy"].split("; "))
    assert policy == SOURCES


@pytest.mark.parametrize("address", ["/", "/refused", "/broken", "/nowhere", "/moved"])
def test_pages_are_kept_nowhere(address: str) -> None:
    """What may show a person's records is stored by no browser and nothing between."""
    assert make_site(Someone()).test_client().get(address).headers["Cache-Control"] == "no-store"


def test_files_and_pages_that_say_so_may_be_kept() -> None:
    """The style sheets are no secret, and a page may set its own rule."""
    client = make_site().test_client()
    with client.get("/static/ink.css") as answer:
        assert "no-store" not in answer.headers.get("Cache-Control", "")
    assert client.get("/own").headers["Cache-Control"] == "max-age=60"
