"""The day before a session, with something to tell everybody, and a mail server to tell it by."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from click.testing import CliRunner, Result

from mentor_training.letters.commands import remind
from mentor_training.participants.tables import Card
from mentor_training.settings import read_settings
from tests.builders import World, make_world
from tests.hours.term import serve
from tests.letters.mail_server import Kept, mail_server
from tests.planning.saturday import put, saturday

MAIL = '[mail]\nsender = "movement@marrowdale.example"\nhost = "{host}"\nport = {port}\n{more}\n'


def saturday_in(folder: Path) -> World:
    world = make_world(folder)
    world.publish()
    saturday(world)
    put(world, 1, "balance-lane", "v-001", "p-01")
    text = {"day": date(2026, 10, 1), "review_by": date(2027, 6, 30), "text": "Hum the tune of the harbor bell."}
    with world.writing() as db:
        db.add(
            Card(
                participant="p-01", version=2, first_day=text["day"], review_by=text["review_by"], text=text["text"],
                recorded_at=world.clock.now(), recorded_by="c-01", from_start=True,
            )
        )  # fmt: skip
    world.hold("v-004", "paper/background-check", last_day=date(2026, 10, 25))
    world.add_person("v-020", name="Maren Oduvane", sections="KIN-372-A")
    world.add_person("i-01", "course-instructor", "Hadrian Mossop", "KIN-372-A")
    serve(world, "v-020", 97)
    return world


@contextmanager
def served(world: World, kept: Kept, more: str = 'security = "none"') -> Iterator[World]:
    """Give a world whose settings name a server that runs."""
    with mail_server(kept) as port:
        yield with_mail(world, "127.0.0.1", port, more)


def with_mail(world: World, host: str, port: int, more: str = 'security = "none"', **environment: str) -> World:
    folder = world.instance.settings.folder
    before = (folder / "settings.toml").read_text(encoding="utf-8").partition("[mail]")[0]
    (folder / "settings.toml").write_text(before + MAIL.format(host=host, port=port, more=more), encoding="utf-8")
    settings = read_settings(folder, environment)
    return World(type(world.instance)(settings, world.instance.database, world.clock), world.clock)


def ask(world: World, *options: str) -> Result:
    return CliRunner().invoke(remind, list(options), obj=world.instance)


EVERYBODY = ["i-01", "o-01", "v-001", "v-002", "v-003", "v-004", "v-005", "v-006"]
