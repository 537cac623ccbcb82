"""Programs that nobody has seen, from files to the documented JSON, held to the naive model.

Everything goes through the command line: start, publish, the imports, clearance.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.cli import main
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import AtLeast, Atom, Hours, Item, Requirement, Sessions, atoms_of
from tests.clearance.naive import NaiveModel
from tests.clearance.unseen import PARTICIPANTS, PEOPLE, Maker, facts_of, participant_of, program_of

HORIZON = 200


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make one instance by `start`, to be copied for each program; its own program files are taken out."""
    folder = tmp_path_factory.mktemp("unseen") / "instance"
    assert CliRunner().invoke(main, ["start", str(folder)]).exit_code == 0
    for name in ("program", "modules", "quizzes"):
        shutil.rmtree(folder / name)
        (folder / name).mkdir()
    return folder


class Unseen:
    """One drawn program on an instance of its own."""

    def __init__(self, seed: int, started: Path, folder: Path) -> None:
        shutil.copytree(started, folder)
        self.folder = folder
        self.today = datetime.now(UTC).date()
        self.maker = Maker(seed, self.today)
        self.editions: list[PublishedProgram] = []

    def run(self, *words: str) -> str:
        """Run a command and return what it printed."""
        result = CliRunner().invoke(main, ["--instance", str(self.folder), *words])
        assert result.exit_code == 0, f"{words}: {result.output}"
        return result.output

    def publish(self, number: int, effective: date) -> None:
        """Write the files of an edition and publish them."""
        files = self.maker.files(number)
        for path, text in files.items():
            target = self.folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(text, encoding="utf-8")
        self.run("publish", "--effective", effective.isoformat(), "--yes")
        program = program_of(files)
        self.maker.tags |= {tag for station in program.stations.values() for tag in station.activities}
        moment = datetime(2026, 1, 1, tzinfo=UTC)
        self.editions.append(PublishedProgram(number, effective, moment, "", program, True))

    def take_in(self, what: str, text: str) -> None:
        """Import a CSV."""
        path = self.folder / f"{what}.csv"
        path.write_text(text, encoding="utf-8")
        self.run(what, "import", str(path))

    def move_in(self) -> None:
        """Publish the first edition, and take people, participants, cards and the register in."""
        self.publish(1, self.today - timedelta(days=400))
        self.take_in("people", self.maker.people())
        self.participants, self.cards = self.maker.participants(), self.maker.cards()
        self.take_in("participants", self.participants)
        self.take_in("cards", self.cards)
        self.register = self.maker.register(self.cards)
        self.take_in("register", self.register)
        if self.maker.draw.random() < 0.6:
            self.publish(2, self.today + timedelta(days=self.maker.draw.randint(0, 30)))

    def models(self) -> dict[str, NaiveModel]:
        """Return the naive model of each volunteer."""
        return {code: NaiveModel(code, facts_of(self.register, code), self.editions) for code in PEOPLE}

    def participant(self, code: str | None) -> ParticipantFile | None:
        """Return a participant as read from the CSVs."""
        return participant_of(self.participants, self.cards, code) if code else None


@pytest.mark.parametrize("seed", range(12))
def test_an_unseen_program_gives_the_answers_of_the_naive_model(seed: int, started: Path, tmp_path: Path) -> None:
    """Levels with and without participants, holds-through, and the smallest sets of what is missing."""
    unseen = Unseen(seed, started, tmp_path / "instance")
    unseen.move_in()
    models = unseen.models()
    for back in (-60, 0, 25):
        day = unseen.today + timedelta(days=back)
        check_day(unseen, models, day)
        pairs = shown(unseen, "--every-participant", "--on", day.isoformat())
        stations = len(edition_on(unseen, day).stations)
        assert len(pairs) == len(PEOPLE) * stations * len(PARTICIPANTS)
        for row in pairs:
            person = unseen.participant(row["participant"])
            assert row["level"] == models[row["person"]].level(row["station"], person, day), (seed, day, row)


