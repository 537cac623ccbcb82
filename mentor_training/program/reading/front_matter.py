"""Split a Markdown file into its front matter and its body, keeping the lines right."""

from __future__ import annotations

from dataclasses import replace

from mentor_training.program.reading.document import Document
from mentor_training.program.reading.findings import Report
from mentor_training.program.reading.toml_text import read_toml
from mentor_training.program.reading.yaml_text import read_yaml

_FENCES = {"---": (read_yaml, "three hyphens `---`"), "+++": (read_toml, "three plus signs `+++`")}


def read_front_matter(file: str, text: str, report: Report) -> Document | None:
    """Return the front matter's values with the body beside them, or None with a fault.

    Between lines of three hyphens it is YAML, between lines of three plus signs TOML.
    """
    lines = text.split("\n")
    fence = lines[0].rstrip()
    if fence not in _FENCES:
        report.fault(file, 1, "there is no front matter", "begin the file with a line of three hyphens `---`")
        return None
    reader, name = _FENCES[fence]
    end = next((at for at, line in enumerate(lines[1:], 1) if line.rstrip() == fence), None)
    if end is None:
        report.fault(file, 1, "the front matter does not end", f"close it with a line of {name}")
        return None
    document = reader(file, "\n".join(lines[1:end]), report, first_line=2)
    return document and replace(document, body="\n".join(lines[end + 1 :]), body_line=end + 2)
