"""The benchmarks of clearance work, and what they compare says the same; those that are quick are held to their bounds.

`python -m tests.benchmarks` runs all of them at their full size.
"""

from __future__ import annotations

import sys
from types import ModuleType

import pytest

from tests.benchmarks import board, matrix, pairs
from tests.benchmarks.__main__ import ALL
from tests.benchmarks.data import Size
from tests.benchmarks.measure import SMALL, Result

# As with the items: whoever reads what is printed holds it to the bound; here only what misses by far fails.
SLACK = 2.0


def told(capsys: pytest.CaptureFixture[str], module: ModuleType, size: Size) -> list[Result]:
    results = []
    for result in module.measured(size):
        results.append(result)
        with capsys.disabled():
            sys.stdout.write(f"\n  {result}")
    return results


@pytest.mark.parametrize("module", ALL, ids=lambda module: module.__name__.rpartition(".")[2])
def test_each_benchmark_measures_something_on_a_small_program(module: ModuleType) -> None:
    """Each compares what it measures with its reference first, and raises where they differ."""
    results = list(module.measured(SMALL))
    assert any(result.ratio for result in results)
    assert all(str(result) for result in results)


@pytest.mark.parametrize("module", [matrix, pairs, board], ids=["matrix", "pairs", "board"])
def test_quick_ones_keep_their_bounds_at_full_size(capsys: pytest.CaptureFixture[str], module: ModuleType) -> None:
    """Ten thousand volunteers by fifty stations; by five thousand participants at one; the board page."""
    results = told(capsys, module, Size())
    assert any(result.bound for result in results)
    missed = [str(one) for one in results if one.bound and one.ratio and one.ratio > SLACK * one.bound]
    assert not missed, missed
