"""A desk for papers: two volunteers, two coordinators, a card that asks for the hands-on part, and scans at hand."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from mentor_training.papers.actions.deciding import decline, verify
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.papers.actions.scans import Swept, add_scan, sweep
from mentor_training.papers.queries import ShownEntry, papers_of
from mentor_training.papers.rules import Seen
from mentor_training.papers.scans.folder import ScanFolder, folder_of
from mentor_training.papers.scans.kinds import JPEG
from mentor_training.papers.scans.reading import PlainScan
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.small_program import small_files

ZONE = ZoneInfo("America/New_York")
ISSUED = date(2025, 2, 28)
PLAIN = PlainScan(b"what a card shows", JPEG, 1)
PAPERS = """
[[paper]]
slug = "cpr-card"
title = "CPR card"
good_for_months = 24
hands_on = true

[[paper]]
slug = "first-aid-card"
title = "First aid card"
"""


def files(kept_days: int = 0, waits_days: int = 30) -> dict[str, str]:
    """Return the small program with two cards, no picture of the background check, and its days for scans."""
    texts = dict(small_files())
    program, papers = "program/program.toml", "program/papers.toml"
    texts[program] += f"scan_kept_days = {kept_days}\nscan_waits_days = {waits_days}\n"
    texts[papers] = texts[papers].replace('title = "Background check"\n', 'title = "Background check"\nscan = false\n')
    texts[papers] += PAPERS
    return texts


def lay_out(world: World, **days: int) -> World:
    """Publish that program over the small one, and let people in."""
    world.publish(files(**days), number=2)
    for code, roles, name in (
        ("v-001", "volunteer", "Odalys Brannagh"), ("v-002", "volunteer", "Teodor Vance"), ("o-01", "observer", ""),
        ("c-01", "coordinator", "Wilhelmina"), ("c-02", "coordinator;volunteer", "Amadou"),
    ):  # fmt: skip
        world.add_person(code, roles, name)
    return world


def folder(world: World) -> ScanFolder:
    return folder_of(world.instance.settings)


def actor(world: World, code: str) -> Actor:
    with world.reading() as db:
        return actor_of(person_for(db, code))


def put(world: World, paper: str = "cpr-card", person: str = "v-001", scan: bool = True) -> int:
    """Put a paper on file, with a scan of it or without; return its number."""
    by, at = actor(world, person), world.clock.now()
    with world.writing() as db:
        number = put_on_file(db, at, FRIDAY, by, person, paper, ISSUED).id
        if scan:
            add_scan(db, at, ZONE, by, number, folder(world), PLAIN)
        return number


def check(world: World, number: int, by: str = "c-01", hands_on: bool | None = True) -> None:
    """Verify a paper, and nothing after it: no sweep."""
    with world.writing() as db:
        verify(db, world.clock.now(), FRIDAY, actor_of(person_for(db, by)), number, Seen(ISSUED, None, hands_on))


def turn_down(world: World, number: int) -> None:
    with world.writing() as db:
        decline(db, world.clock.now(), actor_of(person_for(db, "c-01")), number, "Another person's name.")


def swept(world: World) -> Swept:
    with world.writing() as db:
        found = sweep(db, world.clock.now(), ZONE, actor_of(person_for(db, "c-01")), folder(world))
        db.expunge_all()
        return found


def entry(world: World, number: int, person: str = "v-001") -> ShownEntry:
    """Return how a paper on file is shown now."""
    with world.reading() as db:
        lines = papers_of(db, person, FRIDAY, world.clock.now())
        return next(one for line in lines for one in line.entries if one.row.id == number)
