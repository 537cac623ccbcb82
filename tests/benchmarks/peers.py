"""The same questions put to two general-purpose authorization libraries, pycasbin and cedarpy.

They are made for who may do what, not for everybody at once; each is asked the way its documentation asks, with what
its caller can make ready beforehand made ready: the rules parsed, what each volunteer holds that day gathered. Ours
answers the whole matrix. All answers are compared first. Run it with `python -m tests.benchmarks.peers`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import casbin
import cedarpy

from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Day
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions, all_of
from tests.benchmarks.data import DAY, Size, records
from tests.benchmarks.in_memory import Evidence
from tests.benchmarks.matrix import columns
from tests.benchmarks.measure import Result, best, run

ASKED = 40  # so many volunteers are asked about, at every station and for every level
LEVELS = ("supervised", "independent", "lead")
MODEL = """
[request_definition]
r = sub, obj, act
[policy_definition]
p = condition, obj, act
[policy_effect]
e = some(where (p.eft == allow))
[matchers]
m = r.act == p.act && r.obj == p.obj && eval(p.condition)
"""


@dataclass
class Subject:
    """What a volunteer holds on the day: the attributes on which these libraries decide."""

    code: str
    held: set[str] = field(default_factory=set)
    paused: set[str] = field(default_factory=set)
    minutes: int = 0
    sessions: int = 0


@dataclass(frozen=True)
class Question:
    """Does this volunteer reach this level at this station."""

    subject: Subject
    station: str
    level: str


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured, for each decision."""
    everybody = Evidence.of(size, records(size)).read()
    day = Day(everybody, DAY)
    questions, expected = questions_of(everybody, day)
    decisions = size.volunteers * len(day.program.stations) * len(LEVELS)
    ours = best(lambda: columns(everybody), 9, 5) / decisions
    note = f"each of {len(questions):,} decisions; ours: all {decisions:,}"
    peers: dict[str, Casbin | Cedar] = {"pycasbin": Casbin(day), "cedarpy, in batches": Cedar(day, questions)}
    for name, peer in peers.items():
        if peer.answers(questions) != expected:
            raise AssertionError(f"{name} answers something else")
        theirs = best(lambda peer=peer: peer.answers(questions), 3) / len(questions)  # type: ignore[misc]
        yield Result(f"(d) a decision by {name}, against ours", theirs, "ours", ours, note=note)


def questions_of(everybody: Everybody, day: Day) -> tuple[list[Question], list[bool]]:
    """Return what is asked, and our answers."""
    subjects = subjects_of(everybody, day)
    questions, answers = [], []
    for station in day.program.stations:
        reached = day.column(station).reached
        for subject in subjects:
            for bits, level in zip(reached, LEVELS, strict=False):
                questions.append(Question(subject, station, level))
                answers.append(bool(bits >> everybody.places[subject.code] & 1))
    return questions, answers


def subjects_of(everybody: Everybody, day: Day) -> list[Subject]:
    """Return the first volunteers with what they hold; one thing is asked of all, so that it is gathered in one go."""
    subjects = [Subject(code) for code in list(everybody.places)[:ASKED]]
    program = day.program
    for kind, slugs in (("module", program.modules), ("skill", program.skills), ("paper", program.papers)):
        for slug in slugs:
            holding = day.holding(Item(f"{kind}/{slug}"))
            for place, subject in enumerate(subjects):
                if holding >> place & 1:
                    subject.held.add(f"{kind}/{slug}")
    for place, subject in enumerate(subjects):
        subject.minutes, subject.sessions = everybody.minutes(place, "direct", DAY), everybody.sessions(place, DAY)
        subject.paused = {slug for slug, station in program.stations.items() if not day._free_at(station) >> place & 1}
    return subjects


def rungs(day: Day) -> Iterator[tuple[str, str, Requirement]]:
    """Yield, for each station and level, all that it takes: the entry, that rung and those below it."""
    for slug, station in day.program.stations.items():
        whole = [day.program.entry]
        for level, rung in zip(LEVELS, station.ladder.rungs, strict=False):
            whole.append(rung)
            yield slug, level, all_of(*whole)


