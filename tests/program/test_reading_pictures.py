"""Pictures of modules: what may be in one, and that nothing else is ever let in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.pictures import ATTRIBUTES, ELEMENTS, read_pictures

FILE = "modules/pictures/stance.svg"
GOOD = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 480 320">
  <title>Spotting stance</title>
  <desc>A helper stands
    with staggered feet.</desc>
  <g transform="translate(10 20)"><path class="ink" d="M1 2 L3 4" stroke-width="3"/></g>
  <text class="label" x="10" y="20" font-size="20">Arm's reach &amp; less</text>
</svg>
"""


def read(text: str) -> tuple[object, list[str]]:
    report = Report()
    found = read_pictures({FILE: text}, report)
    return found["stance"], [str(one) for one in report.in_order()]


def test_a_drawing_is_read_with_its_title_and_all_it_shows_in_words() -> None:
    """Its shapes are written down again, without the root, the title and the description."""
    picture, findings = read(GOOD)
    assert findings == []
    assert (picture.slug, picture.title, picture.box) == ("stance", "Spotting stance", "0 0 480 320")  # type: ignore[attr-defined]
    assert picture.words == "A helper stands with staggered feet."  # type: ignore[attr-defined]
    shapes = picture.shapes  # type: ignore[attr-defined]
    assert '<path class="ink" d="M1 2 L3 4" stroke-width="3"></path>' in shapes
    assert "Arm&#x27;s reach &amp; less</text>" in shapes
    assert "title" not in shapes


@pytest.mark.parametrize(
    ("old", "new", "line", "what"),
    [
        ("<path class", "<script>alert(1)</script><path class", 5, "<script> does not belong in a picture"),
        ("<path class", '<image href="x.png"/><path class', 5, "<image> does not belong in a picture"),
        ("<path class", "<foreignObject/><path class", 5, "<foreignObject> does not belong in a picture"),
        ('d="M1', 'onclick="go()" d="M1', 5, "`onclick` does not belong on <path>"),
        ('d="M1', 'style="fill:red" d="M1', 5, "`style` does not belong on <path>"),
        ('class="ink"', 'class="red"', 5, "`red` is no role of a color"),
        ('d="M1', 'fill="#f00" d="M1', 5, 'fill="#f00" names a color'),
        ('d="M1 2', 'd="url(x) M1;2', 5, "`d` holds more than figures and words"),
        ("<text", "loose words <text", 6, "words stand outside <text>"),
        ("</g>", "", 7, "this is no SVG that can be read (mismatched tag)"),
        ('viewBox="0 0 480 320"', 'width="480"', 1, "the picture has no size"),
        ("<svg xmlns", "<!DOCTYPE svg [<!ENTITY a 'b'>]>\n<svg xmlns", 1, "a picture declares no document type"),
    ],
)
def test_what_does_not_belong_in_a_picture_is_said_at_its_line(old: str, new: str, line: int, what: str) -> None:
    """Nothing that runs, fetches, refers or brings its own colors; and then there is no picture at all."""
    picture, findings = read(GOOD.replace(old, new, 1))
    assert picture is None
    assert any(one.startswith(f"{FILE}:{line}: {what}") for one in findings), findings


def test_a_picture_that_says_nothing_is_advised_on() -> None:
    """A title and a description are what those have who cannot see it."""
    picture, findings = read(GOOD.replace("<title>Spotting stance</title>", ""))
    assert picture
    assert findings == [
        f"{FILE}:1: the picture has no <title>; say what the picture shows to who cannot see it",
    ]


NAMES = st.sampled_from([*ELEMENTS, "script", "a", "use", "style", "image", "foreignObject", "animate", "iframe"])
KEYS = st.sampled_from([*ATTRIBUTES, "onload", "href", "style", "src", "id", "xlink"])
VALUES = st.text(alphabet="abc 019.,-()\"'<>&:;#/", max_size=12)


@given(st.lists(st.tuples(NAMES, KEYS, VALUES), max_size=6))
def test_whatever_is_written_nothing_but_shapes_and_words_gets_through(parts: list[tuple[str, str, str]]) -> None:
    """Either there is a fault, or each element and attribute is one that can only draw."""
    inside = "".join(f'<{name} {key}="{value}"></{name}>' for name, key, value in parts)
    picture, _ = read(f'<svg viewBox="0 0 9 9">{inside}</svg>')
    if picture:
        shapes = picture.shapes  # type: ignore[attr-defined]
        for bad in ("script", "<a ", "<use", "<style", "<image", "foreign", "onload", "href", "style=", "src=", "url("):
            assert bad not in shapes


@pytest.mark.parametrize("encoding", ["utf-7", "foo", "iso-8859-1"])
def test_an_encoding_that_a_file_declares_changes_nothing(encoding: str) -> None:
    """The file was read as UTF-8 already."""
    picture, findings = read(f'<?xml version="1.0" encoding="{encoding}"?>\n' + GOOD.replace("Arm's", "\u00c9ric's"))
    assert findings == []
    assert "\u00c9ric" in picture.shapes  # type: ignore[attr-defined]
