"""The accessibility checker finds what it is there to find, so that its silence means something."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser import axe

GOOD = """<!doctype html><html lang="en"><head><title>Stations</title></head>
<body><main><h1>Stations</h1><label for="s">Station</label><input id="s"></main></body></html>"""
BAD = GOOD.replace("<label", "<span").replace("</label>", "</span>").replace("</main>", '<img src="data:,"></main>')


def test_a_sound_page_has_no_findings(page: Page) -> None:
    """A page with a language, a title, and a label beside its field passes."""
    page.set_content(GOOD)
    assert axe.violations(page) == []


def test_a_field_without_a_label_and_a_picture_without_words_are_found(page: Page) -> None:
    """WCAG 2.2, 1.1.1 and 4.1.2: axe-core's rules `image-alt` and `label` name them."""
    page.set_content(BAD)
    assert {line.partition(":")[0] for line in axe.violations(page)} == {"image-alt", "label"}
