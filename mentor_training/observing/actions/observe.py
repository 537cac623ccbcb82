"""Recording an observation."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import bindparam, insert, select
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import MET as MET_KIND
from mentor_training.evidence.facts import SIGNED_OFF
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.actions.reviews import open_review
from mentor_training.observing.queries.standings import between, standing_facts
from mentor_training.observing.rules.results import (
    MET,
    Circumstances,
    GivenMark,
    Marking,
    Outcome,
    mark_faults,
    objections_to_criteria,
    outcome,
)
from mentor_training.observing.rules.standing import CALIBRATED, ENTITLED, objections_to_observing, stands
from mentor_training.observing.tables import Mark, Observation
from mentor_training.participants.tables import Participant
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import both_of, volunteer_for
from mentor_training.program.catalog import Program, Skill
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import known_editions, require_edition

LONGEST_REMARK = 2000
LONGEST_KEY = 64

_ROWS = table_of(Observation)
_BY_KEY = select(_ROWS.c.id).where(_ROWS.c.key == bindparam("sent"))
_PARTICIPANT = select(table_of(Participant).c.code).where(table_of(Participant).c.code == bindparam("named"))
_COLUMNS = tuple(column.name for column in _ROWS.c if column.name != "id")
_INSERT, _INSERT_MARK = insert(_ROWS), insert(table_of(Mark))


@dataclass(frozen=True)
class Look:
    """What an observer saw.

    `key` is chosen where it was written down, so that sent twice it counts once; `edition` is the program edition whose
    criteria were marked, where that is known. With what waited on a phone come `made_at`, the moment by its clock, and
    `clock_seconds`, how far that was ahead.
    """

    key: str
    person: str
    skill: str
    day: date
    live: bool
    marks: Mapping[int, GivenMark] = field(default_factory=dict)
    station: str = ""
    participant: str = ""
    remark: str = ""
    edition: int | None = None
    made_at: datetime | None = None
    clock_seconds: int | None = None


def observe(
    db: Session, at: datetime, today: date, by: Actor, look: Look, partners: Collection[str] = ()
) -> Observation:
    """Record an observation once, whatever the retries; a met one becomes evidence, a stop opens a review.

    `today` is the day on which it arrives; `partners` are the volunteers with whom the observer was paired on its day.
    """
    take_turn(db)
    number = run(db, _BY_KEY, {"sent": look.key}).scalar()
    if number is not None:
        return _the_same(db, db.get_one(Observation, number), by, look)
    _held = both_of(db, by.code, look.person)  # held, so that the look-ups below find both without asking again
    volunteer_for(db, by, look.person)
    published = require_edition(db, look.day, at)
    skill = _skill(published, look.skill)
    _refuse_faults(db, at, today, by, look, published, skill, partners)
    found = _come_to(db, at, today, by, look, published.program, skill)
    return _store(db, at, by, look, published.number, found)


def _the_same(db: Session, earlier: Observation, by: Actor, look: Look) -> Observation:
    if (earlier.observer, earlier.person, earlier.skill) != (by.code, look.person, look.skill):
        raise Refused("Another observation was stored under this key already; open the page again and mark it there.")
    if not _says(db, earlier, look):
        raise Refused(
            "This observation was stored already, and said something else; what differs now was not stored. "
            "Open the skill again to record what you saw as another one. If the first was wrong, tell the coordinator."
        )
    return earlier


def _says(db: Session, row: Observation, look: Look) -> bool:
    """Say whether a stored observation says what was sent now: a stop added to a page sent before must not get lost."""
    stored = {mark.criterion: (mark.mark, mark.way) for mark in db.scalars(select(Mark).filter_by(observation=row.id))}
    sent = {number: (mark.marking, _way(mark)) for number, mark in look.marks.items()}
    return stored == sent and (row.day, row.live, row.station, row.participant, row.remark) == (
        look.day, look.live, look.station, look.participant, look.remark.strip(),
    )  # fmt: skip


def _skill(published: PublishedProgram, slug: str) -> Skill:
    skill = published.program.skills.get(slug)
    if skill is None:
        raise NotFound(f"skill {slug} in edition {published.number} of the program")
    return skill


def _refuse_faults(
    db: Session,
    at: datetime,
    today: date,
    by: Actor,
    look: Look,
    published: PublishedProgram,
    skill: Skill,
    partners: Collection[str],
) -> None:
    faults = list(objections_to_observing(between(db, by.code, look.person, partners)))
    faults += objections_to_criteria(skill.criteria)
    faults += _faults_in_words(db, today, look, published.program)
    if criteria_changed(db, at, look.edition, published, skill):
        faults.append(criteria_changed_in_words(look.day, published))
    else:
        marks = mark_faults(skill.criteria, look.marks)
        faults += [f"Criterion {number}: {fault}" for number, fault in sorted(marks.items())]
    if faults:
        raise Refused(*faults)


def criteria_changed(db: Session, at: datetime, marked: int | None, published: PublishedProgram, skill: Skill) -> bool:
    """Say whether the criteria of the edition that was marked differ from those in force on the observation's day."""
    if marked is None or marked == published.number:
        return False
    found = next((one.program for one in known_editions(db, at) if one.number == marked), None)
    then = found.skills.get(skill.slug) if found else None
    return then is None or then.criteria != skill.criteria


