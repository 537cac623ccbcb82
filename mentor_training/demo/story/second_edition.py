"""October: after the incident a module says more plainly who sets a load, and everybody takes it once more."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy.orm import Session

from mentor_training.demo.cast import EAGER, RETURNING, SLOW, STEADY, Character, luck
from mentor_training.demo.stage import Stage
from mentor_training.demo.story.learning import Study, study_at
from mentor_training.evidence.facts import COMPLETED
from mentor_training.evidence.queries import facts_of
from mentor_training.program.actions import publish
from mentor_training.program.reading import collect_files

PUBLISHED = date(2026, 10, 1)
MODULE = "form-cues"
# Quill has not come to it yet, and the fourteen days of grace are over.
NOT_YET = ("v-004", "v-029")
BEGIN = {EAGER: 1, RETURNING: 2, STEADY: 3, SLOW: 7}

CAUTION = """  - slug: ask-before-more
    text: More weight, a stronger band, one more repetition are the lead's to give. Ask, wait, and say the answer back.
  - slug: name-the-scale
"""
PARAGRAPH = """[caution: load-is-not-yours]

Who sets a load is a safety rule and no matter of rank. The lead knows the plan, the last session and the band's age;
you see one moment. So: stop between two repetitions, say what you see, name what you would try, and wait. When the
answer is yes, say the new load aloud before it is in anybody's hand. When nobody can answer, the load stays.

[caution: ask-before-more]
"""
CHANGES = {
    "modules/form-cues.md": (
        ("\nedition: 1\n", "\nedition: 2\n"),
        ("must_retake: false", "must_retake: true"),
        ("  - slug: name-the-scale\n", CAUTION),
        ("[caution: load-is-not-yours]\n", PARAGRAPH),
    ),
    "quizzes/form-cues.yaml": (("edition: 1\n", "edition: 2\n"),),
    "program/stations.toml": (
        ('at_least = 8 }, { sessions = 8 }] }', 'at_least = 8 }, { sessions = 6 }] }'),
    ),
}  # fmt: skip


def publish_second_edition(stage: Stage) -> None:
    """Put the edition and everybody's second look at the module on the agenda."""
    stage.agenda.add(stage.moment(PUBLISHED, "13:00"), _publish, stage)


def _publish(db: Session, at: datetime, stage: Stage) -> None:
    settings = stage.instance.settings
    for name, changes in CHANGES.items():
        _rewrite(settings.folder / name, changes)
    files, unreadable = collect_files(settings.program, settings.modules, settings.quizzes)
    publish(db, at, stage.cast.coordinator, stage.day(at), files, PUBLISHED, unreadable)
    for one in stage.cast.characters.values():
        if one.code not in NOT_YET and _has_completed(db, at, one):
            study_at(stage, _evening(stage, one), Study(one, MODULE, ()))


def _rewrite(path: Path, changes: tuple[tuple[str, str], ...]) -> None:
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        if text.count(old) != 1:
            raise ValueError(f"{path}: {old!r} stands there {text.count(old)} times; the story changes it once")
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def _has_completed(db: Session, at: datetime, one: Character) -> bool:
    return any(fact.item.startswith(f"module/{MODULE}@") for fact in facts_of(db, one.code, at, (COMPLETED,)))


def _evening(stage: Stage, one: Character) -> datetime:
    chance = luck("again", one.code)
    day = PUBLISHED + timedelta(days=BEGIN[one.pace] + chance.randint(0, 6))
    return stage.moment(day, f"{chance.randint(18, 20)}:{chance.randint(0, 59):02}")
