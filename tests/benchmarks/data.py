"""A large program's people and their evidence, the same each time; and a database that holds them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random

from sqlalchemy import insert
from sqlalchemy.orm import Session

from mentor_training.clearance.dossier import CardFrom, ParticipantFile, ProfileFrom
from mentor_training.database.schema import upgrade
from mentor_training.database.session import Database
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram, content_hash
from mentor_training.program.reading import read_program
from mentor_training.program.tables import Edition, EditionFile
from tests.benchmarks.program_files import MODULES, NEEDS, PAPERS, PRACTICED, SEED, SKILLS, program_files

DAY = date(2026, 10, 16)
NOW = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)
BEGIN = date(2025, 9, 1)
EFFECTIVE = date(2025, 8, 1)
# What a volunteer of two semesters has on record: sixty rows.
OBSERVED, PRACTICE_DAYS, LOGGED, SESSIONS_SEEN, CARDS_READ = 8, 6, 4, 3, 1
MARKED = 0.06  # the share of volunteers with a withdrawal, a stand-down or a restriction among their records
WITH_CARD = 0.5

RECORDED_AT = NOW - timedelta(hours=1)

RecordRow = dict[str, object]


@dataclass(frozen=True)
class Size:
    """How much there is."""

    volunteers: int = 10_000
    stations: int = 50
    participants: int = 5_000
    needs: int = 20


def published(size: Size) -> PublishedProgram:
    """Return the one edition, read from its files."""
    return _published(size.stations, size.needs)


@cache
def _published(stations: int, needs: int) -> PublishedProgram:
    files = program_files(stations, needs)
    return PublishedProgram(1, EFFECTIVE, NOW, content_hash(files), _program(stations, needs), from_start=True)


def _program(stations: int, needs: int) -> Program:
    program, findings = read_program(program_files(stations, needs))
    if program is None:
        raise ValueError([str(one) for one in findings])
    return program


def people(size: Size) -> list[str]:
    """Return the volunteers' codes in their order."""
    return [f"v-{number:05d}" for number in range(size.volunteers)]


def records(size: Size) -> Iterator[RecordRow]:
    """Yield sixty rows for each volunteer, in the order in which a register would hold them: by day, not by person."""
    random = Random(SEED)  # noqa: S311 - made-up people, no secrets
    rows = [row for code in people(size) for row in _records_of(random, code, size)]
    rows.sort(key=lambda row: (row["first_day"], row["person"]))
    number_of = {row["code"]: number for number, row in enumerate(rows, 1)}
    for row in rows:
        number = number_of[row["code"]]
        about = row["refers_to"]
        yield {
            **row,
            "number": number,
            "code": f"r-{number:04d}",
            "refers_to": f"r-{number_of[about]:04d}" if about else None,
        }


def _records_of(random: Random, person: str, size: Size) -> list[RecordRow]:
    def day() -> date:
        return BEGIN + timedelta(days=random.randrange(400))

    wanted = [("completed", f"{item}@1") for item in MODULES] + [("signed-off", item) for item in SKILLS]
    wanted += [("on-file", item) for item in PAPERS]
    wanted += [("met", random.choice(SKILLS)) for _ in range(OBSERVED)]
    wanted += [("practiced", random.choice(PRACTICED)) for _ in range(PRACTICE_DAYS)]
    wanted += [("hours", "direct")] * LOGGED + [("attended", f"session-{random.randrange(40)}")] * SESSIONS_SEEN
    wanted += [("read-card", f"card/c-{random.randrange(size.participants):05d}@1")] * CARDS_READ
    rows = []
    for place, (kind, item) in enumerate(wanted):
        note = str(random.choice([60, 90, 97, 120])) if kind == "hours" else ""
        rows.append(_row(f"{person}/{place}", person, kind, item, day(), note))
    if random.random() < MARKED:
        rows[-1] = _mark(random, person, rows)
    return rows


