"""Reading a section, acknowledging a caution, taking a quiz, recording a conversation."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import COMPLETED
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.learning.queries import (
    Known,
    Sitting,
    answer_row,
    attempt_for,
    attempts_of,
    held_for,
    known,
    permission_of,
    progress_of,
    sitting_for,
)
from mentor_training.learning.rules.answers import Answer, Walked, as_json, faults
from mentor_training.learning.rules.holds import Permission
from mentor_training.learning.rules.scores import Result, result
from mentor_training.learning.rules.serving import draw
from mentor_training.learning.tables import Answer as AnswerRow
from mentor_training.learning.tables import Attempt, CautionAcknowledged, SectionRead, Talk
from mentor_training.people.permissions import Act, Actor
from mentor_training.people.queries import volunteer_for
from mentor_training.program.catalog import Module, Policy
from mentor_training.program.quiz_values import Quiz

# ---- reading ----


def read_section(
    db: Session, at: datetime, by: Actor, zone: ZoneInfo, module: str, section: str, seen: int | None = None
) -> bool:
    """Note that a section of the module in force was read to its end; return whether that completed the module.

    `seen` is the edition of the module that was read, where that is known; another one than that in force is refused.
    """
    now = _begin(db, at, by, zone)
    text = _as_seen(now.module(module), seen)
    if section not in [one.slug for one in text.sections]:
        raise NotFound(f"section {section} of the module {module}")
    row = db.get(SectionRead, (by.code, module, text.edition, section))
    if row is None:
        db.add(SectionRead(person=by.code, module=module, edition=text.edition, section=section, moment=at))
    elif section not in progress_of(db, by.code, now, text, None).read:
        row.moment = at
    db.flush()
    return complete_if_done(db, at, by, now, text, now.program.quiz_of_module.get(module))


def acknowledge_caution(
    db: Session, at: datetime, by: Actor, zone: ZoneInfo, module: str, caution: str, seen: int | None = None
) -> bool:
    """Note that a caution of the module in force was acknowledged; return whether that completed the module.

    `seen` as for `read_section`.
    """
    now = _begin(db, at, by, zone)
    text = _as_seen(now.module(module), seen)
    if caution not in [one.slug for one in text.cautions]:
        raise NotFound(f"caution {caution} of the module {module}")
    if caution in progress_of(db, by.code, now, text, None).acknowledged:
        return False
    key = {"person": by.code, "module": module, "edition": text.edition, "caution": caution}
    db.merge(CautionAcknowledged(**key, moment=at))
    db.flush()
    write(db, at, by.code, "caution-acknowledged", by.code, {**key, "edition": str(text.edition)})
    return complete_if_done(db, at, by, now, text, now.program.quiz_of_module.get(module))


def _as_seen(module: Module, seen: int | None) -> Module:
    """Return a module of which this edition was read; another one may say something else under the same headings."""
    if seen is not None and seen != module.edition:
        raise Refused(
            f"{module.title} has come out in edition {module.edition} while this page showed edition {seen}. "
            "Open it again and read it as it is now; nothing was noted."
        )
    return module


def complete_if_done(db: Session, at: datetime, by: Actor, now: Known, module: Module, quiz: Quiz | None) -> bool:
    """Record that a module's edition is complete, on the day on which all of it is done; say whether it is."""
    progress = progress_of(db, by.code, now, module, quiz)
    if not progress.round.is_open or not progress.is_complete:
        return False
    record(db, at, by.code, by.code, COMPLETED, f"module/{module.slug}@{module.edition}", now.day)
    return True


def _begin(db: Session, at: datetime, by: Actor, zone: ZoneInfo) -> Known:
    if not by.may(Act.COMPLETE_MODULES):
        raise NotAllowed(Act.COMPLETE_MODULES.value)
    take_turn(db)
    return known(db, at, zone)


# ---- attempts ----


def start_attempt(db: Session, at: datetime, by: Actor, zone: ZoneInfo, quiz: str, seed: int) -> Attempt:
    """Start an attempt at the quiz in force, drawn from a seed (0 to 2**31 - 1), or return the one still open."""
    now = _begin(db, at, by, zone)
    bank = now.quiz(quiz)
    earlier = attempts_of(db, by.code, quiz)
    still_open = permission_of(db, by.code, quiz, now.program.policy, at)
    if still_open.open:
        return earlier[-1]
    _check_may_start(db, by, now, bank, still_open)
    row = Attempt(
        person=by.code, quiz=quiz, module=bank.module, module_edition=bank.edition,
        program_edition=now.published.number, seed=seed, started_at=at, unsafe=(),
        scenarios=draw(bank, seed, [one.scenarios for one in earlier]),
    )  # fmt: skip
    db.add(row)
    db.flush()
    served = {"attempt": str(row.id), "quiz": quiz, "seed": str(seed), "scenarios": list(row.scenarios)}
    write(db, at, by.code, "attempt-started", by.code, {**served, "program_edition": str(row.program_edition)})
    return row


def _check_may_start(db: Session, by: Actor, now: Known, quiz: Quiz, asked: Permission) -> None:
    progress = progress_of(db, by.code, now, now.module(quiz.module), quiz)
    if not progress.round.is_open or progress.passed_at:
        raise Refused("You have passed this quiz already; there is nothing more to do here.")
    reasons = why_not(asked, now.program.policy)
    if reasons:
        raise Refused(*reasons)


