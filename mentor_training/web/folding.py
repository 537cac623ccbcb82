"""How a wide table folds on a phone: each row becomes an entry, each figure with the head of its column beside it."""

from __future__ import annotations

import re

from markupsafe import Markup

FEWEST_COLUMNS = 4  # Three columns fit a phone as they are.

_HEAD = re.compile(r"<thead\b[^>]*>(.*?)</thead>", re.DOTALL)
_COLUMN = re.compile(r'<th\b((?:[^>"]|"[^"]*")*)>(.*?)</th>', re.DOTALL)
_TAG = re.compile(r'<(table|thead|tbody|tfoot|tr|th|td)\b((?:[^>"]|"[^"]*")*)>(?=(\s*</td>)?)')
_ANY_TAG = re.compile(r"<[^>]*>")
# Other ways of display take a table's meaning from it in some browsers; the roles keep it.
_ROLES = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tfoot": "rowgroup", "tr": "row", "td": "cell"}


def fold(html: Markup) -> Markup:
    """Label the cells of a table with many columns, so that its style may set them one below the other.

    A column that is marked `data-nosort` holds what speaks for itself and gets no label. A table of few columns that
    does not ask for it by `data-fold`, or anything else, is given back as it is.
    """
    head = _HEAD.search(html)
    columns = _COLUMN.findall(head[1]) if head else []
    if not columns or (len(columns) < FEWEST_COLUMNS and " data-fold" not in html):
        return html
    labels = ["" if "data-nosort" in attributes else _words(inner) for attributes, inner in columns]
    return Markup(_TAG.sub(_Labels(labels), html))  # noqa: S704 - made of what the template wrote and escaped already


class _Labels:
    """Rewrites one tag after the other, counting the cells of each row."""

    def __init__(self, labels: list[str]) -> None:
        self.labels = labels
        self.column = 0

    def __call__(self, tag: re.Match[str]) -> str:
        name, attributes, empty = tag[1], tag[2], tag[3]
        if name == "tr":
            self.column = 0
        if name == "th":
            self.column += 1
            role = "rowheader" if 'scope="row"' in attributes else "columnheader"
            return f'<th{attributes} role="{role}">'
        if name == "td":
            label = self.labels[self.column] if self.column < len(self.labels) else ""
            self.column += 1
            attributes = _with_class(attributes, "blank") if empty is not None else attributes
            attributes += f' data-label="{label}"' if label else ""
        if name == "table":
            attributes = _with_class(attributes, "folds")
        return f'<{name}{attributes} role="{_ROLES[name]}">'


def _with_class(attributes: str, name: str) -> str:
    if 'class="' in attributes:
        return attributes.replace('class="', f'class="{name} ', 1)
    return f'{attributes} class="{name}"'


def _words(inner: str) -> str:
    return " ".join(_ANY_TAG.sub(" ", inner).replace('"', "&quot;").split())
