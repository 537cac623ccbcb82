"""The certificates of a class as files, against the bare renderer on the same HTML with as many processes.

Ours reads each certificate from the database, fills its page with the QR code, renders it, writes it whole, and puts
all of them into one ZIP. The bare renderer has every page ready as HTML, its style sheets read and its fonts known, and
writes the same PDFs. Both in the processor's time, that of their processes counted in. Two processes against one are
held by the clock, which tells too little where others are at work on the same machine; so the time of the processor
that each of the two has is printed beside it. The most memory that is held is printed after the first half and after
the second. Run it with `python -m tests.benchmarks.certificates`.
"""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import islice
from multiprocessing import get_context
from os import times
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

import weasyprint

from mentor_training.certificates.actions import issue
from mentor_training.certificates.class_files import Wanted, index_of, write_files, zip_up
from mentor_training.certificates.pdf import SHEETS, TEMPLATE, Sheet, sheet_of
from mentor_training.certificates.signing import credential_of
from mentor_training.certificates.tables import Certificate
from mentor_training.people.permissions import CONSOLE
from mentor_training.web import pdf
from mentor_training.web.pdf import form_of
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, run
from tests.builders import FRIDAY, NOON, World, make_world
from tests.certificates.holders import KIND

CERTIFICATES, BOUND, FASTER, FLAT = 200, 1.15, 1.7, 1.1
# So many at a time are taken in turn by ours and by the bare renderer, where both have one process.
BLOCK = 10


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured; at a small size with four certificates, and by one process."""
    full = size == Size()
    with TemporaryDirectory() as folder:
        world = make_world(Path(folder) / "instance")
        numbers = a_class(world, CERTIFICATES if full else 4)
        here = Path(folder)
        many = len(numbers)
        half, whole = peaks(world, numbers, here / "first")
        yield Result("memory at its peak, after all of them", whole, "after one half", half, FLAT, unit=in_megabytes)
        pages = [sheet(world, number) for number in numbers]
        one, told = beside(f"{many} certificates, one process", world, numbers, pages, here, 1)
        yield told
        if full:
            some = [sheet(world, number, archival=True) for number in numbers[:50]]
            yield beside("50 to be kept, with the credential", world, numbers[:50], some, here, 1)[1]
            two, told = beside(f"{many} certificates, two processes", world, numbers, pages, here, 2)
            yield told
            yield Result("two processes, by the clock", two.clock, "one process", one.clock, 1 / FASTER)
            busier = max(two.own, two.of_others / 2)
            yield Result("the processor's time of each of the two", busier, "one process", one.processor)
        world.instance.database.close()


def a_class(world: World, many: int) -> list[str]:
    """Issue a certificate to each of so many volunteers, and return the numbers."""
    world.publish()
    for number in range(many):
        code = world.add_person(f"v-{number:03d}", name=f"Odalys Brannagh {number}", sections="KIN-372-A")
        world.hold(code, "module/safety", "skill/guarding")
    with world.writing() as db:
        return [issue(db, NOON, CONSOLE, f"v-{number:03d}", KIND, FRIDAY).number for number in range(many)]


def peaks(world: World, numbers: Sequence[str], folder: Path) -> tuple[float, float]:
    """Write certificates in this process, and return the most memory held so far, in bytes, halfway and at the end."""
    writing = write_files(world.instance, numbers, Wanted(), folder, 1)
    found = []
    for _ in range(2):
        sum(1 for _ in islice(writing, len(numbers) // 2))
        found.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0)
    return found[0], found[1]


def sheet(world: World, number: str, archival: bool = False) -> Sheet:
    """Return what a certificate's PDF is made of."""
    settings = world.instance.settings
    with world.reading() as db:
        row = db.get_one(Certificate, number)
        return sheet_of(row, None, settings.address, credential_of(row, settings) if archival else b"")


@dataclass(frozen=True)
class Spent:
    """Seconds that an act took: of the processor, in this process and in others of its own, and by the clock."""

    own: float
    of_others: float
    clock: float

    @property
    def processor(self) -> float:
        """Return all the time of the processor."""
        return self.own + self.of_others


