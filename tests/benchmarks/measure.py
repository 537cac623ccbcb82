"""Measuring: the best of several runs, what it is compared to, and whether a bound is kept."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from time import process_time
from typing import Any

import pytest

from tests.benchmarks.data import Size


@dataclass(frozen=True)
class Result:
    """What was measured, in seconds, what it is held against, and the most that the ratio of the two may be.

    `unit` writes what is measured in something else than seconds.
    """

    what: str
    seconds: float
    against: str = ""
    reference: float = 0.0
    bound: float | None = None
    note: str = ""
    unit: Callable[[float], str] | None = None

    @property
    def ratio(self) -> float | None:
        """Return how many times the reference it takes."""
        return self.seconds / self.reference if self.reference else None

    @property
    def is_kept(self) -> bool:
        """Say whether the bound is kept, where there is one."""
        return self.bound is None or (self.ratio is not None and self.ratio <= self.bound)

    def __str__(self) -> str:
        ratio = f"{self.ratio:9.3g} x" if self.ratio is not None else " " * 11
        bound = f"at most {self.bound:g}" if self.bound is not None else ""
        state = "" if self.bound is None else ("kept" if self.is_kept else "MISSED")
        unit = self.unit or in_words
        against = f"{self.against} {unit(self.reference)}" if self.reference else self.against
        figures = f"{unit(self.seconds) if self.seconds else '':>10} {ratio} {bound:<11} {state:<6}"
        return f"{self.what:<58} {figures}  {against}  {self.note}".rstrip()


def in_words(seconds: float) -> str:
    """Write a time in the unit that suits it."""
    if seconds < 1e-6:
        return f"{seconds * 1e9:.2f} ns"
    if seconds < 0.001:
        return f"{seconds * 1e6:.0f} us"
    return f"{seconds * 1e3:.1f} ms" if seconds < 1 else f"{seconds:.2f} s"


def best(action: Callable[[], object], times: int = 5, loops: int = 1) -> float:
    """Return the least time of the processor that an action took, of several tries of so many runs.

    The processor's time and not the clock's: others may be at work on the same machine.
    """
    found = []
    for _ in range(times):
        start = process_time()
        for _ in range(loops):
            action()
        found.append((process_time() - start) / loops)
    return min(found)


def once(action: Callable[[], Any]) -> tuple[Any, float]:
    """Do something once, and return what it gave and the time of the processor it took."""
    start = process_time()
    given = action()
    return given, process_time() - start


def tell(results: Iterable[Result]) -> int:
    """Print results, one on a line; return the exit status: 1 where a bound is missed."""
    missed = 0
    for result in results:
        print(result, flush=True)  # noqa: T201 - this is what a benchmark is for
        missed += not result.is_kept
    return 1 if missed else 0


def run(measured: Callable[[Size], Iterable[Result]], words: Sequence[str] | None = None) -> None:
    """Run a benchmark as a program: at its full size, or with --small to see that it works."""
    parser = ArgumentParser()
    parser.add_argument("--small", action="store_true", help="a small program, whose ratios mean nothing")
    small = parser.parse_args(words).small
    status = tell(measured(SMALL if small else Size()))
    sys.exit(0 if small else status)


SMALL = Size(volunteers=120, stations=6, participants=40, needs=8)


def in_turn(ours: Callable[[], object], theirs: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Return the best times of both in seconds of the processor, taken in turn."""
    best = [float("inf"), float("inf")]
    for _ in range(rounds):
        for place, act in enumerate((ours, theirs)):
            start = process_time()
            act()
            best[place] = min(best[place], process_time() - start)
    return best[0], best[1]


def say(capsys: pytest.CaptureFixture[str], name: str, times: tuple[float, float]) -> None:
    """Print two times and their ratio, past what pytest catches."""
    ours, theirs = times
    with capsys.disabled():
        sys.stdout.write(f"\n  {name}: {ours * 1000:.1f} ms, bare {theirs * 1000:.1f} ms, {ours / theirs:.2f} times\n")
