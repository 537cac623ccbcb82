"""Whose name tag it is, by what a camera read or a thumb typed; pure."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import unquote

from mentor_training.csv_form import CODE


def code_on_tag(text: str, begins: str) -> str | None:
    """Return whose tag a text is from: the address on the tag, or the code below it as it is typed; None of no tag.

    `begins` is what the address on every tag of this program begins with. Spaces are slips of the thumb.
    """
    code = "".join(unquote("".join(text.split()).removeprefix(begins)).split())
    return code if CODE.fullmatch(code) else None


def code_as_written(typed: str, codes: Iterable[str]) -> str:
    """Return which of some codes was typed: the very one, else the only one of the same letters and digits.

    In whatever case, and with or without the signs between; where several are alike, nobody is guessed.
    """
    known = set(codes)
    alike = [code for code in known if _letters_of(code) == _letters_of(typed)]
    return alike[0] if typed not in known and len(alike) == 1 else typed


def _letters_of(code: str) -> str:
    return "".join(one for one in code.casefold() if one.isalnum())
