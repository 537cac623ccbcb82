"""Read the pictures of modules: line drawings as SVG that can draw, and can do nothing else.

They are shown within the page, so that they take the page's own ink by day, by night and on paper. So only shapes and
words are let in, colors only by the name of their role, and nothing that could run, fetch or refer to anything.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from xml.parsers import expat

from mentor_training.program.catalog import Picture
from mentor_training.program.reading.findings import Report

FORM = re.compile(r"modules/pictures/([a-z0-9-]{1,50})\.svg")
ELEMENTS = (
    "svg", "title", "desc", "g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "tspan",
)  # fmt: skip
ATTRIBUTES = (
    "class", "viewBox", "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height",
    "transform", "fill", "stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-dasharray", "font-size",
    "text-anchor",
)  # fmt: skip
ROLES = (
    "ink", "ink-fill", "quiet", "quiet-fill", "see", "see-fill", "paper", "paper-fill", "wash", "label", "label-see",
    "label-quiet",
)  # fmt: skip
_WORDS = ("title", "desc", "text", "tspan")
_VALUE = re.compile(r"[A-Za-z0-9 .,()+\s-]*")
_BOX = re.compile(r"0 0 [1-9][0-9]{0,3} [1-9][0-9]{0,3}")
_NAMESPACE = "http://www.w3.org/2000/svg"


def read_pictures(files: Mapping[str, str], report: Report) -> dict[str, Picture | None]:
    """Read the pictures by their slug, in the order of the files; for one with a fault there is None."""
    names = {file: name.group(1) for file in sorted(files) if (name := FORM.fullmatch(file))}
    return {slug: _Reader(file, slug, report).read(files[file]) for file, slug in names.items()}


class _Reader:
    """Walks one file, writes down again what may be in a picture, and reports all else by its line."""

    def __init__(self, file: str, slug: str, report: Report) -> None:
        self.file, self.slug, self.report = file, slug, report
        self.parser = expat.ParserCreate("utf-8")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._words
        self.open: list[str] = []
        self.parts: list[str] = []
        self.said: dict[str, str] = {"title": "", "desc": ""}
        self.box = ""
        self.is_faulty = False

    def read(self, text: str) -> Picture | None:
        """Return the picture, or nothing with its faults reported."""
        declared = text.find("<!DOCTYPE")
        if declared >= 0:
            line = text.count("\n", 0, declared) + 1
            self._fault("a picture declares no document type", "begin with <svg>", line)
            return None
        try:
            self.parser.Parse(text.encode("utf-8"), True)
        except expat.ExpatError as error:
            what = f"this is no SVG that can be read ({expat.ErrorString(error.code)})"
            self._fault(what, "write each element with its end", error.lineno)
        if self.is_faulty:
            return None
        for word, text_of in self.said.items():
            if not text_of.strip():
                right = "say what the picture shows to who cannot see it"
                self.report.advise(self.file, 1, f"the picture has no <{word}>", right)
        title, words = (" ".join(self.said[one].split()) for one in ("title", "desc"))
        return Picture(self.slug, title, words, self.box, "".join(self.parts).strip())

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if not self.open:
            self._root(name, attributes)
        elif name not in ELEMENTS[1:]:
            self._fault(f"<{name}> does not belong in a picture", f"draw with {', '.join(ELEMENTS[3:])}")
        self._check(name, attributes)
        self.open.append(name)
        if len(self.open) > 1 and name not in self.said:
            said = "".join(f' {key}="{escape(value)}"' for key, value in attributes.items())
            self.parts.append(f"<{name}{said}>")

    def _root(self, name: str, attributes: dict[str, str]) -> None:
        self.box = attributes.get("viewBox", "")
        if name != "svg":
            self._fault(f"a picture begins with <svg>, not with <{name}>", f'write <svg xmlns="{_NAMESPACE}" ...>')
        elif not _BOX.fullmatch(self.box):
            self._fault("the picture has no size", 'write viewBox="0 0 480 320", in whole numbers')
        if attributes.get("xmlns") == _NAMESPACE:
            del attributes["xmlns"]

    def _check(self, name: str, attributes: Mapping[str, str]) -> None:
        for key, value in attributes.items():
            if key not in ATTRIBUTES:
                self._fault(f"`{key}` does not belong on <{name}> in a picture", f"use {', '.join(ATTRIBUTES)}")
            elif key == "class" and not set(value.split()) <= set(ROLES):
                self._fault(f"`{value}` is no role of a color", f"use {', '.join(ROLES)}")
            elif key == "fill" and value != "none":
                self._fault(f'fill="{value}" names a color', "give it a role by `class`; colors follow the page")
            elif not _VALUE.fullmatch(value):
                self._fault(f"`{key}` holds more than figures and words", "write plain figures")

    def _end(self, name: str) -> None:
        self.open.pop()
        if self.open and name not in self.said:
            self.parts.append(f"</{name}>")

    def _words(self, text: str) -> None:
        around = self.open[-1]
        if around in self.said:
            self.said[around] += text
        elif around in _WORDS or not text.strip():
            self.parts.append(escape(text))
        else:
            self._fault("words stand outside <text>", "put them into <text>, <title> or <desc>")

    def _fault(self, what: str, right: str, line: int | None = None) -> None:
        self.is_faulty = True
        self.report.fault(self.file, line or self.parser.CurrentLineNumber, what, right)
