"""Every name the files define, gathered before anything is read, so that files may refer to each other in any order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from mentor_training.program.reading.document import Document
from mentor_training.program.reading.entry import Entry
from mentor_training.program.reading.findings import nearest

KINDS = ("module", "skill", "paper")
_FOLDERS = {"modules/": "module", "program/skills/": "skill"}


@dataclass(frozen=True)
class Names:
    """Slugs by what they name; of a kind in `unsure` some may be missing, because its file could not be read."""

    of: Mapping[str, tuple[str, ...]]
    unsure: frozenset[str]

    def items(self) -> list[str]:
        """Return the names of all items, such as `skill/guarding-balance`."""
        return [f"{kind}/{slug}" for kind in KINDS for slug in self.of[kind]]

    def knows(self, kind: str, slug: str) -> bool:
        """Say whether there is such a thing, or may be."""
        return slug in self.of[kind] or kind in self.unsure

    def check(self, entry: Entry, kind: str, slug: str, *path: str | int) -> None:
        """Report a name that nothing has."""
        if not self.knows(kind, slug):
            entry.fault(f"unknown {kind} `{slug}`", nearest(slug, self.of[kind]), *path)

    def check_item(self, entry: Entry, name: str, *path: str | int) -> None:
        """Report an item that no file defines."""
        kind, _, slug = name.partition("/")
        if kind in KINDS and slug and self.knows(kind, slug):
            return
        if kind not in KINDS and slug in [one for some in KINDS for one in self.of[some]]:
            kind = ""
        same = [item for item in self.items() if item.partition("/")[2] == (slug or name)]
        right = f"did you mean `{same[0]}`?" if same else nearest(name, self.items())
        if "/" not in name and not same:
            right = f"an item is written module/SLUG, skill/SLUG or paper/SLUG: {right}"
        entry.fault(f"unknown item `{name}`", right, *path)


def gather(documents: Mapping[str, Document], unreadable: Iterable[str]) -> Names:
    """Collect the names from the parsed files; a file that could not be parsed still lends its own name."""
    of: dict[str, list[str]] = {kind: [] for kind in (*KINDS, "standard", "framework", "activity")}
    unsure: set[str] = set()
    for file in (*documents, *unreadable):
        kind = next((kind for folder, kind in _FOLDERS.items() if file.startswith(folder)), None)
        if kind:
            document = documents.get(file)
            slug = document.data.get("slug") if document else None
            of[kind].append(slug if isinstance(slug, str) else file.rsplit("/", 1)[-1].removesuffix(".md"))
    for kind, file, key in (
        ("paper", "program/papers.toml", "paper"),
        ("standard", "program/standards.toml", "standard"),
        ("framework", "program/standards.toml", "framework"),
    ):
        of[kind] += [one for one in _values(documents, file, key, "slug") if isinstance(one, str)]
        if file in unreadable:
            unsure.add(kind)
    for tags in _values(documents, "program/stations.toml", "station", "activities"):
        of["activity"] += [one for one in tags if isinstance(one, str)] if isinstance(tags, list) else []
    if "program/stations.toml" in unreadable:
        unsure.add("activity")
    return Names({kind: tuple(dict.fromkeys(names)) for kind, names in of.items()}, frozenset(unsure))


def _values(documents: Mapping[str, Document], file: str, key: str, name: str) -> list[Any]:
    document = documents.get(file)
    tables = document.data.get(key) if document else None
    return [one.get(name) for one in tables if isinstance(one, dict)] if isinstance(tables, list) else []
