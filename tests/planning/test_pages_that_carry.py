"""The plan that a page carries, read again by whoever takes it: anybody can send anything."""

from __future__ import annotations

import json

import pytest
from werkzeug.exceptions import BadRequest

from mentor_training.planning.pages.carrying import read_placements

ROW = {"block": 1, "station": "balance-lane", "mentor": "v-001", "role": "mentor", "participant": "p-01"}


def test_what_the_page_wrote_is_read_with_no_level() -> None:
    """Levels are asked anew when it is stored."""
    [placed] = read_placements(json.dumps([ROW]))
    assert (placed.mentor, placed.participant, placed.level) == ("v-001", "p-01", 0)


@pytest.mark.parametrize(
    "text",
    ["[" * 100_000, *(json.dumps([{**ROW, "mentor": code}]) for code in ("\ud800", "v\0", 1, None))],
    ids=["nested too deeply", "half a character", "NUL", "a number", "nobody"],
)
def test_what_no_page_wrote_is_bad_input(text: str) -> None:
    """And never an error of the program, on either database."""
    with pytest.raises(BadRequest):
        read_placements(text)
