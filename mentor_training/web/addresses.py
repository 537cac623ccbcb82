"""What may stand in an address: numbers that a database can hold."""

from __future__ import annotations

from flask import Flask
from werkzeug.routing import IntegerConverter, Map

LARGEST = 2**31 - 1


class NumberInAddress(IntegerConverter):
    """A whole number up to the largest that both databases take as one; a larger one leads to no page."""

    def __init__(self, map: Map) -> None:  # noqa: A002 - the name is the library's
        super().__init__(map, max=LARGEST)


def bound_addresses(app: Flask) -> None:
    """Let every `<int:...>` of an address be bounded; before any page is registered."""
    app.url_map.converters["int"] = NumberInAddress
