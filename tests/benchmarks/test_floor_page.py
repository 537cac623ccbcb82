"""The page of a session's floor, held against its ready HTML."""

from __future__ import annotations

import sys

import pytest

from tests.benchmarks.floor_page import measured
from tests.benchmarks.measure import SMALL


def test_the_floor_is_measured_against_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    """Both sizes run, the answers compared first; whoever reads what is printed holds it to the bound."""
    results = list(measured(SMALL))
    with capsys.disabled():
        sys.stdout.writelines(f"\n  {result}" for result in results)
    assert len(results) == 6
