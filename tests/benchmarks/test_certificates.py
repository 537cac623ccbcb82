"""The files of a class, held against the bare renderer."""

from __future__ import annotations

import sys

import pytest

from tests.benchmarks.certificates import measured
from tests.benchmarks.measure import SMALL


def test_files_of_a_class_are_measured_against_the_bare_renderer(capsys: pytest.CaptureFixture[str]) -> None:
    """The same PDFs, to the byte; whoever reads what is printed holds it to the bound."""
    results = list(measured(SMALL))
    with capsys.disabled():
        sys.stdout.writelines(f"\n  {result}" for result in results)
    assert len(results) == 2
