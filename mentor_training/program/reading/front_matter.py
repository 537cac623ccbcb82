"""Split a Markdown file into its front matter and its body, keeping the lines right."""

from __future__ import annotations

from dataclasses import replace

from mentor_training.program.reading.document import Document
from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.yaml_text import read_yaml

_FENCE = "---"


def read_front_matter(file: str, text: str, report: Report) -> Document | None:
    """Return the front matter's values with the body beside them, or None with a fault."""
    lines = text.split("\n")
    if lines[0].rstrip() != _FENCE:
        report.fault(file, 1, "there is no front matter", "begin the file with a line of three hyphens `---`")
        return None
    end = next((at for at, line in enumerate(lines[1:], 1) if line.rstrip() == _FENCE), None)
    if end is None:
        report.fault(file, 1, "the front matter does not end", "close it with a line of three hyphens `---`")
        return None
    document = read_yaml(file, "\n".join(lines[1:end]), report, first_line=2)
    return document and replace(document, body="\n".join(lines[end + 1 :]), body_line=end + 2)
