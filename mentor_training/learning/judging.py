"""Recording what judges said of the items of a quiz, from which its pass mark is proposed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.learning.questions import Bank, bank_to_judge, pass_marks_of, reads_the_same
from mentor_training.learning.rules.pass_mark import Sheet, faults, proposal
from mentor_training.learning.tables import PassMarkJudge, PassMarkSetting
from mentor_training.people.permissions import Act, Actor
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import known_editions


def set_pass_mark(
    db: Session, at: datetime, by: Actor, zone: ZoneInfo, quiz: str, seen: int, day: date, sheets: Sequence[Sheet]
) -> PassMarkSetting:
    """Record what judges said, on a day, of the items of a quiz as they stand in the newest edition of the program.

    `seen` is the edition of the program that they judged by; one whose items read otherwise is refused.
    """
    if not by.may(Act.SET_PASS_MARKS):
        raise NotAllowed(Act.SET_PASS_MARKS.value)
    take_turn(db)
    editions = known_editions(db, at)
    bank = _as_seen(editions, quiz, seen)
    wrong = faults(sheets, len(bank.items), day, day_in(zone, at))
    newest = next(iter(pass_marks_of(db, quiz, day, at)), None)
    if newest and newest.says(day, sheets) and reads_the_same(editions, bank, newest.row.program_edition):
        wrong += ("Exactly this stands already: the same judges, shares and day. Nothing more was recorded.",)
    if wrong:
        raise Refused(*wrong)
    row = PassMarkSetting(
        number=_next_number(db), quiz=quiz, module_edition=bank.edition, program_edition=bank.published.number,
        items=tuple(bank.items), day=day, recorded_at=at, recorded_by=by.code,
    )  # fmt: skip
    _store(db, row, sheets)
    write(db, at, by.code, "pass-mark-set", quiz, _for_journal(row, sheets))
    return row


def _as_seen(editions: Sequence[PublishedProgram], quiz: str, seen: int) -> Bank:
    """Return the bank of a quiz, if its items read as those that were judged."""
    bank = bank_to_judge(editions, quiz)
    if not reads_the_same(editions, bank, seen):
        raise Refused(
            f"The items have changed while this page was open: they are now those of edition {bank.published.number} "
            "of the program. Have those that read otherwise judged again, then record it."
        )
    return bank


def _next_number(db: Session) -> int:
    return (db.scalar(select(func.max(PassMarkSetting.number))) or 0) + 1


def _store(db: Session, row: PassMarkSetting, sheets: Sequence[Sheet]) -> None:
    db.add(row)
    db.flush()
    for place, sheet in enumerate(sheets, 1):
        db.add(PassMarkJudge(setting=row.number, place=place, name=sheet.judge, percents=list(sheet.percents)))
    db.flush()


def _for_journal(row: PassMarkSetting, sheets: Sequence[Sheet]) -> dict[str, object]:
    """Return codes, figures and counts; the judges' names and what each wrote are there as their hash alone."""
    found = proposal(sheets)
    written = canonical({"sheets": [[sheet.judge, list(sheet.percents)] for sheet in sheets]})
    return {
        "setting": str(row.number),
        "quiz": row.quiz,
        "module_edition": str(row.module_edition),
        "program_edition": str(row.program_edition),
        "day": row.day.isoformat(),
        "judges": len(sheets),
        "items": len(row.items),
        "pass_mark": str(found.whole.mean),
        "variance": None if found.whole.variance is None else str(found.whole.variance),
        "sheets": "sha256:" + digest(written),
    }
