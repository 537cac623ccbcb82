"""Rendering many certificates, each into a file of its own, by one process or several.

Drawing a page is Python's own work, which threads of one process cannot share. Each file is written whole or not at
all, and one that is there already and the same is left, so that rendering which was broken off goes on where it was.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import connection, get_context, parent_process
from pathlib import Path

from mentor_training.certificates.pdf import Sheet
from mentor_training.errors import Refused
from mentor_training.web.pdf_pages import identifier

# So many sheets wait for each process: enough that none of them is idle, and few enough to be held in memory.
AHEAD = 2


@dataclass(frozen=True)
class Order:
    """A certificate to be rendered, and the file that it becomes."""

    sheet: Sheet
    path: Path


def render_all(orders: Iterable[Order], processes: int = 1) -> Iterator[str]:
    """Render orders as they come, and give the number of each certificate once its file is there.

    Nothing but a few sheets is held at a time. Whoever stops asking stops it; what is being drawn then is still written
    where several processes do it.
    """
    if processes > 1:
        yield from _by_processes(orders, processes)
        return
    for order in orders:
        yield write(order)


def write(order: Order) -> str:
    """Render one certificate into its file, unless that is there already and the same; return its number."""
    if not _is_written(order):
        _render(order)
    return order.sheet.number


def _render(order: Order) -> str:
    unfinished = order.path.with_name(f"{order.path.name}.{os.getpid()}.part")
    unfinished.write_bytes(order.sheet.render())
    unfinished.replace(order.path)
    return order.sheet.number


def _is_written(order: Order) -> bool:
    return order.path.is_file() and identifier(order.path.read_bytes()) == order.sheet.mark


def _by_processes(orders: Iterable[Order], processes: int) -> Iterator[str]:
    """Hand orders out to processes of their own, begun afresh: one that has threads cannot be copied safely."""
    pool = ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=_settle_in)
    try:
        waiting: set[Future[str]] = set()
        for order in orders:
            if _is_written(order):
                yield order.sheet.number
                continue
            waiting.add(pool.submit(_render, order))
            if len(waiting) >= processes * (1 + AHEAD):
                done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
                yield from (one.result() for one in done)
        while waiting:
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            yield from (one.result() for one in done)
    except BrokenProcessPool:
        raise Refused("A process that rendered was ended. What is written stays; ask again for the rest.") from None
    finally:
        pool.shutdown(cancel_futures=True)


def _settle_in() -> None:
    """Leave an interrupt to the process that hands out the work, and end with it, however it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    above = parent_process()
    if above:
        threading.Thread(target=_end_with, args=(above.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)
