"""Somebody who uses the site as a person does: opens pages, fills in the forms that stand there, sends them."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from werkzeug.test import Client, TestResponse

from tests.builders import PASSWORD


class Forms(HTMLParser):
    """Collects the forms of a page: address and the values that stand in their fields; one that only asks has none."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, list[str]]]] = []
        self._select: str | None = None
        self._area: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a form, or a field with the value that stands in it."""
        values = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append((values.get("action", "") if values.get("method") == "post" else "", {}))
        elif tag == "input" and self.forms and "name" in values:
            self._note_input(values)
        elif tag == "select" and self.forms:
            self._select = values.get("name")
        elif tag == "option" and self._select and "selected" in values:
            self._add(self._select, values.get("value", ""))
        elif tag == "textarea" and self.forms:
            self._area = values.get("name")

    def handle_data(self, data: str) -> None:
        """Note the text that stands in a text area."""
        if self._area:
            self._add(self._area, data.lstrip("\r\n"))
            self._area = None

    def handle_endtag(self, tag: str) -> None:
        """Leave a select or a text area."""
        if tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def _note_input(self, values: dict[str, str]) -> None:
        kind = values.get("type", "text")
        if kind in ("submit", "button", "file") or (kind in ("radio", "checkbox") and "checked" not in values):
            return
        self._add(values["name"], values.get("value", "on" if kind == "checkbox" else ""))

    def _add(self, name: str, value: str) -> None:
        self.forms[-1][1].setdefault(name, []).append(value)


def forms_of(page: str) -> list[tuple[str, dict[str, list[str]]]]:
    """Return the forms of a page."""
    parser = Forms()
    parser.feed(page)
    return parser.forms


class Visitor:
    """A person with a browser, over the test client: no shortcut past forms, CSRF or permissions."""

    def __init__(self, client: Client) -> None:
        self.client = client

    def sign_in(self, code: str) -> Visitor:
        """Sign in with address and password."""
        answer = self.send("/sign-in", "/sign-in", email=f"{code}@marrowdale.example", password=PASSWORD)
        assert answer.status_code == 303, answer.text
        return self

    def get(self, address: str) -> TestResponse:
        """Open a page."""
        return self.client.get(address)

    def send(self, page: str, action: str, **values: object) -> TestResponse:
        """Open a page, fill the form there that goes to `action` (compared up to any query), and send it."""
        opened = self.client.get(page)
        assert opened.status_code == 200, f"{page}: {opened.status_code}\n{opened.text[:2000]}"
        return self.fill(opened.text, action, **values)

    def fill(self, page: str, action: str, **values: object) -> TestResponse:
        """Fill and send the form of a page at hand that goes to `action`."""
        found = [form for form in forms_of(page) if form[0].split("?")[0] == action and "csrf_token" in form[1]]
        assert found, f"no form to {action}; there are {[form[0] for form in forms_of(page)]}"
        address, data = found[0]
        return self.client.post(address, data={**data, **values}, content_type="multipart/form-data")


def flat(page: str) -> str:
    """Return a page's text without tags, in one line."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page))
