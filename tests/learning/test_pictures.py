"""The picture of items: the same figures give the same bytes, and nothing that the site's policy forbids."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

import mentor_training
from mentor_training.learning.pictures import FOR_A_PHONE, TITLE, Point, describe, draw_items
from mentor_training.web.charts import BY_DAY, BY_NIGHT

POINTS = [Point(1, 0.95, 0.2, marked=True), Point(2, 0.89, 0.4), Point(3, 0.93, 0.25), Point(4, 0.3, -0.2)]
SVG = "{http://www.w3.org/2000/svg}"


def test_the_same_figures_give_the_same_bytes() -> None:
    """Also when several pages ask at once; by night and for a phone it is another picture."""
    first = draw_items(POINTS, 0)
    with ThreadPoolExecutor(4) as threads:
        assert set(threads.map(lambda _: draw_items(POINTS, 0), range(4))) == {first}
    assert len({first, draw_items(POINTS, 0, BY_NIGHT), draw_items(POINTS, 0, inches=FOR_A_PHONE)}) == 3
    assert draw_items(POINTS[:3], 0) != first


def test_it_has_a_title_and_a_description_and_no_style_of_its_own() -> None:
    """WCAG 1.1.1; the policy of every answer allows no inline style, and a script never."""
    text = draw_items(POINTS, 2).decode()
    picture = ET.fromstring(text)  # noqa: S314 - made by ourselves a line above
    assert (picture.tag, picture.get("role")) == (f"{SVG}svg", "img")
    assert picture.findtext(f"{SVG}title") == TITLE
    assert picture.findtext(f"{SVG}desc") == describe(POINTS, 2)
    assert not any(one.tag in (f"{SVG}style", f"{SVG}script") or one.get("style") for one in picture.iter())
    assert picture.get("stroke-linejoin") == "round"


def test_a_square_marks_what_points_at_the_module() -> None:
    """Another form and another color, so that neither carries it alone."""
    plain = [Point(one.number, one.difficulty, one.discrimination) for one in POINTS]
    marked, unmarked = draw_items(POINTS, 0).decode(), draw_items(plain, 0).decode()
    assert "#9a4b00" in marked
    assert "#9a4b00" not in unmarked


def test_its_colors_are_those_of_the_page() -> None:
    """By day and by night, as the style sheet names them."""
    sheet = (Path(mentor_training.__file__).parent / "web" / "static" / "ink.css").read_text(encoding="utf-8")
    for colors, part in zip((BY_DAY, BY_NIGHT), sheet.split("prefers-color-scheme: dark"), strict=True):
        of_page = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", part))
        assert [of_page[role] for role in ("ink", "quiet", "line", "see", "paper")] == list(astuple(colors))


def test_the_description_says_what_the_eye_would_see() -> None:
    """How many, how many poor, which are marked, how many are left out."""
    assert describe(POINTS, 2) == (
        "4 items, from left to right by the share of points reached, from bottom to top by how well they tell "
        "the upper group from the lower; 1 below 0.20. Squares were chosen unsafe by 5% or more: 1. "
        "Not drawn, because not defined: 2 items. The table gives every figure."
    )
    assert describe(POINTS[1:2], 0).startswith("1 item, ")
    assert "Squares" not in describe(POINTS[1:], 0)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.builds(Point, st.integers(1, 40), st.floats(0, 1), st.floats(-1, 1), st.booleans()), max_size=20))
def test_any_figures_can_be_drawn(points: list[Point]) -> None:
    """None at all, all in one place, at the very ends."""
    picture = ET.fromstring(draw_items(points, 0))  # noqa: S314 - made by ourselves
    assert picture.findtext(f"{SVG}desc")