def beside(
    what: str, world: World, numbers: Sequence[str], pages: Sequence[Sheet], here: Path, processes: int
) -> tuple[Spent, Result]:  # fmt: skip
    """Return our way beside the bare renderer, taken in turn, whose files are the same."""
    archival = bool(pages[0].credential)
    place, bare_place = here / f"ours-{processes}-{archival}", here / f"bare-{processes}-{archival}"
    rounds = []
    block = BLOCK if processes == 1 else len(numbers)  # processes begin once, as for a class
    for at in range(0, len(numbers), block):
        # Taken in turn and added up, so that what else the machine does falls on both alike.
        some = slice(at, at + block)
        rounds.append(
            (
                spent(partial(ours, world, numbers[some], place / str(at), processes, archival)),
                spent(partial(bare, pages[some], bare_place / str(at), processes)),
            )
        )
    first = Wanted(archival=archival).file_of(numbers[0])
    if (place / "0" / first).read_bytes() != (bare_place / "0" / f"{numbers[0]}.pdf").read_bytes():
        raise AssertionError("the bare renderer draws something else")
    taken, reference = (added(tries) for tries in zip(*rounds, strict=True))
    note = f"{taken.processor / len(numbers) * 1e3:.0f} ms each"
    return taken, Result(what, taken.processor, "bare renderer", reference.processor, BOUND, note)


def added(tries: Sequence[Spent]) -> Spent:
    """Return what all of these took together."""
    return Spent(sum(one.own for one in tries), sum(one.of_others for one in tries), sum(one.clock for one in tries))


def ours(world: World, numbers: Sequence[str], folder: Path, processes: int, archival: bool = False) -> None:
    """Write the files of a class and put them into a ZIP, as a job does."""
    wanted = Wanted(archival=archival)
    written = sorted(write_files(world.instance, numbers, wanted, folder, processes))
    with world.reading() as db:
        index = index_of(db, written, wanted)
    zip_up([folder / wanted.file_of(number) for number in written], index, folder / "all.zip")


def bare(pages: Sequence[Sheet], folder: Path, processes: int) -> None:
    """Render ready pages by the renderer alone."""
    folder.mkdir(parents=True)
    files = [folder / f"{page.number}.pdf" for page in pages]
    if processes == 1:
        for page, file in zip(pages, files, strict=True):
            render_bare(page, file)
        return
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        list(pool.map(render_bare, pages, files))


def render_bare(page: Sheet, file: Path) -> None:
    """Render one page; fonts and style sheets are read once for each process."""
    sheets = SHEETS[page.size]
    document = (
        f'<!doctype html><html lang="en-US"><head><meta charset="utf-8"><title>{page.title}</title>'
        f'<meta name="generator" content="{form_of(TEMPLATE, sheets)}"></head><body>{page.body}</body></html>'
    )
    more: dict[str, Any] = {"pdf_variant": pdf.VARIANT}
    if page.credential:
        name, moment = f"{page.number}.json", pdf.EPOCH
        kept = weasyprint.Attachment(
            string=page.credential, name=name, relationship="Alternative", created=moment, modified=moment
        )
        more = {"pdf_variant": pdf.ARCHIVAL, "attachments": [kept]}
    styles = [pdf._style(name) for name in ("fonts", *sheets)]
    weasyprint.HTML(string=document).write_pdf(
        file, stylesheets=styles, font_config=pdf._fonts(), pdf_identifier=page.mark, **more
    )


def spent(act: Callable[[], object]) -> Spent:
    """Do something, and return what it took."""
    before, began = times(), perf_counter()
    act()
    after, ended = times(), perf_counter()
    own, others = (sum(after[at : at + 2]) - sum(before[at : at + 2]) for at in (0, 2))
    return Spent(own, others, ended - began)


def in_megabytes(amount: float) -> str:
    """Write an amount of memory."""
    return f"{amount / 1e6:.1f} MB"


if __name__ == "__main__":
    run(measured)
