"""Entering, adjusting and approving hours; nothing is overwritten."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import COMPLETED, EARLIEST, HOURS, LATEST, VOIDED, WITHDRAWN
from mentor_training.evidence.queries import facts_of, made_by_oneself
from mentor_training.hours.queries import entries_of, entry_for, module_minutes
from mentor_training.hours.rules import (
    ADJUSTMENT,
    BY_HAND,
    BY_HAND_CATEGORIES,
    MODULE,
    SESSION,
    Entry,
    approval_fault,
    elapsed_minutes,
    minutes_left,
    rests_on,
    to_the_minute,
)
from mentor_training.hours.spans import span_faults
from mentor_training.hours.tables import HoursApproval, HoursEntry
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.people.permissions import VOLUNTEER, Actor
from mentor_training.people.queries import person_for
from mentor_training.program.catalog import Program
from mentor_training.program.queries import edition_in_force

# ---- entering ----


def enter_session(
    db: Session,
    at: datetime,
    by: str,
    person: str,
    session_code: str,
    day: date,
    came_at: datetime,
    left_at: datetime,
    flag: str = "",
) -> HoursEntry:
    """Enter the time a volunteer was at a session, from check-in to check-out, as direct minutes.

    `flag` says what asks for a look, such as a check-out that was forgotten and closed at the session's end.
    """
    take_turn(db)
    person_for(db, person)
    faults = span_faults(f"Session {session_code}", came_at, left_at, entries_of(db, (person,)))
    if faults:
        raise Refused(*faults)
    row = HoursEntry(person=person, category="direct", day=day, source=SESSION, about=session_code, flag=flag[:300])
    return store_entry(db, at, by, _at_clock_times(row, came_at, left_at))


def enter_by_hand(
    db: Session,
    at: datetime,
    by: Actor,
    person: str,
    category: str,
    day: date,
    came_at: datetime,
    left_at: datetime,
    reason: str,
) -> HoursEntry:
    """Enter orientation or preparation that no check-in recorded, with what it was for; it waits for approval.

    A volunteer enters their own; for another, whoever would approve it.
    """
    take_turn(db)
    row = person_for(db, person)
    if not EARLIEST <= day <= LATEST:
        raise Refused(f"{day} is no day of this program; write the day it was done.")
    faults = span_faults("This time", came_at, left_at, entries_of(db, (person,)))
    if by.code != person:
        faults += [fault] if (fault := approval_fault(by, person, row.sections)) else []
    if category not in BY_HAND_CATEGORIES:
        faults.append(f"{category!r} is not entered by hand; only {' and '.join(BY_HAND_CATEGORIES)} are.")
    if left_at > at:
        faults.append("It ends after this moment; enter it once it has been done.")
    if not reason.strip():
        faults.append("Write what it was for; the approver reads it.")
    if faults:
        raise Refused(*faults)
    made = HoursEntry(person=person, category=category, day=day, source=BY_HAND, about="", reason=reason.strip()[:500])
    return store_entry(db, at, by.code, _at_clock_times(made, came_at, left_at))


def enter_module(
    db: Session, at: datetime, by: str, person: str, module_slug: str, module_edition: int, minutes: int, day: date
) -> HoursEntry:
    """Enter a module's fixed minutes as training, once for each edition completed; again returns the entry there is."""
    take_turn(db)
    person_for(db, person)
    about = f"module/{module_slug}@{module_edition}"
    same = (HoursEntry.person == person, HoursEntry.source == MODULE, HoursEntry.about == about)
    row = HoursEntry(person=person, category="training", day=day, source=MODULE, about=about, minutes=minutes)
    return db.scalar(select(HoursEntry).where(*same)) or store_entry(db, at, by, row)


def enter_own_training(db: Session, at: datetime, by: Actor, zone: ZoneInfo) -> None:
    """Enter the training that an acting volunteer has completed, in the transaction of the act that completed it."""
    published = edition_in_force(db, day_in(zone, at), at) if VOLUNTEER in by.roles else None
    if published:
        enter_training_for(db, at, by.code, published.program)


def enter_training_for(db: Session, at: datetime, person: str, program: Program) -> list[HoursEntry]:
    """Enter the training that a volunteer's completed modules are worth and that is not in the log yet.

    Only what the volunteer completed here: a completion that came with the register brings its hours with it. An
    edition that is not the program's own is looked up among those published before; a voided completion counts for
    nothing.
    """
    facts = facts_of(db, person, at, (COMPLETED, VOIDED))
    voided, own = effects(facts).voided, made_by_oneself(db, person, COMPLETED)
    there = {one.about for one in entries_of(db, (person,)) if one.source == MODULE}
    made = []
    for fact in facts:
        if fact.kind == COMPLETED and fact.code in own and fact.code not in voided:
            slug, edition, minutes = module_minutes(db, at, fact.item, program)
            if minutes and f"module/{slug}@{edition}" not in there:
                there.add(f"module/{slug}@{edition}")
                made.append(enter_module(db, at, person, person, slug, edition, minutes, fact.first_day))
    return made


