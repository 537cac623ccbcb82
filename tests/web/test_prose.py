"""Authors' Markdown becomes HTML that cannot run anything."""

from __future__ import annotations

import pytest

from mentor_training.web.prose import prose


def test_markdown_for_text_is_rendered() -> None:
    """Paragraphs, emphasis, lists, smaller headings, tables, links."""
    html = prose(
        "## How\n\n**Stay** close.\n\n1. one\n2. two\n\n| a | b |\n| - | - |\n| 1 | 2 |\n\n[x](https://example.org)"
    )
    for part in ("<h2>How</h2>", "<strong>Stay</strong>", "<ol>", "<td>1</td>", 'href="https://example.org"'):
        assert part in html


@pytest.mark.parametrize(
    "text",
    [
        "<script>run()</script>",
        "<img src=x onerror=run()>",
        "<b onmouseover=run()>x</b>",
        "[x](javascript:run())",
        "[x](data:text/html;base64,cnVuKCk=)",
        '<a href="java\nscript:run()">x</a>',
        "<iframe srcdoc='<script>run()</script>'></iframe>",
        "<svg><script>run()</script></svg>",
        "<style>@import 'run()'</style>",
        '<p style="background:url(run())">x</p>',
        "<form action=run()><button>x</button></form>",
    ],
)
def test_nothing_that_runs_or_loads_passes(text: str) -> None:
    """Neither from Markdown nor from HTML inside it."""
    html = str(prose(f"before\n\n{text}\n\nafter"))
    assert (
        "run()" not in html.replace("&lt;", "<") or "<" not in html.partition("before</p>")[2].partition("<p>after")[0]
    )
    for word in (
        "script",
        "onerror",
        "onmouseover",
        "javascript:",
        "data:",
        "<iframe",
        "<style",
        "style=",
        "<form",
        "<img",
    ):
        assert word not in html
