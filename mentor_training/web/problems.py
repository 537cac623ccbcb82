"""What is wrong in a form as one flat list, for the summary above it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from wtforms import Field, FieldList, FormField
from wtforms.form import BaseForm


@dataclass(frozen=True)
class Problem:
    """One thing to be put right: what it is called, what is wrong, and the control to go to, if there is one."""

    label: str
    message: str
    target: str | None


def form_problems(form: BaseForm) -> list[Problem]:
    """Return every problem of a form in the order of its fields, those of nested forms and lists included.

    A problem of the form as a whole, or of a hidden field, has no target: there is no control to go to.
    """
    of_form = [Problem("", str(message), None) for message in getattr(form, "form_errors", ())]
    return [*of_form, *(problem for field in form for problem in _problems(field))]


def _problems(field: Any) -> Iterator[Problem]:
    if isinstance(field, FormField):
        yield from form_problems(field.form)
        return
    if isinstance(field, FieldList):
        for entry in field.entries:
            yield from _problems(entry)
    for message in field.errors:
        if isinstance(message, str) or not isinstance(message, dict | list):
            yield Problem(str(field.label.text), str(message), _target(field))


def _target(field: Field) -> str | None:
    if getattr(field.widget, "input_type", None) == "hidden":
        return None
    return str(field.id)