def condition_of(requirement: Requirement, atom: Any, both: str, either: str) -> str:
    """Write a requirement as a condition in the language of a library."""
    if not isinstance(requirement, AtLeast):
        return str(atom(requirement))
    parts = [condition_of(part, atom, both, either) for part in requirement.of]
    ways = [f" {both} ".join(way) for way in combinations(parts, requirement.count)]
    return "(" + f" {either} ".join(f"({way})" for way in ways) + ")"


class Casbin:
    """An enforcer for each station, so that it looks at three rules and not at all hundred and fifty."""

    def __init__(self, day: Day) -> None:
        self.enforcers: dict[str, Any] = {}
        for station, level, requirement in rungs(day):
            enforcer = self.enforcers.get(station)
            if enforcer is None:
                model = casbin.Model()
                model.load_model_from_text(MODEL)
                enforcer = self.enforcers[station] = casbin.Enforcer(model)
            condition = condition_of(requirement, self._atom, "and", "or")
            enforcer.add_policy(f"{condition} and '{station}' not in r.sub.paused", station, level)

    @staticmethod
    def _atom(atom: Requirement) -> str:
        if isinstance(atom, Item):
            return f"'{atom.name}' in r.sub.held"
        if isinstance(atom, Hours):
            return f"r.sub.minutes >= {int(atom.at_least * 60)}"
        assert isinstance(atom, Sessions)
        return f"r.sub.sessions >= {atom.at_least}"

    def answers(self, questions: list[Question]) -> list[bool]:
        """Ask, one by one: it has no way to ask many at once that is quicker."""
        return [self.enforcers[one.station].enforce(one.subject, one.station, one.level) for one in questions]


class Cedar:
    """The policies parsed once; the questions asked in one batch for each station, as its documentation advises."""

    def __init__(self, day: Day, questions: list[Question]) -> None:
        self.policies = cedarpy.PolicySet.from_str("\n".join(self._policy(*one) for one in rungs(day)))
        subjects = {one.subject.code: one.subject for one in questions}.values()
        self.entities = cedarpy.Entities.from_json_str(json.dumps([self._entity(one) for one in subjects]))

    def _policy(self, station: str, level: str, requirement: Requirement) -> str:
        condition = condition_of(requirement, self._atom, "&&", "||")
        scope = f'principal, action == Action::"{level}", resource == Station::"{station}"'
        return f'permit({scope}) when {{ {condition} && !principal.paused.contains("{station}") }};'

    @staticmethod
    def _atom(atom: Requirement) -> str:
        if isinstance(atom, Item):
            return f'principal.held.contains("{atom.name}")'
        if isinstance(atom, Hours):
            return f"principal.minutes >= {int(atom.at_least * 60)}"
        assert isinstance(atom, Sessions)
        return f"principal.sessions >= {atom.at_least}"

    @staticmethod
    def _entity(subject: Subject) -> dict[str, object]:
        attributes = {
            "held": sorted(subject.held), "paused": sorted(subject.paused),
            "minutes": subject.minutes, "sessions": subject.sessions,
        }  # fmt: skip
        return {"uid": {"type": "Volunteer", "id": subject.code}, "attrs": attributes, "parents": []}

    def answers(self, questions: list[Question]) -> list[bool]:
        """Ask in batches of fifty."""
        found: list[bool] = []
        for start in range(0, len(questions), 50):
            requests = [self._request(one) for one in questions[start : start + 50]]
            found += [one.allowed for one in cedarpy.is_authorized_batch(requests, self.policies, self.entities)]
        return found

    @staticmethod
    def _request(question: Question) -> dict[str, Any]:
        return {
            "principal": {"type": "Volunteer", "id": question.subject.code},
            "action": {"type": "Action", "id": question.level},
            "resource": {"type": "Station", "id": question.station},
        }


if __name__ == "__main__":
    run(measured)
