"""axe-core, the accessibility checker, run in a page of the test browser (its licence stands beside it)."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from playwright.sync_api import Page

# The rules of WCAG 2.0 to 2.2, levels A and AA, by axe-core's own tags.
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")


@cache
def source() -> str:
    return (Path(__file__).parent / "axe.min.js").read_text(encoding="utf-8")


def violations(page: Page) -> list[str]:
    """List what axe finds wrong in the page, one line a place: rule, what it asks, the element."""
    page.wait_for_load_state()  # a heading may be seen before the last style sheet has come
    page.evaluate(source())
    found = page.evaluate("tags => axe.run({runOnly: {type: 'tag', values: tags}})", list(TAGS))
    return [
        f"{rule['id']}: {rule['help']}: {node['html'][:160]}" for rule in found["violations"] for node in rule["nodes"]
    ]
