"""Parse a YAML text into values with lines, and refuse what YAML 1.1 would read as something else than it looks like.

The number forms that are refused (leading zeros, underscores, base 60, base 2, 8 and 16) and the words for true and
false other than these two are the ones of the YAML 1.1 types int, float and bool (yaml.org/type).
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from mentor_training.program.reading.document import Document, Misread, Path
from mentor_training.program.reading.findings import Report

_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_WHOLE = re.compile(r"-?(0|[1-9][0-9]*)")
_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)\.[0-9]+")
_NOTICED_LATER = ("found unexpected end of stream", "could not find expected ':'")
_TAG = "tag:yaml.org,2002:"


def read_yaml(file: str, text: str, report: Report, first_line: int = 1) -> Document | None:
    """Return the values of a YAML text, or None with a fault; `first_line` is its first line in the file."""
    before = "\n" * (first_line - 1)
    reader = _Reader(file, report)
    try:
        node = yaml.compose(before + text, Loader=_LOADER)
        if isinstance(node, yaml.MappingNode):
            return Document(file, reader.value(node, ()), reader.lines)
        report.fault(file, first_line, "there are no `key: value` lines here", "write one key on each line")
    except yaml.YAMLError as error:
        report.fault(file, _line_of(error, before + text), f"this is not YAML ({_problem(error)})", _cure(error))
    except RecursionError:
        report.fault(file, first_line, "lists or keys are nested too deep to read", "nest them less")
    return None


def _line_of(error: yaml.YAMLError, text: str) -> int:
    """Return the line of what is wrong: of a text that never ends, and of a key without its colon, where it begins."""
    mark, begun = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
    if begun is not None and _problem(error) in _NOTICED_LATER:
        mark = begun
    last = text.rstrip("\n").count("\n")
    line = text.count("\n", 0, max(0, int(getattr(error, "position", 0)))) if mark is None else int(mark.line)
    return min(line, last) + 1


def _problem(error: yaml.YAMLError) -> str:
    return str(getattr(error, "problem", None) or getattr(error, "reason", None) or "it cannot be read")


def _cure(error: yaml.YAMLError) -> str:
    problem = _problem(error)
    if "mapping values" in problem:
        return "put a text that holds a colon in quotes"
    if "tab" in problem or "\\t" in problem:
        return "indent with spaces, not with tabs"
    if "single document" in problem or "another document" in problem:
        return "keep to one document: no line of three hyphens inside"
    return "check the indentation, the quotes and the colons around this line"


class _Reader:
    """Turns composed nodes into values; every slip is reported, and the rest is read on."""

    def __init__(self, file: str, report: Report) -> None:
        self.file = file
        self.report = report
        self.lines: dict[Path, int] = {}
        self.seen: set[int] = set()

    def value(self, node: Any, path: Path) -> Any:
        self.lines.setdefault(path, node.start_mark.line + 1)
        if id(node) in self.seen:
            self._fault(node, "this repeats another part of the file by an alias", "write it out")
            return None
        self.seen.add(id(node))
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.value(one, (*path, index)) for index, one in enumerate(node.value)]
        return self._scalar(node)

    def _mapping(self, node: Any, path: Path) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = key_node.value
            if not isinstance(key, str):
                self._fault(key_node, "a list or table stands where a key should", "write a word, a colon and a value")
            elif key in values:
                first = self.lines[(*path, key)]
                self._fault(key_node, f"`{key}` is there twice, first on line {first}", "give each key once")
            else:
                self.lines[(*path, key)] = key_node.start_mark.line + 1
                values[key] = self.value(value_node, (*path, key))
        return values

    def _scalar(self, node: Any) -> Any:
        text, tag = node.value, node.tag.removeprefix(_TAG)
        if tag in ("str", "timestamp", "value"):
            return text
        if tag == "null":
            return None
        if tag == "bool" and text in ("true", "false"):
            return text == "true"
        if tag == "int" and _WHOLE.fullmatch(text):
            return int(text)
        if tag == "float" and _NUMBER.fullmatch(text):
            return float(text)
        self._misleading(node, text, tag)
        return Misread(text)

    def _misleading(self, node: Any, text: str, tag: str) -> None:
        if tag == "bool":
            self._fault(node, f"`{text}` without quotes means true or false here", f'write true, false or "{text}"')
        elif tag in ("int", "float"):
            right = f'write the number with plain digits, or the text as "{text}"'
            self._fault(node, f"`{text}` does not read as the number it looks like", right)
        else:
            self._fault(node, f"the tag `{node.tag}` is not used here", "write a text, a number, true or false")

    def _fault(self, node: Any, what: str, right: str) -> None:
        self.report.fault(self.file, node.start_mark.line + 1, what, right)