def _mark(random: Random, person: str, rows: list[RecordRow]) -> RecordRow:
    name = f"{person}/mark"
    if random.random() < 0.5:
        scope = random.choice(["", "station-03", "activity/tag-2"])
        return _row(name, person, "stood-down", scope, DAY - timedelta(days=random.randrange(30)), "", 20)
    about = random.choice(rows[:32])
    first = about["first_day"]
    assert isinstance(first, date)
    row = _row(name, person, "withdrawn", "", first + timedelta(days=random.randrange(60)), "Superseded.")
    return {**row, "refers_to": about["code"]}


def _row(code: str, person: str, kind: str, item: str, first: date, note: str, days: int | None = None) -> RecordRow:
    return {
        "code": code, "person": person, "kind": kind, "item": item, "first_day": first,
        "last_day": first + timedelta(days=days) if days else None, "recorded_at": RECORDED_AT,
        "recorded_by": "console", "refers_to": None, "note": note,
    }  # fmt: skip


def participants(size: Size) -> list[ParticipantFile]:
    """Return participants with three to eight items of needs, half of them with a card."""
    random = Random(SEED + 1)  # noqa: S311 - made-up people, no secrets
    return [_participant(random, f"c-{number:05d}", size) for number in range(size.participants)]


def _participant(random: Random, code: str, size: Size) -> ParticipantFile:
    needs = tuple(random.sample(NEEDS[: size.needs], random.randint(3, min(8, size.needs))))
    apart = tuple(random.sample(people(size), random.choice([0, 0, 0, 1])))
    cards = (CardFrom(1, EFFECTIVE, date(2027, 6, 30)),) if random.random() < WITH_CARD else ()
    return ParticipantFile(code, (ProfileFrom(None, needs, apart),), cards)


def make_database(path: Path, size: Size) -> Database:
    """Make a SQLite database with all of it, as a register that was moved in."""
    database = Database(f"sqlite:///{path}")
    upgrade(database)
    files = program_files(size.stations, size.needs)
    with database.writing() as db:
        edition = published(size)
        db.add(
            Edition(
                number=1, hash=edition.hash, effective=EFFECTIVE, published_at=NOW, published_by="console",
                from_start=True,
            )
        )  # fmt: skip
        db.flush()
        db.add_all(EditionFile(edition=1, path=name, text=text) for name, text in files.items())
        db.execute(insert(Person), [_person(code) for code in people(size)])
        _insert_records(db, size)
        for file in participants(size):
            db.add(Participant(code=file.code, first_name=file.code.capitalize()))
        db.flush()
        db.execute(insert(Profile), [_profile(file) for file in participants(size)])
        db.execute(insert(Card), [_card(file) for file in participants(size) if file.cards])
    return database


def _insert_records(db: Session, size: Size) -> None:
    """Insert the records as the driver takes them: half a million rows in seconds."""
    moment = f"{RECORDED_AT:%Y-%m-%d %H:%M:%S.%f}"
    rows = [
        (row["number"], row["code"], row["person"], row["kind"], row["item"], str(row["first_day"]),
         str(row["last_day"]) if row["last_day"] else None, moment, row["recorded_by"], row["refers_to"], row["note"])
        for row in records(size)
    ]  # fmt: skip
    db.connection().exec_driver_sql("INSERT INTO record VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)


def _person(code: str) -> dict[str, object]:
    return {
        "code": code, "name": f"Person {code}", "email": f"{code}@marrowdale.example", "roles": ("volunteer",),
        "sections": (f"KIN-372-{'AB'[int(code[-1]) % 2]}",), "conflicts": (), "recorded_at": NOW, "from_start": True,
    }  # fmt: skip


def _profile(file: ParticipantFile) -> dict[str, object]:
    profile = file.profiles[0]
    return {
        "participant": file.code, "adaptation_level": 1, "needs": profile.needs, "keep_apart": profile.keep_apart,
        "wishes": (), "first_day": None, "recorded_at": NOW, "recorded_by": "console", "from_start": True,
    }  # fmt: skip


def _card(file: ParticipantFile) -> dict[str, object]:
    card = file.cards[0]
    return {
        "participant": file.code, "version": card.version, "first_day": card.first_day, "review_by": card.review_by,
        "text": "Walk beside.", "recorded_at": NOW, "recorded_by": "console", "from_start": True,
    }  # fmt: skip
