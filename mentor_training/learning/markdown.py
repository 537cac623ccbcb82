"""From a module's Markdown to HTML that cannot run anything, in pieces between its cautions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from xml.etree.ElementTree import Element

import nh3
from markdown import Markdown
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor
from markupsafe import Markup

from mentor_training.learning.drawings import figure_of
from mentor_training.program.catalog import Module, Picture, Section, Source
from mentor_training.program.fences import outside_fences
from mentor_training.program.reading.module_text import PICTURE
from mentor_training.web.prose import ATTRIBUTES, SCHEMES, TAGS

EXTENSIONS = ("attr_list", "tables", "sane_lists", "admonition", "fenced_code")
CHECK_AGAINST_ORIGINAL = "check against the current original"
MARK_WORDS = {
    "S": "read in the source itself",
    "S2": f"read where another page repeats it; {CHECK_AGAINST_ORIGINAL}",
    "M": f"from memory; {CHECK_AGAINST_ORIGINAL}",
    "P": "our own practice",
}

_TAGS = TAGS - {"h2"} | {"abbr", "dd", "del", "div", "dl", "dt", "ins", "kbd", "q", "s", "small", "u"}
_ATTRIBUTES = ATTRIBUTES | {"abbr": {"title"}}
_CLASSES = {"a": {"source"}, "div": {"admonition"}, "p": {"admonition-title"}}

_SOURCE = r"\[source\s*:\s*([a-z0-9-]+)\s*\](?![(\[])"
_CAUTION = re.compile(r"[ ]{0,3}\[caution\s*:\s*([a-z0-9-]+)\s*\]\s*")
_TABLE = re.compile(r"<table>(.*?)</table>", re.DOTALL)
_HEAD_CELL = re.compile(r"<th>(.*?)</th>", re.DOTALL)
_HEADING = re.compile(r"<(/?)h([3-6])>")
_ANY_TAG = re.compile(r"<[^>]*>")


@dataclass(frozen=True)
class Piece:
    """A part of a section: either HTML, or the place of a caution."""

    html: Markup | None = None
    caution: str = ""


@dataclass(frozen=True)
class NumberedSource:
    """A source with its number in the module's list, and what its mark says."""

    number: int
    source: Source

    @property
    def mark(self) -> str:
        """Return in words how surely it is known."""
        return MARK_WORDS[self.source.mark]


def sources_of(module: Module) -> tuple[NumberedSource, ...]:
    """Return the module's sources with their numbers, in the order of its file."""
    return tuple(NumberedSource(number, source) for number, source in enumerate(module.sources, 1))


def sources_in(module: Module, section: Section) -> tuple[NumberedSource, ...]:
    """Return the sources that a section cites."""
    cited = set(re.findall(_SOURCE, section.body))
    return tuple(one for one in sources_of(module) if one.source.id in cited)


def render_section(module: Module, section: Section, top: int = 3) -> tuple[Piece, ...]:
    """Return a section in pieces of HTML that cannot run anything, with the places of its cautions between them.

    Its headings begin at level `top`, 2 or 3: one below the heading that the page gives the section.
    """
    return _render(section.body, tuple(source.id for source in module.sources), module.pictures, top)


def unplaced_cautions(module: Module) -> tuple[str, ...]:
    """Return the cautions for which the text names no place; they stand at the end of the module."""
    placed = {piece.caution for section in module.sections for piece in render_section(module, section)}
    return tuple(caution.slug for caution in module.cautions if caution.slug not in placed)


# Rendering takes milliseconds and a text never changes under the same key: its whole content is the key.
@lru_cache(maxsize=1024)
def _render(body: str, sources: tuple[str, ...], pictures: tuple[Picture, ...], top: int) -> tuple[Piece, ...]:
    drawn = {one.slug: one for one in pictures}
    pieces = []
    for text, cut in _cut(body):
        if text.strip():
            pieces.append(Piece(html=to_html(text, sources, top)))
        if cut and cut.re is _CAUTION:
            pieces.append(Piece(caution=cut.group(1)))
        elif cut and cut.group(2) in drawn:
            pieces.append(Piece(html=figure_of(drawn[cut.group(2)], cut.group(1), cut.group(3) or "")))
    return tuple(pieces)


def _cut(body: str) -> list[tuple[str, re.Match[str] | None]]:
    """Return the text before each caution and each picture with what stands there, and the rest.

    Marks inside fenced code are text.
    """
    cut: list[tuple[str, re.Match[str] | None]] = []
    lines: list[str] = []
    for line, is_prose in outside_fences(body.split("\n")):
        mark = (_CAUTION.fullmatch(line) or PICTURE.fullmatch(line)) if is_prose else None
        if mark:
            cut.append(("\n".join(lines), mark))
            lines = []
        else:
            lines.append(line)
    return [*cut, ("\n".join(lines), None)]


def to_html(text: str, sources: tuple[str, ...] = (), top: int = 3) -> Markup:
    """Return Markdown as HTML: only tags for text, no script, no style, no pictures, links only to known schemes."""
    raw = Markdown(extensions=[*EXTENSIONS, _Citations(sources)], output_format="html").convert(text)
    clean = nh3.clean(
        raw,
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        allowed_classes=_CLASSES,
        url_schemes=SCHEMES,
        link_rel="noopener noreferrer",
    )
    # What comes back holds nothing but the tags and attributes above; that is what makes it safe to mark so.
    leveled = _HEADING.sub(lambda found: f"<{found.group(1)}h{int(found.group(2)) - 3 + top}>", clean)
    return Markup(_TABLE.sub(_in_a_room, leveled))  # noqa: S704


def _in_a_room(found: re.Match[str]) -> str:
    """Give a table room to scroll sideways on a phone, a name, and heads that say what they head."""
    heads = [_ANY_TAG.sub("", cell).strip() for cell in _HEAD_CELL.findall(found.group(1))]
    # In clean HTML everything but a quotation mark is escaped already.
    name = ", ".join(head for head in heads if head).replace('"', "&quot;")
    table = _HEAD_CELL.sub(r'<th scope="col">\1</th>', found.group(1))
    room = f'<div class="table-room" role="region" aria-label="Table: {name}" tabindex="0">'
    return f"{room}<table>{table}</table></div>"


class _Citation(InlineProcessor):
    """Turns `[source: waters-2007]` into a link to its number in the list of sources."""

    def __init__(self, sources: tuple[str, ...], md: Markdown) -> None:
        super().__init__(_SOURCE, md)
        self.sources = sources

    def handleMatch(  # type: ignore[override]  # noqa: N802  (the stubs describe an older form of the method)
        self, m: re.Match[str], data: str
    ) -> tuple[Element | None, int | None, int | None]:
        """Return the link; an unknown source stays as it is written."""
        if m.group(1) not in self.sources:
            return None, None, None
        number = self.sources.index(m.group(1)) + 1
        link = Element("a", {"class": "source", "href": f"#source-{number}", "title": f"Source {number}"})
        link.text = f"[{number}]"
        return link, m.start(0), m.end(0)


class _Citations(Extension):
    def __init__(self, sources: tuple[str, ...]) -> None:
        super().__init__()
        self.sources = sources

    def extendMarkdown(self, md: Markdown) -> None:  # noqa: N802
        """Stand after code, so that a mark in code stays text, and before links and references."""
        md.inlinePatterns.register(_Citation(self.sources, md), "source", 172)
