"""Signing a skill off."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import SIGNED_OFF
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.queries.history import history_of
from mentor_training.observing.queries.standings import between, was_entitled
from mentor_training.observing.rules.readiness import Readiness, readiness
from mentor_training.observing.rules.standing import objections_to_sign_off
from mentor_training.observing.tables import SignOff
from mentor_training.people.actions import confirm_password
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import volunteer_for
from mentor_training.program.catalog import Skill
from mentor_training.program.queries import require_edition

STATEMENT = (
    "I have weighed the observations listed here. In my judgment this volunteer does this skill safely and unprompted, "
    "within what student volunteers of this program do under supervision. It is no license and no certificate."
)
LONGEST_REASON = 2000


def sign_off(
    db: Session,
    at: datetime,
    today: date,
    by: Actor,
    person: str,
    skill: str,
    password: str,
    reason: str = "",
    partners: Collection[str] = (),
) -> SignOff:
    """Sign a skill off from today on, with one's password given again; refuses with every reason unless it is ready.

    `reason` says why it is signed off although an observation disagrees; `partners` are the volunteers with whom the
    observer is or was paired on the days that count.
    """
    take_turn(db)
    confirm_password(db, at, by.code, password)
    volunteer_for(db, by, person)
    found = _skill(db, at, today, skill)
    ready = readiness(found.sign_off, history_of(db, person, skill, at), today)
    faults = objections(db, at, today, by, person, found, ready, partners)
    faults += [f"Not ready: {missing}." for missing in ready.missing]
    if ready.disagreeing and not reason.strip():
        faults.append("An observation disagrees: write why you sign off all the same. It stays with the sign-off.")
    if len(reason) > LONGEST_REASON:
        faults.append(f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.")
    if faults:
        raise Refused(*faults)
    return _store(db, at, today, by, person, skill, ready, reason.strip())


def objections(
    db: Session,
    at: datetime,
    today: date,
    by: Actor,
    person: str,
    skill: Skill,
    ready: Readiness,
    partners: Collection[str],
) -> list[str]:
    """Return every reason why this observer cannot sign this off now, ready or not."""
    entitled = was_entitled(db, by.code, skill.slug, today, at)
    faults = list(objections_to_sign_off(between(db, by.code, person, partners), entitled))
    if ready.is_ready and _rests_on_nothing_new(db, at, today, person, skill.slug, ready):
        faults.append("It is signed off on these observations already; a new sign-off needs a new observation.")
    return faults


def _skill(db: Session, at: datetime, today: date, slug: str) -> Skill:
    found = require_edition(db, today, at).program.skills.get(slug)
    if found is None:
        raise NotFound(f"skill {slug}")
    return found


def _rests_on_nothing_new(db: Session, at: datetime, today: date, person: str, skill: str, ready: Readiness) -> bool:
    """Say whether a sign-off that was not withdrawn rests on all of these observations already."""
    effect = effects(facts_of(db, person, at))
    rows = db.scalars(select(SignOff).where(SignOff.person == person, SignOff.skill == skill))
    used = [row.observations for row in rows if effect.stands(row.record, today)]
    return any({str(number) for number in ready.rests_on} <= set(observations) for observations in used)


def _store(
    db: Session, at: datetime, today: date, by: Actor, person: str, skill: str, ready: Readiness, reason: str
) -> SignOff:
    evidence = record(db, at, by.code, person, SIGNED_OFF, f"skill/{skill}", today)
    row = SignOff(
        record=evidence.code, person=person, skill=skill, observer=by.code,
        observations=tuple(str(number) for number in ready.rests_on),
        statement=f"{STATEMENT}\n\n{reason}".strip(), moment=at,
    )  # fmt: skip
    db.add(row)
    db.flush()
    write(db, at, by.code, "sign-off", person, {
        "record": row.record,
        "skill": skill,
        "observations": list(ready.rests_on),
        "disagreeing": list(ready.disagreeing),
        "statement": "sha256:" + digest(row.statement),
    })  # fmt: skip
    return row
