"""Builds what tests stand on: an instance with a real database, people, a published program, evidence."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from argon2 import PasswordHasher
from sqlalchemy.orm import Session

from mentor_training.clock import FixedClock
from mentor_training.database.instance import Instance, open_instance
from mentor_training.database.schema import upgrade
from mentor_training.database.session import Database
from mentor_training.database.signing_keys import make_first_key
from mentor_training.evidence.actions import record
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.people.actions import enroll
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import person_for
from mentor_training.people.roster import Row
from mentor_training.program.tables import Edition, EditionFile
from tests.small_program import small_files

PASSWORD = "seven quiet herons stand"
NOON = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)  # Friday 16 October 2026, noon in New York
FRIDAY = date(2026, 10, 16)
SETTINGS = 'title = "Small program"\ntime_zone = "America/New_York"\n'


@cache
def empty_database() -> Path:
    """Make an empty SQLite database in its newest form, once for each test run."""
    path = Path(mkdtemp(prefix="mentor-training-")) / "empty.db"
    database = Database(f"sqlite:///{path}")
    upgrade(database)
    database.close()
    return path


@cache
def password_hash() -> str:
    """Hash the one password of all people in tests, once, and so that it is verified in a moment."""
    return PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD)


@dataclass
class World:
    """An instance with a clock that stands, and short ways to put things into it."""

    instance: Instance
    clock: FixedClock

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Give a session that commits at the end."""
        with self.instance.database.writing() as db:
            yield db

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session for questions."""
        with self.instance.database.reading() as db:
            yield db

    def add_person(self, code: str, roles: str = "volunteer", name: str = "", sections: str = "") -> str:
        """Enroll a person who can sign in with the password of all tests."""
        row = Row(code, name or f"Person {code}", f"{code}@marrowdale.example", words(roles), words(sections))
        with self.writing() as db:
            enroll(db, self.clock.now(), CONSOLE, row, from_start=True)
            person_for(db, code).password_hash = password_hash()
        return code

    def publish(
        self, files: Mapping[str, str] | None = None, effective: date = date(2026, 8, 1), number: int = 1
    ) -> None:
        """Publish files as an edition, without asking whether they are good."""
        with self.writing() as db:
            texts = files or small_files()
            db.add(
                Edition(
                    number=number, hash=f"{hash(frozenset(texts.items()))}", effective=effective,
                    published_at=self.clock.now(), published_by="console", from_start=number == 1,
                )
            )  # fmt: skip
            db.flush()
            db.add_all(EditionFile(edition=number, path=path, text=text) for path, text in texts.items())

    def add_participant(
        self, code: str, needs: str = "", keep_apart: str = "", review_by: date = date(2027, 6, 30), card: bool = True
    ) -> str:
        """Add a participant with a first card."""
        now = self.clock.now()
        with self.writing() as db:
            db.add(Participant(code=code, first_name=f"Name{code.removeprefix('p-')}"))
            db.flush()
            db.add(
                Profile(
                    participant=code, adaptation_level=1, needs=words(needs), keep_apart=words(keep_apart), wishes=(),
                    first_day=None, recorded_at=now, recorded_by="console", from_start=True,
                )
            )  # fmt: skip
            if card:
                db.add(
                    Card(
                        participant=code, version=1, first_day=date(2026, 8, 1), review_by=review_by,
                        text="Walk beside.", recorded_at=now, recorded_by="console", from_start=True,
                    )
                )  # fmt: skip
        return code

    def hold(self, person: str, *items: str, first_day: date = date(2026, 9, 1), last_day: date | None = None) -> None:
        """Give a volunteer items by evidence: modules completed, skills signed off, papers on file, cards read."""
        kinds = {"module": "completed", "skill": "signed-off", "paper": "on-file", "card": "read-card"}
        with self.writing() as db:
            for item in items:
                kind = kinds[item.split("/")[0]]
                record(db, self.clock.now(), "console", person, kind, item, first_day, last_day)


def words(text: str) -> tuple[str, ...]:
    """Split a list written with semicolons."""
    return tuple(text.split(";")) if text else ()


def make_world(folder: Path, moment: datetime = NOON, settings: str = SETTINGS) -> World:
    """Make an instance in a folder, its clock standing at a moment."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "settings.toml").write_text(settings, encoding="utf-8")
    (folder / "keys").mkdir(exist_ok=True)
    (folder / "keys" / "secret-key").write_text("5" * 64, encoding="ascii")
    make_first_key(folder / "keys")
    (folder / "data").mkdir(exist_ok=True)
    shutil.copy(empty_database(), folder / "data" / "mentor-training.db")
    clock = FixedClock(moment)
    return World(open_instance(folder, clock), clock)