@pytest.mark.parametrize("seed", range(12, 16))
def test_asked_as_known_earlier_only_what_was_recorded_by_then_counts(seed: int, started: Path, tmp_path: Path) -> None:
    """Records and editions of later moments are left out; what it all began with is known from the beginning."""
    unseen = Unseen(seed, started, tmp_path / "instance")
    unseen.move_in()
    moment = datetime(2026, 1, 1, 6, 0, tzinfo=UTC)
    first = unseen.editions[:1]
    for row in shown(unseen, "--known-at", "2026-01-01T06:00:00Z", "--on", unseen.today.isoformat()):
        known = [fact for fact in facts_of(unseen.register, row["person"]) if fact.recorded_at <= moment]
        model = NaiveModel(row["person"], known, first)
        assert row["level"] == model.level(row["station"], None, unseen.today), row


def check_day(unseen: Unseen, models: Mapping[str, NaiveModel], day: date) -> None:
    """Hold the rows without participants to the model."""
    for row in shown(unseen, "--on", day.isoformat()):
        model = models[row["person"]]
        assert row["level"] == model.level(row["station"], None, day), (day, row)
        if row["level"]:
            last = model.holds_through(row["station"], None, day, day + timedelta(days=HORIZON))
            through = date.fromisoformat(row["holds_through"]) if row["holds_through"] else None
            if last is None:
                assert through is None or through >= day + timedelta(days=HORIZON), (day, row)
            else:
                assert through == last, (day, row)
        check_missing(unseen, model, row, day)


def check_missing(unseen: Unseen, model: NaiveModel, row: Mapping[str, Any], day: date) -> None:
    """Hold what is missing for each rung to a search over all sets."""
    rungs = edition_on(unseen, day).stations[row["station"]].ladder.rungs
    for rung, said in row["missing"].items():
        place = ("supervised", "independent", "lead").index(rung) + 1
        whole = AtLeast(place, tuple(rungs[:place]))
        wanted = smallest(whole, model, day)
        if wanted is not None:
            items = [one for one in said if isinstance(one, str) or "hours" in one or "sessions" in one]
            assert [known_by(one) for one in items] == [known_by(one) for one in wanted], (day, row)


def smallest(requirement: Requirement, model: NaiveModel, day: date) -> list[Any] | None:
    """Return the smallest set, of equal ones the earliest, by trying all; None where there are too many to try."""
    missing = [atom for atom in atoms_of(requirement) if not model.met(atom, day)]
    if len(missing) > 10:
        return None
    for size in range(len(missing) + 1):
        for chosen in combinations(missing, size):
            if met_with(requirement, chosen, model, day):
                return list(chosen)
    return None


def met_with(requirement: Requirement, chosen: tuple[Atom, ...], model: NaiveModel, day: date) -> bool:
    """Say whether a requirement would be met with some atoms besides what is held."""
    if isinstance(requirement, AtLeast):
        return sum(met_with(part, chosen, model, day) for part in requirement.of) >= requirement.count
    if model.met(requirement, day):
        return True
    for atom in chosen:
        if isinstance(requirement, Item) and atom == requirement:
            return True
        if isinstance(requirement, Hours) and isinstance(atom, Hours) and atom.at_least >= requirement.at_least:
            return True
        if isinstance(requirement, Sessions) and isinstance(atom, Sessions) and atom.at_least >= requirement.at_least:
            return True
    return False


def known_by(one: Any) -> Any:
    """Return what two ways of writing a missing thing have in common."""
    if isinstance(one, Item):
        return one.name
    if isinstance(one, Hours):
        return ("hours", one.at_least)
    if isinstance(one, Sessions):
        return ("sessions", one.at_least)
    if isinstance(one, dict):
        return ("hours", one["at_least"]) if "hours" in one else ("sessions", one["sessions"])
    return one


def shown(unseen: Unseen, *words: str) -> list[dict[str, Any]]:
    """Return the rows of the documented JSON."""
    rows: list[dict[str, Any]] = json.loads(unseen.run("clearance", *words, "--format", "json"))["clearances"]
    return rows


def edition_on(unseen: Unseen, day: date) -> Program:
    """Return the program in force on a day."""
    return max((one for one in unseen.editions if one.effective <= day), key=lambda one: one.effective).program
