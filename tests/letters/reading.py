"""Reads letters as people do: the words of a PDF, by a PDF program of its own."""

from __future__ import annotations

import shutil
import subprocess

from tests.missing import give_up


def words_on(pdf: bytes) -> str:
    """Return a PDF's words in their order, one space between them."""
    if not shutil.which("pdftotext"):
        give_up("pdftotext is missing; it comes with poppler-utils")
    command = ["pdftotext", "-layout", "-enc", "UTF-8", "-", "-"]
    return " ".join(subprocess.run(command, input=pdf, check=True, capture_output=True).stdout.decode().split())
