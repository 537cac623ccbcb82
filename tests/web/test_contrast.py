"""Every text and every edge can be told from what it stands on, by day, by night and on paper."""

from __future__ import annotations

import re

import pytest

from tests.web.contrast import STATIC, ratio, roles

SCHEMES = ("light", "dark", "print")
GROUNDS = ("paper", "field", "touched")
TEXTS = ("ink", "quiet", "press", "press-down", "see")
# What is drawn and must be seen to use the page: edges of fields and buttons, the focus line, the chosen page's line.
EDGES = ("ink", "quiet", "press", "press-down", "see")
TEXT_AA, EDGE_AA = 4.5, 3.0


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("#000", "#fff", 21.0),
        ("#fff", "#fff", 1.0),
        ("#767676", "#fff", 4.542225),
        ("#777777", "#fff", 4.478089),
        ("#595959", "#fff", 7.004729),
        ("#5a5a5a", "#fff", 6.896926),
        ("#949494", "#fff", 3.033470),
        ("#959595", "#fff", 2.995346),
        ("#808080", "#fff", 3.949440),
        ("#ff0000", "#fff", 3.998477),
        ("#008000", "#fff", 5.137403),
        ("#0000ff", "#fff", 8.592471),
        ("#0000ee", "#fff", 9.397616),
        ("#ffff00", "#fff", 1.073839),
        ("#777777", "#000", 4.689500),
    ],
)
def test_the_formula_gives_the_known_ratios(first: str, second: str, expected: float) -> None:
    """The pairs around the thresholds come out as WCAG 2.2's definition has them, to six decimals, in either order.

    Source: w3c/wcag at 58080bdb, relative-luminance.html and contrast-ratio.html; the numbers computed from that text.
    """
    assert ratio(first, second) == pytest.approx(expected, abs=5e-7)
    assert ratio(second, first) == ratio(first, second)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_text_stands_out_from_every_ground(scheme: str, text: str, ground: str) -> None:
    """Text is at least 4.5:1 on each ground it may stand on, not rounded (WCAG 2.2, 1.4.3)."""
    colors = roles(scheme)
    assert ratio(colors[text], colors[ground]) >= TEXT_AA


@pytest.mark.parametrize("pressed", ["press", "press-down"])
@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_words_on_a_button_can_be_read(scheme: str, pressed: str) -> None:
    """The text of a filled button is at least 4.5:1 on its ground, also under the pointer (WCAG 2.2, 1.4.3)."""
    colors = roles(scheme)
    assert ratio(colors["on-press"], colors[pressed]) >= TEXT_AA


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_words_of_the_skip_link_can_be_read(scheme: str) -> None:
    """The skip link is paper on ink, at least 4.5:1 (WCAG 2.2, 1.4.3)."""
    colors = roles(scheme)
    assert ratio(colors["paper"], colors["ink"]) >= TEXT_AA


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_edge_of_a_control_can_be_seen(scheme: str, edge: str, ground: str) -> None:
    """What shows where a control is, or that it has the focus, is at least 3:1 (WCAG 2.2, 1.4.11)."""
    colors = roles(scheme)
    assert ratio(colors[edge], colors[ground]) >= EDGE_AA


def test_the_schemes_have_the_same_roles() -> None:
    """A role that one scheme leaves out would show the other's color."""
    assert set(roles("light")) == set(roles("dark")) == set(roles("print"))
    assert set(roles("light")) == {*GROUNDS, *TEXTS, "on-press", "line"}


def test_colors_are_written_in_no_other_place() -> None:
    """Outside the blocks of roles no style sheet names a color, so the ratios above are the whole truth."""
    for sheet in STATIC.glob("*.css"):
        rules = re.sub(r":root\s*\{.*?\}", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
        assert not re.findall(r"#[0-9a-f]{3,8}\b|\b(?:rgba?|hsla?|oklch|color-mix)\(", rules), sheet.name


def test_rules_alone_have_the_color_of_lines() -> None:
    """`line` is too pale for text or for the edge of a control: it is used for borders only, never for a field's."""
    for sheet in STATIC.glob("*.css"):
        for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", sheet.read_text(encoding="utf-8")):
            if "var(--line)" in body:
                uses = [line for line in body.splitlines() if "var(--line)" in line]
                assert all(line.strip().startswith("border") for line in uses), (sheet.name, selector.strip())
                assert not re.search(r"\b(input|select|textarea|button)\b", selector), (sheet.name, selector.strip())
