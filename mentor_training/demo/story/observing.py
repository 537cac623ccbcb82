"""Observations by the observers on their session days, drills in the evening, and sign-offs when a skill is ready."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.demo.cast import EAGER, EVERY_RETURNING, PASSWORD, SLOW, SPECIAL, STEADY, Character, luck
from mentor_training.demo.marking import HALF_SEEN, NOT_YET, STOPPED, THERE, marks_for, remark_for
from mentor_training.demo.stage import Stage
from mentor_training.observing.actions.observe import Look, observe
from mentor_training.observing.actions.sign_off import sign_off
from mentor_training.observing.rules.readiness import Readiness, Seen, readiness
from mentor_training.observing.rules.results import MET
from mentor_training.program.catalog import Skill
from mentor_training.program.queries import require_edition

FIRST_SKILLS = ("consented-help", "line-of-sight", "inclusive-game", "form-cue-levels", "effort-and-stop-signs")
THEN = ("guarding-balance", "spotting-resistance", "hand-under-hand", "board-partner")
STORY_SKILLS = (
    "consented-help", "line-of-sight", "guarding-balance", "effort-and-stop-signs", "form-cue-levels", "inclusive-game",
)  # fmt: skip
FIVE = ("v-001", "v-002", "v-003", "v-004", "v-005")
RAISED_A_LOAD = "v-012"
# The story's own six come first when it is chosen who is to be seen, and each has an order of their own.
FAVORED = (*FIVE, RAISED_A_LOAD)
OWN_ORDER = {
    **dict.fromkeys(FIVE, STORY_SKILLS),
    RAISED_A_LOAD: (
        "consented-help", "line-of-sight", "spotting-resistance", "effort-and-stop-signs", "form-cue-levels",
        "inclusive-game",
    ),
}  # fmt: skip
AT_THE_END = "close-down"
# Maren has been seen guarding twice, and twice more is still to come.
NO_MORE_THAN = {("v-003", "guarding-balance"): 2}
SURE = {EAGER: 0.93, STEADY: 0.85, SLOW: 0.6}

REFRESHER = date(2026, 9, 5)
REFRESHED = (
    "effort-and-stop-signs", "guarding-balance", "spotting-resistance", "shallow-water", "second-person-transfer",
)  # fmt: skip
DRILLS = (date(2026, 9, 24), date(2026, 10, 8))
DRILLED = ("emergency-role", "seizure-response")
MISSED_SECOND_DRILL = ("v-001", "v-042", "v-045", "v-049", "v-050")
DRILL_LEADERS = ("o-02", "o-03")
# What the returning mentors were signed off for in April, for six months, is seen anew.
EXPIRING_OF = {
    code: tuple(
        slug
        for slug in ("effort-and-stop-signs", "guarding-balance", "spotting-resistance")
        if slug in EVERY_RETURNING or code in SPECIAL[slug]
    )
    for code in (f"v-{number:03}" for number in range(39, 51))
}


@dataclass
class Notebook:
    """What has been seen of whom so far, and what was signed off, as the observers remember it."""

    seen: dict[tuple[str, str], list[Seen]] = field(default_factory=dict)
    signed: set[tuple[str, str]] = field(default_factory=set)
    fresh: dict[tuple[str, str], str] = field(default_factory=dict)

    def times(self, person: str, skill: str) -> int:
        """Return how often somebody was seen doing a skill."""
        return len(self.seen.get((person, skill), ()))

    def ready(self, person: str, skill: Skill, on: date) -> Readiness:
        """Return whether a skill is ready for sign-off."""
        return readiness(skill.sign_off, self.seen.get((person, skill.slug), ()), on)

    def wanted(self, person: str) -> list[str]:
        """Return the skills still to be seen of a newcomer, the next ones first."""
        if person in EXPIRING_OF:
            return [slug for slug in EXPIRING_OF[person] if (person, slug) not in self.signed]
        then = luck("then", person).choice(THEN)
        skills = OWN_ORDER.get(person, (*FIRST_SKILLS, then))
        return [
            skill
            for skill in skills
            if (person, skill) not in self.signed and self.times(person, skill) < NO_MORE_THAN.get((person, skill), 99)
        ]


@dataclass(frozen=True)
class Scene:
    """Who sees whom where: an observer, a volunteer, a station and a participant; simulated without one."""

    observer: str
    who: Character
    day: date
    station: str = ""
    participant: str = ""
    live: bool = True


def see(db: Session, at: datetime, stage: Stage, book: Notebook, scene: Scene, slug: str, how: str = "") -> None:
    """Let an observer record what they saw of one skill."""
    skill = require_edition(db, scene.day, at).program.skills[slug]
    times = book.times(scene.who.code, slug)
    chance = luck("seen", scene.who.code, slug, times)
    how = how or _how(scene.who, chance.random())
    key = f"{scene.who.code}-{slug}-{scene.day:%m%d}-{scene.observer}-{times}"
    marks, remark = marks_for(skill.criteria, how, chance), remark_for(how, chance)
    seen = (scene.who.code, slug, scene.day, scene.live, marks, scene.station, scene.participant, remark)
    look = Look(key, *seen)
    row = observe(db, at, stage.day(at), stage.cast.people[scene.observer], look)
    book.seen.setdefault((scene.who.code, slug), []).append(
        Seen(row.id, scene.day, scene.observer, row.result, how == STOPPED, scene.participant, scene.live)
    )
    if row.result == MET:
        book.fresh[scene.who.code, slug] = scene.observer


def _how(who: Character, drawn: float) -> str:
    sure = SURE.get(who.pace, 1.0)
    if who.code in FAVORED or drawn < sure:
        return THERE
    return NOT_YET if drawn < sure + 0.9 * (1 - sure) else HALF_SEEN


def sign_off_what_is_ready(db: Session, at: datetime, stage: Stage, book: Notebook) -> None:
    """Put the sign-offs of the day on the agenda: what was met today and is ready now, by whoever saw it last."""
    program = require_edition(db, stage.day(at), at).program
    moment = at
    for (person, slug), observer in sorted(book.fresh.items()):
        if (person, slug) not in book.signed and book.ready(person, program.skills[slug], stage.day(at)).is_ready:
            moment += timedelta(minutes=1)
            stage.agenda.add(moment, _sign, stage, book, person, slug, observer)
    book.fresh.clear()


def _sign(db: Session, at: datetime, stage: Stage, book: Notebook, person: str, slug: str, observer: str) -> None:
    reason = "An earlier look came to not yet; I have seen the same since, done well and unprompted."
    sign_off(db, at, stage.day(at), stage.cast.people[observer], person, slug, PASSWORD, reason)
    book.signed.add((person, slug))


def drill(stage: Stage, book: Notebook) -> None:
    """Put the refresher of the returning mentors and the two emergency drills on the agenda; all of it simulated."""
    _refresh(stage, book, stage.moment(REFRESHER, "13:00"))
    for day in DRILLS:
        _drill(stage, book, day, stage.moment(day, "18:10"))
        stage.agenda.add(stage.moment(day, "20:15"), sign_off_what_is_ready, stage, book)


def _refresh(stage: Stage, book: Notebook, moment: datetime) -> None:
    for number, one in enumerate(stage.cast.returning):
        for slug in REFRESHED:
            if slug in EVERY_RETURNING or one.code in SPECIAL[slug]:
                moment += timedelta(minutes=2)
                scene = Scene(f"o-0{number % 4 + 1}", one, REFRESHER, live=False)
                stage.agenda.add(moment, see, stage, book, scene, slug, THERE)


def _drill(stage: Stage, book: Notebook, day: date, moment: datetime) -> None:
    for number, one in enumerate(stage.cast.characters.values()):
        swims = one.code in SPECIAL["seizure-response"]
        for slug in DRILLED if swims else DRILLED[:1]:
            if _comes_to_drill(one, day):
                moment += timedelta(minutes=2)
                scene = Scene(DRILL_LEADERS[(number + (day == DRILLS[1])) % 2], one, day, live=False)
                stage.agenda.add(moment, see, stage, book, scene, slug, THERE)


def _comes_to_drill(one: Character, day: date) -> bool:
    if day == DRILLS[1] and one.code in MISSED_SECOND_DRILL:
        return False
    return one.is_returning or one.code == "v-001" or (one.pace == EAGER and luck("drill", one.code).random() < 0.5)
