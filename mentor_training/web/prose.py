"""From Markdown that authors write to HTML that cannot run anything."""

from __future__ import annotations

from functools import lru_cache

import nh3
from markdown import Markdown
from markupsafe import Markup

EXTENSIONS = ("tables", "sane_lists")
TAGS = {
    "a", "b", "blockquote", "br", "code", "em", "h2", "h3", "h4", "h5", "h6", "hr", "i", "li", "ol", "p", "pre",
    "strong", "sub", "sup", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
ATTRIBUTES = {"a": {"href", "title"}, "ol": {"start"}}
SCHEMES = {"http", "https", "mailto", "tel"}


# A text never changes under its own key, and rendering takes milliseconds.
@lru_cache(maxsize=512)
def prose(text: str) -> Markup:
    """Return Markdown as HTML with tags for text only: no script, no style, no picture, links to known schemes.

    HTML inside the Markdown passes through the same gate.
    """
    raw = Markdown(extensions=list(EXTENSIONS), output_format="html").convert(text)
    clean = nh3.clean(raw, tags=TAGS, attributes=ATTRIBUTES, url_schemes=SCHEMES, link_rel="noopener noreferrer")
    # What comes back holds nothing but the tags and attributes above; that is what makes it safe to mark so.
    return Markup(clean)  # noqa: S704
