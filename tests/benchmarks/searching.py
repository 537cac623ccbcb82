"""A page that is asked for while the best plan is searched for in another thread of the same server.

The worker is a thread because HiGHS lets go of the interpreter's lock: the page is held against itself while another
process searches, which shares the machine and no lock. `python -m tests.benchmarks.searching` prints the middle, the
slowest twentieth and the slowest of all.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Thread
from time import perf_counter, sleep

from mentor_training.application import create_app
from mentor_training.planning.solver.search import best_plan
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, run
from tests.benchmarks.plans import made_up
from tests.builders import make_world
from tests.planning.saturday import accept_best, saturday
from tests.sign_in import Visitor

ROOT = Path(__file__).resolve().parents[2]
SECONDS, PAUSE = 20.0, 0.05
PAGE = "/sessions/s-11"


@dataclass(frozen=True)
class Times:
    """How long a page took, asked for again and again; in seconds."""

    all: tuple[float, ...]

    def at(self, share: float) -> float:
        """Return the time that so large a share stayed within."""
        return sorted(self.all)[min(len(self.all) - 1, int(share * len(self.all)))]

    def __str__(self) -> str:
        return f"95 of 100 within {self.at(0.95) * 1e3:.0f} ms, slowest {self.at(1) * 1e3:.0f} ms, of {len(self.all)}"


def measured(size: Size) -> Iterator[Result]:
    """Yield the page alone, beside a search in a thread, and beside one in a process; of five times a session."""
    times, seconds = (1, 2.0) if size.volunteers < 1000 else (5, SECONDS)
    with TemporaryDirectory() as folder:
        world = make_world(Path(folder) / "instance")
        world.publish()
        saturday(world)
        accept_best(world)
        visitor = Visitor(create_app(world.instance, testing=True).test_client()).sign_in("c-01")
        ask = page_of(visitor)
        ends = perf_counter() + 3
        alone = asked(ask, lambda: perf_counter() < ends)
        thread = beside_a_thread(ask, times, seconds)
        process = beside_a_process(ask, times, seconds)
        world.instance.database.close()
    yield Result("a page, nobody searching", alone.at(0.5), note=str(alone))
    yield Result("a page, a search in a thread", thread.at(0.5), "in a process", process.at(0.5), note=str(thread))
    yield Result("a page, a search in a process", process.at(0.5), note=str(process))


def page_of(visitor: Visitor) -> Callable[[], object]:
    """Return what asks for the session's page."""

    def ask() -> object:
        answer = visitor.get(PAGE)
        assert answer.status_code == 200
        return answer.data

    ask()
    return ask


def asked(ask: Callable[[], object], more: Callable[[], bool]) -> Times:
    """Ask again and again, with a pause between, and note how long each answer took."""
    taken = []
    while more():
        began = perf_counter()
        ask()
        taken.append(perf_counter() - began)
        sleep(PAUSE)
    return Times(tuple(taken))


def beside_a_thread(ask: Callable[[], object], times: int, seconds: float) -> Times:
    """Ask while a thread of this process searches."""
    thread = Thread(target=best_plan, args=(made_up(times), seconds))
    thread.start()
    return asked(ask, thread.is_alive)


def beside_a_process(ask: Callable[[], object], times: int, seconds: float) -> Times:
    """Ask while another process searches, once it has begun."""
    code = (
        "from tests.benchmarks.plans import made_up; from mentor_training.planning.solver.search import best_plan; "
        f"asked = made_up({times}); print('begun', flush=True); best_plan(asked, {seconds})"
    )
    with subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout
        other.stdout.readline()
        return asked(ask, lambda: other.poll() is None)


if __name__ == "__main__":
    run(measured)