def _at_clock_times(row: HoursEntry, came_at: datetime, left_at: datetime) -> HoursEntry:
    row.started_at, row.ended_at = to_the_minute(came_at), to_the_minute(left_at)
    row.minutes = elapsed_minutes(row.started_at, row.ended_at)
    return row


def store_entry(db: Session, at: datetime, by: str, row: HoursEntry) -> HoursEntry:
    """Store an entry that the rules have let pass, with its journal entry."""
    row.entered_by, row.recorded_at = by, at
    db.add(row)
    db.flush()
    told = {
        "entry": row.id,
        "category": row.category,
        "day": row.day.isoformat(),
        "minutes": row.minutes,
        "about": row.about,
    }
    if row.reason:
        told["reason"] = "sha256:" + digest(row.reason)
    if row.corrects:
        told["corrects"] = row.corrects
    write(db, at, by, "hours-adjusted" if row.corrects else "hours-entered", row.person, told)
    return row


# ---- adjusting and approving ----


def adjust(db: Session, at: datetime, by: Actor, entry: int, difference: int, reason: str) -> HoursEntry:
    """Correct an entry by so many minutes more or (negative) fewer, with a reason; the entry itself stays as it was.

    Whoever may approve the entry adjusts it. Where it is approved already, so is the correction, by the same act.
    """
    take_turn(db)
    first = entry_for(db, entry)
    faults = _adjustment_faults(db, at, by, first, difference, reason)
    if faults:
        raise Refused(*faults)
    row = HoursEntry(
        person=first.person, category=first.category, day=first.day, source=ADJUSTMENT, about=first.about,
        minutes=difference, reason=reason.strip()[:500], corrects=first.id,
    )  # fmt: skip
    store_entry(db, at, by.code, row)
    if first.approved_by:
        _approve(db, at, by, (entry_for(db, row.id),))
    return row


def _adjustment_faults(db: Session, at: datetime, by: Actor, first: Entry, difference: int, reason: str) -> list[str]:
    faults = [fault] if (fault := approval_fault(by, first.person, person_for(db, first.person).sections)) else []
    mine = entries_of(db, (first.person,))
    if first.corrects:
        rest = rests_on(mine)[first.id]
        return [*faults, f"Entry {first.id} is an adjustment itself; adjust entry {rest}, which it corrects."]
    effect = effects(facts_of(db, first.person, at, (HOURS, VOIDED, WITHDRAWN)))
    if first.record in effect.voided or first.record in effect.cut:
        faults.append(f"Entry {first.id} was withdrawn after it was approved; nothing of it is left to correct.")
    stands = minutes_left(mine)[first.id]
    if not stands and difference > 0 and first.came and first.left:
        faults += span_faults(f"Entry {first.id}", first.came, first.left, mine)
    if not difference:
        faults.append("A difference of no minutes corrects nothing; write for instance -30 or 15.")
    if not 0 <= stands + difference <= 24 * 60:
        faults.append(f"The entry stands at {stands} minutes; with {difference:+d} it would be {stands + difference}.")
    if not reason.strip():
        faults.append("Write the reason; it stays with the correction.")
    return faults


def approve(db: Session, at: datetime, by: Actor, entry_ids: Collection[int]) -> list[Entry]:
    """Approve entries with their corrections: from here on they are evidence. Returns what was newly approved.

    Only by the instructor of the volunteer's section, or the coordinator for volunteers in none, and never one's own.
    What is approved already is passed over; one entry that may not be approved stops all.
    """
    take_turn(db)
    asked = [entry_for(db, number) for number in dict.fromkeys(entry_ids)]
    people = sorted({one.person for one in asked})
    faults = [fault for code in people if (fault := approval_fault(by, code, person_for(db, code).sections))]
    if faults:
        raise Refused(*faults)
    wanted = {one.corrects or one.id for one in asked}
    together = [one for one in entries_of(db, people) if (one.corrects or one.id) in wanted and not one.approved_by]
    if not together:
        raise Refused("Nothing was picked that still waits for approval.")
    _approve(db, at, by, together)
    return together


def _approve(db: Session, at: datetime, by: Actor, entries: Iterable[Entry]) -> None:
    for one in entries:
        made = record(db, at, by.code, one.person, HOURS, one.category, one.day, note=str(one.minutes))
        db.add(HoursApproval(entry=one.id, approved_by=by.code, moment=at, record=made.code))
        db.flush()
        write(db, at, by.code, "hours-approved", one.person, {"entry": one.id, "record": made.code})
