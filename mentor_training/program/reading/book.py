"""What the readers of single files share: the parsed files, the names, the report; and shelves for what they read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from mentor_training.program.catalog import Picture
from mentor_training.program.reading.document import Document
from mentor_training.program.reading.entry import Entry
from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.names import Names

T = TypeVar("T")


@dataclass(frozen=True)
class Book:
    """All files of one definition."""

    documents: Mapping[str, Document]
    names: Names
    report: Report
    pictures: Mapping[str, Picture | None] = field(default_factory=dict)

    def tables(self, file: str, **whats: str) -> dict[str, list[Entry]]:
        """Return the lists of tables of a TOML file, by key; none where the file is not there."""
        document = self.documents.get(file)
        if document is None:
            return {key: [] for key in whats}
        top = Entry(document, self.report, "this file")
        found = {key: top.entries(key, what) for key, what in whats.items()}
        top.close()
        return found

    def files(self, folder: str, what: str) -> list[Entry]:
        """Return the files of a folder, each as one table."""
        return [Entry(one, self.report, what) for file, one in self.documents.items() if file.startswith(folder)]


class Shelf(Generic[T]):
    """Things by their slug, in the order of the files; a slug used twice is a fault that names both places."""

    def __init__(self, what: str, right: str = "give each a name of its own") -> None:
        self.what = what
        self.right = right
        self.things: dict[str, T] = {}
        self._places: dict[str, str] = {}

    def put(self, slug: str, thing: T, entry: Entry, *path: str | int) -> None:
        """Put a thing on the shelf; with no slug, which has been reported, it is left out."""
        if not slug:
            return
        if slug in self._places:
            what = f"{self.what} `{slug}` is there twice, first at {self._places[slug]}"
            entry.fault(what, self.right, *path)
            return
        self.things[slug] = thing
        self._places[slug] = entry.place(*path)