def criteria_changed_in_words(day: date, published: PublishedProgram) -> str:
    """Say that the criteria of another edition were marked."""
    return (
        f"On {day} other criteria were in force, those of edition {published.number}. "
        "They stand here now; mark them afresh. Nothing was stored."
    )


def _faults_in_words(db: Session, today: date, look: Look, program: Program) -> list[str]:
    faults = []
    if not 0 < len(look.key) <= LONGEST_KEY:
        faults.append(f"The key of an observation has 1 to {LONGEST_KEY} characters; this one has {len(look.key)}.")
    if look.day > today:
        faults.append(f"{look.day} is still ahead; write the day on which you saw it.")
    if look.station and look.station not in program.stations:
        faults.append(f"There is no station {look.station!r} in the program.")
    if look.participant and not run(db, _PARTICIPANT, {"named": look.participant}).first():
        faults.append(f"There is no participant {look.participant!r}.")
    if len(look.remark) > LONGEST_REMARK:
        faults.append(f"The remark has {len(look.remark)} characters; {LONGEST_REMARK} are the most.")
    return faults


def _come_to(db: Session, at: datetime, today: date, by: Actor, look: Look, program: Program, skill: Skill) -> Outcome:
    facts = standing_facts(db, by.code, at)
    calibrated, entitled = (stands(facts, kind, skill.slug, look.day) for kind in (CALIBRATED, ENTITLED))
    circumstances = Circumstances((today - look.day).days, calibrated, entitled)
    marks = [Marking(look.marks[number].marking) for number in range(1, len(skill.criteria) + 1)]
    return outcome(skill.criteria, marks, circumstances, program.policy)


def _store(db: Session, at: datetime, by: Actor, look: Look, edition: int, found: Outcome) -> Observation:
    item = f"skill/{look.skill}"
    evidence = record(db, at, by.code, look.person, MET_KIND, item, look.day) if found.result == MET else None
    row = Observation(
        key=look.key, person=look.person, skill=look.skill, observer=by.code, day=look.day, station=look.station,
        participant=look.participant, live=look.live, program_edition=edition, result=found.result,
        not_counted=";".join(found.not_counted), remark=look.remark.strip(), recorded_at=at,
        record=evidence.code if evidence else None, made_at=look.made_at, clock_seconds=look.clock_seconds,
    )  # fmt: skip
    _insert(db, row)
    marks = sorted(look.marks.items())
    run(db, _INSERT_MARK, [
        {"observation": row.id, "criterion": number, "mark": mark.marking, "way": _way(mark)} for number, mark in marks
    ])  # fmt: skip
    _write_journal(db, at, by, row, look)
    if found.stopped or (found.missed_critical and _is_signed_off(db, at, look)):
        open_review(db, at, by, row.person, row.skill, observation=row.id)
    return row


def _insert(db: Session, row: Observation) -> None:
    """Store the row and give it its number."""
    columns = {name: getattr(row, name) for name in _COLUMNS}
    key = run(db, _INSERT, columns).inserted_primary_key
    if key is not None:
        row.id = key[0]


def _way(mark: GivenMark) -> str:
    return mark.way.strip() if mark.marking == Marking.ANOTHER_WAY else ""


def _write_journal(db: Session, at: datetime, by: Actor, row: Observation, look: Look) -> None:
    ways = {str(number): digest(_way(mark)) for number, mark in look.marks.items() if _way(mark)}
    write(db, at, by.code, "observed", row.person, {
        "observation": row.id,
        "skill": row.skill,
        "day": row.day.isoformat(),
        "edition": row.program_edition,
        "station": row.station,
        "participant": row.participant,
        "live": row.live,
        "marks": [look.marks[number].marking for number in sorted(look.marks)],
        "ways": ways,
        "result": row.result,
        "not_counted": row.not_counted,
        "record": row.record,
        "remark": "sha256:" + digest(row.remark) if row.remark else "",
        **({"made_at": row.made_at.isoformat(), "clock_seconds": row.clock_seconds} if row.made_at else {}),
    })  # fmt: skip


def _is_signed_off(db: Session, at: datetime, look: Look) -> bool:
    facts = facts_of(db, look.person, at)
    effect = effects(facts)
    item = f"skill/{look.skill}"
    return any(fact.kind == SIGNED_OFF and fact.item == item and effect.stands(fact.code, look.day) for fact in facts)
