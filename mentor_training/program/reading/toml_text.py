"""Parse a TOML text into values with lines."""

from __future__ import annotations

import re
import tomllib

from mentor_training.program.reading.document import Document
from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.toml_lines import lines_of

_WHERE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def read_toml(file: str, text: str, report: Report, first_line: int = 1) -> Document | None:
    """Return the values of a TOML text, or None with a fault at the line where it stops being TOML.

    `first_line` is its first line in the file.
    """
    text = "\n" * (first_line - 1) + text
    try:
        return Document(file, tomllib.loads(text), {**lines_of(text), (): first_line}, is_toml=True)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        found = _WHERE.search(message)
        line = int(found.group(1)) if found and found.group(1) else text.rstrip().count("\n") + 1
        report.fault(file, line, f"this is not TOML ({_WHERE.sub('', message)})", _cure(message))
    except RecursionError:
        report.fault(file, first_line, "lists or tables are nested too deep to read", "nest them less")
    return None


def _cure(message: str) -> str:
    if "overwrite" in message or "twice" in message:
        return "give each key once in its table"
    if "end of document" in message:
        return "close every quotation mark, bracket and brace that was opened"
    return 'write key = value, texts in "quotes", commas between the entries of a list'
