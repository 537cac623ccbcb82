"""What waits for whom: gathered from the rooms below, said without a word about any participant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact, day_in_words
from mentor_training.clearance.queries import gate_at
from mentor_training.hours.queries import logs_of_section
from mentor_training.journal.chain import digest
from mentor_training.learning.queries import known
from mentor_training.learning.retaking import all_to_retake
from mentor_training.letters.digests import SESSION_DAYS, About, Digest, Matter, due, may_send_today, retake_step
from mentor_training.letters.queries.refused import set_aside
from mentor_training.letters.queries.signing import sign_offs_waiting
from mentor_training.letters.queries.told import last_begun, told
from mentor_training.papers.queries import ending
from mentor_training.papers.rules import NOTICE_DAYS
from mentor_training.participants.rules import may_see
from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR
from mentor_training.people.queries import people, volunteers, without_digests
from mentor_training.planning.queries.attending import attending
from mentor_training.planning.queries.pairings import cards_out
from mentor_training.planning.queries.plan import closed_sessions
from mentor_training.program.queries import edition_in_force

Found = Iterator[tuple[str, Matter]]


@dataclass(frozen=True)
class Asked:
    """Of which day, and by what is known, reminders are asked."""

    db: Session
    on: date
    known_at: datetime
    zone: ZoneInfo

    @cached_property
    def coming(self) -> tuple[SessionFact, ...]:
        """Return the sessions of the coming days that are not closed."""
        closed, last = closed_sessions(self.db), self.on + timedelta(days=SESSION_DAYS)
        return tuple(one for one in sessions(self.db, self.on) if one.day <= last and one.code not in closed)


def digests_due(db: Session, on: date, known_at: datetime, zone: ZoneInfo, midnight: datetime) -> tuple[Digest, ...]:
    """Return the digests to send on a day, by the codes of their people: only what is new, to who wants them.

    Nothing is due before an edition is in force. `midnight` is when the day began.
    """
    if edition_in_force(db, on, known_at) is None:
        return ()
    asked, found = Asked(db, on, known_at, zone), dict[str, list[Matter]]()
    for source in (_sessions, _cards, _retakes, _papers, _sign_offs, _hours, _addresses):
        for person, matter in source(asked):
            found.setdefault(person, []).append(matter)
    off, last = without_digests(db) | {one.person for one in set_aside(db)}, last_begun(db, "digest")
    open_to = {
        row.code: (row.name, row.email)
        for row in people(db)
        if row.code not in off and may_send_today(last.get(row.code), midnight)
    }
    return due(found, told(db), open_to)


def _sessions(asked: Asked) -> Found:
    for one in asked.coming:
        there = attending(asked.db, one, asked.known_at)
        # At another time it is another thing: somebody who read of nine o'clock hears of ten.
        key = f"session/{one.code}/{one.day}/{one.starts:%H:%M}"
        text = f"A session of yours: {day_in_words(one.day)}, {one.starts:%H:%M} to {one.ends:%H:%M}."
        for code in dict.fromkeys((*one.volunteers, *one.observers)):
            if len(there.blocks_without(code)) < len(one.blocks):
                yield code, Matter(About.SESSION, (key,), text, "/sessions")


def _cards(asked: Asked) -> Found:
    gate = gate_at(asked.db, asked.known_at)
    for one in asked.coming:
        unread: dict[str, list[str]] = {}
        # Whoever may not see a card yet is not sent to it.
        for participant, person in sorted(cards_out(asked.db, one.code)) if may_see([one.day], asked.on) else ():
            station = next(iter(gate.edition(one.day).program.stations))
            grounds = {
                ground.kind: str(ground.about) for ground in gate.decide(person, station, participant, one.day).grounds
            }
            if participant in one.participants and "read_card" in grounds and "keep_apart" not in grounds:
                unread.setdefault(person, []).append(f"card/{one.code}/{digest(grounds['read_card'])[:24]}")
        for person, keys in unread.items():
            text = f"{_many(len(keys), 'card')} to be read before the session on {day_in_words(one.day)}."
            yield person, Matter(About.CARDS, tuple(keys), text, "/pairing")


def _retakes(asked: Asked) -> Found:
    then = known(asked.db, asked.known_at, asked.zone, asked.on)
    for one in all_to_retake(asked.db, then, volunteers(asked.db)):
        step = retake_step(one.retake.by, asked.on)
        last = day_in_words(one.retake.by)
        over = f"its time was over on {last}" if step == "over" else f"by {last}"
        text = f"Go through the module {one.module.title} again, {over}."
        key = f"retake/{one.module.slug}/{one.retake.edition}/{step}"
        yield one.person.code, Matter(About.RETAKE, (key,), text, f"/learn/{one.module.slug}")


def _papers(asked: Asked) -> Found:
    for one in ending(asked.db, asked.on, asked.known_at, NOTICE_DAYS[0]):
        notice = one.line.notice_on(asked.on)
        if notice and not notice.waits:
            text = f"{one.line.paper.title} ends on {day_in_words(one.day)}; put a new one on file before that."
            key = f"paper/{one.line.paper.slug}/{one.day}/{notice.step}"
            yield one.person.code, Matter(About.PAPER, (key,), text, "/papers")


def _sign_offs(asked: Asked) -> Found:
    for observer, waiting in sign_offs_waiting(asked.db, asked.on, asked.known_at).items():
        keys = tuple(f"sign-off/{person}/{skill}" for person, skill in waiting)
        yield observer, Matter(About.SIGN_OFFS, keys, f"{_many(len(keys), 'sign-off')} for you.", "/sign-offs")


def _hours(asked: Asked) -> Found:
    for row in people(asked.db, COURSE_INSTRUCTOR):
        for section in row.sections:
            logs = logs_of_section(asked.db, section, asked.on, asked.known_at)
            keys = [f"hours/{line.entry.id}" for log in logs if log.person != row.code for line in log.waiting]
            if keys:
                text = f"In section {section} {_entries(len(keys))} for your approval."
                yield row.code, Matter(About.HOURS, tuple(keys), text, f"/hours/sections/{section}")


def _addresses(asked: Asked) -> Found:
    away = set_aside(asked.db)
    many = "1 address is" if len(away) == 1 else f"{len(away)} addresses are"
    for row in people(asked.db, COORDINATOR) if away else ():
        text = f"{many} refused by the mail server, so that nothing is sent there any more."
        yield (
            row.code,
            Matter(About.ADDRESSES, tuple(f"address/{one.mail}" for one in away), text, "/letters/addresses"),
        )


def _many(count: int, one: str) -> str:
    return f"1 {one} waits" if count == 1 else f"{count} {one}s wait"


def _entries(count: int) -> str:
    return "1 entry of hours waits" if count == 1 else f"{count} entries of hours wait"
