"""Makes programs, people and registers as files that nobody has seen, and reads them back apart from the program.

The texts are written from the file forms alone, and read here by tomllib and PyYAML, so that a slip in the program's
own reading cannot hide.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import yaml

from mentor_training.clearance.dossier import CardFrom, ParticipantFile, ProfileFrom
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Criterion, Ladder, Module, Need, Paper, Program, SignOffRule, Skill, Station
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions

TAGS = ("standing", "water", "throwing")
MODULES, SKILLS, PAPERS = ("safety", "consent"), ("guarding", "guiding"), ("card", "check")
ITEMS = tuple(f"module/{one}" for one in MODULES) + tuple(f"skill/{one}" for one in SKILLS) + tuple(
    f"paper/{one}" for one in PAPERS
)  # fmt: skip
PEOPLE, PARTICIPANTS = ("v-1", "v-2", "v-3"), ("p-1", "p-2")


@dataclass
class Maker:
    """Draws everything from one seed; `today` is the day on which it is published and asked."""

    seed: int
    today: date
    draw: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self.draw = random.Random(self.seed)  # noqa: S311 - made-up files, no secrets

    def some(self, of: tuple[str, ...], least: int = 0) -> list[str]:
        """Return some of these, in an order of their own."""
        return self.draw.sample(of, self.draw.randint(least, len(of)))

    def requirement(self, depth: int = 3) -> str:
        """Return a requirement as TOML."""
        kind = self.draw.choice(
            ["item", "item", "item", "hours", "sessions"] + ["all", "any", "at_least"] * (depth > 0)
        )
        if kind == "item":
            return f'"{self.draw.choice(ITEMS)}"'
        if kind == "hours":
            return f'{{ hours = "direct", at_least = {self.draw.choice(["1", "2.5", "10"])} }}'
        if kind == "sessions":
            return f"{{ sessions = {self.draw.randint(1, 3)} }}"
        parts = [self.requirement(depth - 1) for _ in range(self.draw.randint(1, 3))]
        inner = ", ".join(parts)
        if kind == "at_least":
            return f"{{ at_least = {self.draw.randint(1, len(parts))}, of = [ {inner} ] }}"
        return f"{{ {kind} = [ {inner} ] }}"

    def rungs(self, names: tuple[str, ...]) -> str:
        """Return rungs, some of them left out; `independent` stays where there is no `lead`."""
        given = [one for one in names if self.draw.random() < 0.6]
        if not set(given) & {"independent", "lead"}:
            given.append("independent")
        return "".join(f"{one} = {self.requirement()}\n" for one in names if one in given)

    def files(self, number: int) -> dict[str, str]:
        """Return the files of edition `number`."""
        entry = f"entry = {self.requirement(1)}\n" if self.draw.random() < 0.5 else ""
        files = {"program/program.toml": f'name = "Unseen {self.seed}, edition {number}"\n{entry}'}
        files["program/stations.toml"] = "\n".join(self.station(slug) for slug in ("lane", "pool", "desk"))
        files["program/needs.toml"] = "\n".join(self.need(slug) for slug in ("fall", "sign"))
        files["program/papers.toml"] = "\n".join(self.paper(slug) for slug in PAPERS)
        for slug in SKILLS:
            files[f"program/skills/{slug}.md"] = self.skill(slug)
        for slug in MODULES:
            files[f"modules/{slug}.md"] = self.module(slug, number)
        return files

    def paper(self, slug: str) -> str:
        """Return a paper."""
        months = self.months("good_for_months = {}")
        return f'[[paper]]\nslug = "{slug}"\ntitle = "{slug}"\n{months}waivable = {self.flag()}\n'

    def flag(self) -> str:
        """Return true or false as both languages write it."""
        return self.draw.choice(["true", "false"])

    def months(self, form: str) -> str:
        """Return a line with a few months, or nothing."""
        return form.format(self.draw.randint(1, 14)) + "\n" if self.draw.random() < 0.6 else ""

    def station(self, slug: str) -> str:
        """Return a station, or a duty."""
        kind = 'kind = "duty"\n' if slug == "desk" else ""
        tags = ", ".join(f'"{tag}"' for tag in self.some(TAGS))
        head = f'[[station]]\nslug = "{slug}"\ntitle = "The {slug}"\n{kind}activities = [{tags}]\ncapacity = 4\n'
        return head + self.rungs(("supervised", "independent", "lead"))

    def need(self, slug: str) -> str:
        """Return a need."""
        tags = ", ".join(f'"{tag}"' for tag in self.some(TAGS))
        given = f"supervised = {self.requirement()}\n" if self.draw.random() < 0.5 else ""
        head = f'[[need]]\nslug = "{slug}"\ntitle = "Need {slug}"\nactivities = [{tags}]\n'
        return f"{head}{given}independent = {self.requirement()}\n"

    def skill(self, slug: str) -> str:
        """Return a skill."""
        within = f"practice_within_days: {self.draw.randint(10, 60)}\n" if self.draw.random() < 0.6 else ""
        months = self.months("good_for_months: {}")
        return f"---\nslug: {slug}\ntitle: {slug}\nrisk: high\ncriteria:\n  - text: Seen.\n{months}{within}---\nHow.\n"

    def module(self, slug: str, number: int) -> str:
        """Return a module; its edition never falls from one program edition to the next."""
        edition = number if self.draw.random() < 0.7 or number == 1 else number - 1
        retake = f"must_retake: {self.flag()}\ngrace_days: {self.draw.randint(0, 20)}\n"
        months = self.months("good_for_months: {}")
        return f"---\nslug: {slug}\ntitle: {slug}\nedition: {edition}\nminutes: 10\n{months}{retake}---\nText.\n"

    def day(self, back: int = 300, ahead: int = 40) -> date:
        """Return a day around today."""
        return self.today + timedelta(days=self.draw.randint(-back, ahead))

    def people(self) -> str:
        """Return people.csv."""
        rows = [f"{code},Name of {code},{code}@marrowdale.example,volunteer," for code in PEOPLE]
        return "person,name,email,roles,section\n" + "\n".join(rows) + "\n"

    def participants(self) -> str:
        """Return participants.csv."""
        rows = [
            f"{code},First{place},1,{';'.join(self.some(('fall', 'sign')))},{';'.join(self.some(PEOPLE)[:1])},"
            for place, code in enumerate(PARTICIPANTS)
        ]
        return "participant,first_name,adaptation_level,needs,keep_apart,wishes\n" + "\n".join(rows) + "\n"

    def cards(self) -> str:
        """Return cards.csv; versions begin in their order."""
        rows = []
        for code in PARTICIPANTS:
            first = self.day(300, -60)
            for version in range(1, self.draw.randint(0, 3) + 1):
                review = first + timedelta(days=self.draw.randint(0, 500))
                rows.append(f"{code},{version},{first},{review},Walk beside (version {version}).")
                first += timedelta(days=self.draw.randint(1, 60))
        return "participant,version,first_day,review_by,text\n" + "\n".join(rows) + "\n"

    def register(self, cards: str) -> str:
        """Return register.csv for everybody."""
        versions = [tuple(line.split(",")[:2]) for line in cards.splitlines()[1:] if line]
        rows: list[list[str]] = []
        for person in PEOPLE:
            own: list[list[str]] = []
            for _ in range(self.draw.randint(0, 25)):
                row = self.record(person, own, versions)
                if row:
                    own.append([f"b-{len(rows) + len(own) + 1}", *row])
            rows += own
        header = "record,person,kind,item,first_day,last_day,recorded_at,recorded_by,refers_to,note\n"
        return header + "\n".join(",".join(row) for row in rows) + "\n"

    def record(self, person: str, own: list[list[str]], versions: list[Any]) -> list[str] | None:
        """Return one row without its name; None where the drawn kind has nothing to be about."""
        kinds = ["completed", "signed-off", "on-file", "on-file", "practiced", "met", "hours", "attended", "read-card"]
        kind = self.draw.choice(kinds * 2 + ["waived", "stood-down", "restricted", "withdrawn", "voided", "lifted"])
        first, last, refers, note = self.day(), "", "", ""
        later = str(first + timedelta(days=self.draw.randint(0, 200)))
        item = {
            "completed": f"module/{self.draw.choice(MODULES)}{self.draw.choice(['', '@1', '@2'])}",
            "signed-off": f"skill/{self.draw.choice(SKILLS)}",
            "met": f"skill/{self.draw.choice(SKILLS)}",
            "practiced": f"skill/{self.draw.choice(SKILLS)}",
            "on-file": f"paper/{self.draw.choice(PAPERS)}",
            "waived": f"paper/{self.draw.choice(PAPERS)}",
            "hours": "direct",
            "attended": f"s-{self.draw.randint(1, 5)}",
        }.get(kind, "")
        if kind == "hours":
            note = str(self.draw.choice([30, 60, 149, 300]))
        elif kind == "read-card":
            if not versions:
                return None
            participant, version = self.draw.choice(versions)
            item = f"card/{participant}@{version}"
        elif kind in ("stood-down", "restricted"):
            item = self.draw.choice(["", "lane", "pool", *(f"activity/{tag}" for tag in sorted(self.tags))])
            last = self.draw.choice(["", later])
        elif kind in ("on-file", "waived"):
            last = later if kind == "waived" else self.draw.choice(["", later])
        elif kind in ("withdrawn", "voided", "lifted"):
            fits = [row for row in own if kind != "lifted" or row[2] in ("stood-down", "restricted")]
            if not fits:
                return None
            about = self.draw.choice(fits)
            item, refers = about[3], about[0]
        recorded = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=len(own))
        moment = recorded.isoformat().replace("+00:00", "Z")
        return [person, kind, item, str(first), last, moment, "binder", refers, note]

    tags: set[str] = field(default_factory=set)


def program_of(files: Mapping[str, str]) -> Program:
    """Read files apart from the program's own reading."""
    top = tomllib.loads(files["program/program.toml"])
    stations = tomllib.loads(files["program/stations.toml"])["station"]
    needs = tomllib.loads(files["program/needs.toml"])["need"]
    papers = tomllib.loads(files["program/papers.toml"])["paper"]
    heads = {path: yaml.safe_load(text.split("---")[1]) for path, text in files.items() if path.endswith(".md")}
    modules = [head for path, head in heads.items() if path.startswith("modules/")]
    skills = [head for path, head in heads.items() if path.startswith("program/skills/")]
    return Program(
        name=top["name"],
        entry=_requirement(top["entry"]) if "entry" in top else AtLeast(0, ()),
        stations={
            one["slug"]: Station(one["slug"], one["title"], _ladder(one), activities=tuple(one["activities"]))
            for one in stations
        },
        needs={
            one["slug"]: Need(one["slug"], one["title"], _ladder(one), activities=tuple(one["activities"]))
            for one in needs
        },
        papers={
            one["slug"]: Paper(one["slug"], one["title"], one.get("good_for_months"), one["waivable"]) for one in papers
        },
        modules={
            head["slug"]: Module(
                head["slug"], head["title"], head["edition"], 10, (), head.get("good_for_months"),
                head["must_retake"], head["grace_days"],
            )
            for head in modules
        },
        skills={
            head["slug"]: Skill(
                head["slug"], head["title"], "high", (Criterion("Seen."),), SignOffRule(),
                head.get("good_for_months"), head.get("practice_within_days"),
            )
            for head in skills
        },
    )  # fmt: skip


