"""A module's line drawings on its pages: where they stand, what a screen reader says, what is not shown."""

from __future__ import annotations

from mentor_training.learning.markdown import render_section
from mentor_training.program.catalog import Module, Picture, Section

STANCE = Picture("stance", "Spotting stance", "Feet staggered.", "0 0 480 320", '<path class="ink" d="M1 2"></path>')
TEXT = """Before.

![A helper with "staggered" feet](pictures/stance.svg "How to stand")

After.
"""


def html_of(body: str, *pictures: Picture) -> str:
    section = Section("one", "One", body)
    module = Module("spotting", "Spotting", 1, 10, (section,), pictures=pictures)
    return "\n".join(str(piece.html) for piece in render_section(module, section))


def test_a_drawing_stands_in_the_text_with_its_alternative_its_caption_and_its_words() -> None:
    """The drawing is part of the page; its alternative is its name, and the long words can be opened."""
    html = html_of(TEXT, STANCE)
    assert html.index("Before.") < html.index("<figure") < html.index("After.")
    assert 'role="img" aria-label="A helper with &#34;staggered&#34; feet"' in html
    assert '<path class="ink" d="M1 2"></path>' in html
    assert "<figcaption>How to stand</figcaption>" in html
    assert "The picture in words" in html
    assert "Feet staggered." in html


def test_a_drawing_without_an_alternative_goes_by_its_title() -> None:
    """The check of the files advises to write one."""
    assert 'aria-label="Spotting stance"' in html_of("![](pictures/stance.svg)", STANCE)


def test_any_other_picture_and_one_in_code_is_not_shown() -> None:
    """Nothing is ever fetched for a module's page."""
    html = html_of("![x](https://somewhere.example/x.png)\n\n```\n![x](pictures/stance.svg)\n```\n", STANCE)
    assert "<figure" not in html
    assert "<img" not in html
    assert "pictures/stance.svg" in html


def test_a_drawing_that_is_not_there_leaves_nothing_behind() -> None:
    """It is a fault of the files; a page that is shown all the same goes on without it."""
    assert "<figure" not in html_of(TEXT)
