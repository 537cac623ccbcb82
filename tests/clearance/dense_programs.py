"""Small random cases in which much happens within a few weeks, many in a second; a seed gives the same again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random

from mentor_training.clearance.dossier import CardFrom, ParticipantFile, ProfileFrom
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Criterion, Ladder, Module, Need, Paper, Program, SignOffRule, Skill, Station
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions
from tests.clearance.random_programs import MOMENT

FIRST = date(2026, 1, 28)
WEEKS = 40  # days in which things happen
ITEMS = ("module/a", "module/b", "skill/c", "skill/d", "paper/e", "paper/f")
STATIONS = ("one", "two")
COUNTS: tuple[Requirement, ...] = (
    Hours("direct", 1), Hours("direct", 2.5), Hours("direct", 0), Sessions(1), Sessions(2),
)  # fmt: skip
GIVING = ("completed", "signed-off", "on-file", "met", "practiced", "waived", "hours", "attended", "read-card")


@dataclass(frozen=True)
class Case:
    """Editions, the records of some volunteers, and a participant."""

    editions: tuple[PublishedProgram, ...]
    register: dict[str, tuple[Fact, ...]]
    participant: ParticipantFile


def a_case(random: Random) -> Case:
    """Make a case."""
    first = PublishedProgram(1, FIRST - timedelta(days=random.randint(0, 5)), MOMENT, "1", _program(random), True)
    later = [
        PublishedProgram(2 + n, a_day(random), MOMENT, str(2 + n), _program(random))
        for n in range(random.randint(0, 2))
    ]
    shared = _facts(random, "v")
    register = {
        person: tuple(replace(fact, person=person) for fact in shared)
        if random.random() < 0.4
        else _facts(random, person)
        for person in ("v", "w", "x", "y")[: random.randint(1, 4)]
    }
    return Case((first, *later), register, _participant(random))


def a_day(random: Random) -> date:
    """Return one of the days in which things happen."""
    return FIRST + timedelta(days=random.randint(0, WEEKS))


def _program(random: Random) -> Program:
    months = (None, None, 1)
    return Program(
        name="Dense",
        entry=_requirement(random, 1) if random.random() < 0.4 else AtLeast(0, ()),
        stations={
            "one": Station("one", "One", _ladder(random, 3), activities=("x", "y")),
            "two": Station("two", "Two", _ladder(random, 3), activities=("z",)),
        },
        needs={
            "n": Need("n", "N", _ladder(random, 2), activities=random.choice([(), ("x",), ("z",)])),
            "m": Need("m", "M", _ladder(random, 2)),
        },
        papers={slug: Paper(slug, slug, random.choice(months), random.random() < 0.5) for slug in "ef"},
        modules={
            slug: Module(
                slug,
                slug,
                random.randint(1, 3),
                10,
                (),
                random.choice(months),
                random.random() < 0.3,
                random.randint(0, 9),
            )
            for slug in "ab"
        },
        skills={
            slug: Skill(
                slug, slug, "high", (Criterion("x"),), SignOffRule(), random.choice(months), random.choice([None, 3, 9])
            )
            for slug in "cd"
        },
    )


def _ladder(random: Random, most: int) -> Ladder:
    return Ladder(tuple(_requirement(random, 2) for _ in range(random.randint(1, most))))


def _requirement(random: Random, depth: int) -> Requirement:
    if depth and random.random() < 0.5:
        parts = tuple(_requirement(random, depth - 1) for _ in range(random.randint(1, 3)))
        return AtLeast(random.randint(1, len(parts)), parts)
    if random.random() < 0.3:
        return random.choice(COUNTS)
    return Item(random.choice(ITEMS))


def _facts(random: Random, person: str) -> tuple[Fact, ...]:
    facts: list[Fact] = []
    for place in range(random.randint(6, 30)):
        kind = random.choice(GIVING[:3] if random.random() < 0.5 else GIVING)
        facts.append(_given(random, Fact(f"r-{place}", person, kind, "", a_day(random), None, MOMENT)))
    for place in range(random.choice([0, 0, 1, 2, 4])):
        facts.append(_correction(random, f"c-{place}", person, facts))
    return tuple(facts)


def _given(random: Random, fact: Fact) -> Fact:
    last = None if random.random() < 0.5 else fact.first_day + timedelta(days=random.randint(0, 20))
    if fact.kind == "completed":
        return replace(fact, item=random.choice(ITEMS[:2]) + random.choice(["", "@1", "@2", "@3"]), last_day=last)
    if fact.kind == "hours":
        return replace(fact, item="direct", note=str(random.choice([-60, 30, 60, 149])))
    if fact.kind == "attended":
        return replace(fact, item=f"s-{random.randint(1, 3)}")
    if fact.kind == "read-card":
        return replace(fact, item=f"card/p-1@{random.randint(1, 2)}", last_day=last)
    of_kind = {
        "on-file": ITEMS[4:],
        "waived": ITEMS,
        "signed-off": ITEMS[2:4],
        "met": ITEMS[2:4],
        "practiced": ITEMS[2:4],
    }
    return replace(fact, item=random.choice(of_kind[fact.kind]), last_day=last)


def _correction(random: Random, code: str, person: str, facts: list[Fact]) -> Fact:
    if random.random() < 0.4:
        scope = random.choice(["", "one", "two", "activity/x", "activity/z", "gone", "activity/gone"])
        day = a_day(random)
        last = random.choice([None, day + timedelta(days=random.randint(0, 9))])
        return Fact(code, person, random.choice(["stood-down", "restricted"]), scope, day, last, MOMENT)
    about = random.choice(facts)
    kind = random.choice(["withdrawn", "voided"])
    if about.kind in ("stood-down", "restricted"):
        kind = random.choice(["lifted", "voided"])
    return Fact(code, person, kind, about.item, a_day(random), None, MOMENT, refers_to=about.code)


def _participant(random: Random) -> ParticipantFile:
    needs = [(), ("n",), ("m",), ("m", "n"), ("q", "n")]
    apart = [(), (), ("w",), ("v", "x"), ("somebody-else",)]
    starts = [
        None if random.random() < 0.8 else a_day(random),
        *(a_day(random) for _ in range(random.choice([0, 0, 1]))),
    ]
    profiles = tuple(
        ProfileFrom(start, random.choice(needs[: random.randint(1, 5)]), random.choice(apart)) for start in starts
    )
    cards = tuple(
        CardFrom(version, a_day(random), a_day(random) + timedelta(days=30))
        for version in range(1, 1 + random.choice([0, 0, 1, 2]))
    )
    return ParticipantFile("p-1", profiles, cards)
