"""axe-core, the accessibility checker, run in a page of the test browser (its licence stands beside it)."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from playwright.sync_api import Page

# The rules of WCAG 2.0 to 2.2, levels A and AA, by axe-core's own tags.
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")

COLORS = ("color-contrast", "link-in-text-block")


@cache
def source() -> str:
    return (Path(__file__).parent / "axe.min.js").read_text(encoding="utf-8")


def violations(page: Page) -> list[str]:
    """List what axe finds wrong in the page, one line a place: rule, what it asks, the element.

    By night the colors alone differ: there the rules of colors are asked, where a page was asked all by day.
    """
    page.wait_for_load_state()  # a heading may be seen before the last style sheet has come
    page.evaluate(source())
    by_night = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    asked = {"type": "rule", "values": list(COLORS)} if by_night else {"type": "tag", "values": list(TAGS)}
    # What passes is left in the browser: to hand it over takes as long as to ask.
    run = "asked => axe.run({runOnly: asked, resultTypes: ['violations']}).then(found => found.violations)"
    return [
        f"{rule['id']}: {rule['help']}: {node['html'][:160]}"
        for rule in page.evaluate(run, asked)
        for node in rule["nodes"]
    ]