def _ladder(table: Mapping[str, Any]) -> Ladder:
    names = ["supervised", "independent", "lead"]
    top = max(place for place, name in enumerate(names) if name in table)
    rungs = []
    for place in range(top + 1):
        above = next(name for name in names[place:] if name in table)
        rungs.append(_requirement(table[above]))
    return Ladder(tuple(rungs))


def _requirement(value: Any) -> Requirement:
    if isinstance(value, str):
        return Item(value)
    if "all" in value:
        parts = tuple(_requirement(one) for one in value["all"])
        return AtLeast(len(parts), parts)
    if "any" in value:
        return AtLeast(1, tuple(_requirement(one) for one in value["any"]))
    if "of" in value:
        return AtLeast(value["at_least"], tuple(_requirement(one) for one in value["of"]))
    if "hours" in value:
        return Hours(value["hours"], value["at_least"])
    return Sessions(value["sessions"])


def facts_of(register: str, person: str) -> list[Fact]:
    """Read one volunteer's rows of a register."""
    facts = []
    for line in register.splitlines()[1:]:
        code, who, kind, item, first, last, moment, by, refers, note = line.split(",")
        if who == person:
            facts.append(
                Fact(
                    code, who, kind, item, date.fromisoformat(first), date.fromisoformat(last) if last else None,
                    datetime.fromisoformat(moment), by, refers or None, note,
                )
            )  # fmt: skip
    return facts


def participant_of(participants: str, cards: str, code: str) -> ParticipantFile:
    """Read one participant with the card versions."""
    row = next(line.split(",") for line in participants.splitlines() if line.startswith(f"{code},"))
    needs, apart = (tuple(cell.split(";")) if cell else () for cell in row[3:5])
    versions = [line.split(",") for line in cards.splitlines() if line.startswith(f"{code},")]
    return ParticipantFile(
        code,
        (ProfileFrom(None, needs, apart),),
        tuple(CardFrom(int(one[1]), date.fromisoformat(one[2]), date.fromisoformat(one[3])) for one in versions),
    )
