"""Cut a module's text into sections, and find the sources it cites and the cautions it places."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from mentor_training.program.catalog import Section
from mentor_training.program.fences import outside_fences
from mentor_training.program.reading.book import Shelf
from mentor_training.program.reading.entry import SLUG, Entry
from mentor_training.program.reading.slugs import made_slug

OPENING = "opening"
_HEADING = re.compile(r"(#{1,6})\s*(.*?)\s*#*\s*")
_SLUG = re.compile(r"(.*?)\s*\{:?\s*#([^\s}]*)\s*\}")
_ATTRIBUTES = re.compile(r"\s*\{:?\s*[#.].*")
_UNDERLINE = re.compile(r"(=+|-+)\s*")
_MARK = re.compile(r"\[([A-Za-z]+)\s*:\s*([^\[\]]*?)\s*\](?![(\[])")
_IMAGE = re.compile(r"!\[([^\]]{0,500})\]\(\s{0,9}([^)\s]{0,500})[^)]{0,500}\)")
PICTURE = re.compile(r"[ ]{0,3}!\[([^\]]*)\]\(pictures/([a-z0-9-]+)\.svg(?:\s+\"([^\"]*)\")?\)\s*")


@dataclass(frozen=True)
class Mark:
    """A `[source: ...]` or `[caution: ...]` in the text; `alone` if it is a paragraph of its own."""

    word: str
    name: str
    line: int
    alone: bool


@dataclass(frozen=True)
class Heading:
    """The heading of a section; `is_unreadable` where something else than a slug stands in the braces behind it."""

    at: int
    level: int
    title: str
    slug: str = ""
    is_unreadable: bool = False

    @classmethod
    def read(cls, at: int, marks: str, text: str) -> Heading:
        """Take a heading apart into its title and its slug, if it has one."""
        found = _SLUG.fullmatch(text)
        title = _ATTRIBUTES.sub("", text) if found is None else found.group(1)
        slug = found.group(2) if found else ""
        return cls(at, len(marks), title, slug, is_unreadable=not slug and bool(_ATTRIBUTES.search(text)))


class ModuleText:
    """The body of a module, line by line."""

    def __init__(self, entry: Entry) -> None:
        self.entry = entry
        self.file = entry.document.file
        self.lines = entry.document.body.split("\n")
        self.first = entry.document.body_line

    def prose(self) -> Iterator[tuple[int, str]]:
        """Yield index and text of each line outside fenced code."""
        for at, (line, is_prose) in enumerate(outside_fences(self.lines)):
            if is_prose:
                yield at, line

    def fault(self, at: int, what: str, right: str) -> None:
        """Report a fault at a line of the body."""
        self.entry.report.fault(self.file, self.first + at, what, right)

    def advise(self, at: int, what: str, right: str) -> None:
        """Report advice at a line of the body."""
        self.entry.report.advise(self.file, self.first + at, what, right)

    def sections(self) -> tuple[Section, ...]:
        """Return the sections; text before the first heading is one with the slug `opening`.

        A heading with no slug gets one made from it, which no other section of the module has.
        """
        headings = list(self._headings())
        first = headings[0].at if headings else len(self.lines)
        taken = {one.slug for one in headings} | ({OPENING} if "".join(self.lines[:first]).strip() else set())
        starts: list[tuple[int, str, str]] = [(-1, OPENING, "Opening")]
        for heading in headings:
            slug = self._slug(heading, taken)
            taken.add(slug)
            starts.append((heading.at, slug, heading.title))
        return self._cut(starts)

    def _headings(self) -> Iterator[Heading]:
        """Yield what starts a section: headings with two #, and with one, which is advised against."""
        for at, line in self.prose():
            # Blanks are gathered first: many of them in a row would be tried in every way.
            found = _HEADING.fullmatch(" ".join(line.split())) if line.startswith("#") else None
            if found and len(found.group(1)) <= 2:
                yield Heading.read(at, *found.groups())
            elif at and _UNDERLINE.fullmatch(line) and self.lines[at - 1].strip():
                right = "write `## Heading {#slug}`, or leave a blank line above a rule"
                self.advise(at, "an underlined heading starts no section", right)

    def _slug(self, heading: Heading, taken: set[str]) -> str:
        """Return the slug of a section, or nothing with a fault."""
        slug = heading.slug or made_slug(heading.title, "section", taken)
        right = f"write `## {heading.title or 'Heading'} {{#{slug}}}`"
        if not heading.title:
            self.fault(heading.at, "this section has no heading", right)
        elif heading.is_unreadable:
            self.fault(heading.at, "the slug of this section cannot be read", right)
            return ""
        elif not SLUG.fullmatch(slug):
            self.fault(heading.at, f"`{slug}` is no slug", "use a to z, 0 to 9 and hyphens")
        elif heading.level == 1:
            what = f"a heading with one # is the page's own; it starts the section `{slug}` here"
            self.advise(heading.at, what, right)
        elif not heading.slug:
            what = f"this section has no slug of its own and goes by `{slug}`, which changes with the heading"
            self.advise(heading.at, what, right)
        return slug

    def _cut(self, starts: list[tuple[int, str, str]]) -> tuple[Section, ...]:
        shelf: Shelf[Section] = Shelf("the section")
        ends = [at for at, _, _ in starts[1:]] + [len(self.lines)]
        for (at, slug, title), end in zip(starts, ends, strict=True):
            body = "\n".join(self.lines[at + 1 : end]).strip()
            if at < 0 and not body:
                continue
            if slug in shelf.things:
                first = self.first + self._line_of(starts, slug)
                self.fault(at, f"the section `{slug}` is there twice, first on line {first}", "give each its own slug")
            else:
                shelf.put(slug, Section(slug, title, body), self.entry)
        if not shelf.things and not any(slug == "" for _, slug, _ in starts):
            self.fault(0, "the module has no text", "write it below the front matter")
        return tuple(shelf.things.values())

    @staticmethod
    def _line_of(starts: list[tuple[int, str, str]], slug: str) -> int:
        return max(0, next(at for at, one, _ in starts if one == slug))

    def marks(self) -> list[Mark]:
        """Return the sources cited and the cautions placed, in their order; a misspelled mark is a fault."""
        found = []
        for at, line in self.prose():
            for match in _MARK.finditer(line):
                word = match.group(1)
                if word in ("source", "caution"):
                    found.append(Mark(word, match.group(2), self.first + at, self._alone(at, match.group())))
                    continue
                near = get_close_matches(word.lower(), ("source", "caution"), 1, 0.8)
                if near:
                    self.fault(at, f"`[{word}: ...]` is no mark", f"write `[{near[0]}: {match.group(2) or 'SLUG'}]`")
        return found

    def pictures(self) -> list[tuple[int, str]]:
        """Return line and slug of the pictures that are shown; for any other picture say why it is not."""
        found = []
        for at, line in self.prose():
            shown = PICTURE.fullmatch(line)
            if shown:
                found.append((self.first + at, shown.group(2)))
                # A stored edition, of a time when no picture was shown, has to be read whatever it says of pictures.
                if self.entry.report.wants_advice and not self._alone(at, line.strip()):
                    self.fault(at, "this picture stands inside a paragraph", "leave a blank line above and below it")
                continue
            for image in (one for one in _IMAGE.finditer(line) if one.group(1).strip()):
                right = "draw it as modules/pictures/SLUG.svg and write `![what it shows](pictures/SLUG.svg)` on a line"
                self.advise(at, f"the picture `{image.group(2)}` is not shown", right)
        return found

    def _alone(self, at: int, mark: str) -> bool:
        around = [self.lines[one].strip() for one in (at - 1, at + 1) if 0 <= one < len(self.lines)]
        return self.lines[at].strip() == mark and not any(around)