def why_not(asked: Permission, policy: Policy) -> tuple[str, ...]:
    """Return in words why no attempt may start now."""
    found = []
    if asked.hold and asked.hold.not_passed:
        often = asked.hold.not_passed
        found.append(f"{often} attempts were not passed: an observer talks with you first, and says so here.")
    if asked.hold and asked.hold.unsafe_twice:
        found.append("The same unsafe choice was made twice: an observer talks with you first, and says so here.")
    if asked.from_moment:
        found.append(f"Attempts are {policy.cool_down_hours:g} hours apart, and that time is not over.")
    return tuple(found)


def keep_answer(db: Session, at: datetime, by: Actor, number: int, scenario: str, answer: Answer | None) -> None:
    """Keep the answer to one scenario of an open attempt in place of the one before; None takes it back.

    In a branching scenario a choice that was made stands, as it would on the floor: it can only be walked on.
    """
    take_turn(db)
    sitting = sitting_for(db, by, number)
    _check_open(sitting, at)
    if scenario not in sitting.attempt.scenarios:
        raise NotFound(f"scenario {scenario} in this attempt")
    _check_answer(sitting, scenario, answer)
    row = answer_row(db, number, scenario)
    if answer is None and row is not None:
        db.delete(row)
    elif answer is not None:
        row = row or AnswerRow(attempt=number, scenario=scenario, unsafe=False)
        row.answer, row.moment = as_json(answer), at
        db.add(row)
    db.flush()


def _check_answer(sitting: Sitting, scenario: str, answer: Answer | None) -> None:
    wrong = faults(sitting.quiz.scenario(scenario), answer) if answer else ()
    if wrong:
        raise Refused(*wrong)
    kept = sitting.answers.get(scenario)
    if isinstance(kept, Walked):
        made = answer.choices[: len(kept.choices)] if isinstance(answer, Walked) else ()
        if made != kept.choices:
            raise Refused("What you did in that scene stands, as it would on the floor. Go on from where you are now.")


def _check_open(sitting: Sitting, at: datetime) -> None:
    if sitting.attempt.closed_at:
        raise Refused("This attempt is closed; its answers stay as they are.")
    if not sitting.tried.is_open(at):
        raise Refused("This attempt was broken off and can no longer be taken up again; start a new one.")


def close_attempt(db: Session, at: datetime, by: Actor, zone: ZoneInfo, number: int) -> Attempt:
    """Close an attempt: score it, and complete the module if nothing else is left. Closing it again changes nothing."""
    take_turn(db)
    if attempt_for(db, by, number).closed_at:
        return attempt_for(db, by, number)
    sitting = sitting_for(db, by, number)
    _check_open(sitting, at)
    row, ended = sitting.attempt, result(sitting.scenarios, sitting.answers, sitting.quiz.pass_mark)
    row.closed_at, row.score, row.passed, row.unsafe = at, float(ended.score), ended.passed, ended.unsafe
    _store_outcomes(db, number, ended)
    write(db, at, by.code, "attempt-closed", by.code, _for_journal(sitting, ended))
    if ended.passed:
        module = sitting.program.modules[row.module]
        complete_if_done(db, at, by, known(db, at, zone), module, sitting.quiz)
    return row


def _store_outcomes(db: Session, number: int, ended: Result) -> None:
    for scenario, one in ended.outcomes.items():
        row = answer_row(db, number, scenario)
        if row is not None:
            row.score, row.unsafe = float(one.score), one.unsafe
    db.flush()


def _for_journal(sitting: Sitting, ended: Result) -> dict[str, object]:
    row = sitting.attempt
    answers = canonical({slug: as_json(answer) for slug, answer in sitting.answers.items()})
    return {
        "attempt": str(row.id),
        "quiz": row.quiz,
        "module_edition": str(row.module_edition),
        "program_edition": str(row.program_edition),
        "score": str(ended.score),
        "passed": ended.passed,
        "unsafe": list(ended.unsafe),
        "answers": "sha256:" + digest(answers),
    }


# ---- conversations ----


def record_talk(
    db: Session, at: datetime, by: Actor, zone: ZoneInfo, person: str, quiz: str, day: date, note: str = ""
) -> Talk:
    """Record the conversation that releases a hold; an observer does, and never about themselves."""
    if not by.may(Act.HOLD_TALK):
        raise NotAllowed(Act.HOLD_TALK.value)
    take_turn(db)
    volunteer_for(db, by, person)
    now = known(db, at, zone)
    held = held_for(db, person, now.quiz(quiz), now.program.policy, at)
    faulty = _faults_of_talk(by, person, day, now, day_in(zone, held.hold.since) if held else None)
    if faulty:
        raise Refused(*faulty)
    row = Talk(person=person, quiz=quiz, held_by=by.code, day=day, moment=at, note=note)
    db.add(row)
    db.flush()
    hashed = "sha256:" + digest(note) if note else ""
    write(db, at, by.code, "talk", person, {"talk": str(row.id), "quiz": quiz, "day": day.isoformat(), "note": hashed})
    return row


def _faults_of_talk(by: Actor, person: str, day: date, now: Known, held_since: date | None) -> list[str]:
    if by.code == person:
        return ["Nobody records a conversation with themselves; ask another observer."]
    if held_since is None:
        return ["Nothing is held here any more: no conversation is needed."]
    if not held_since <= day <= now.day:
        return ["The day of the conversation is one since the hold began, and not after today."]
    return []
