"""Papers put on file and verified by the coordinator; one is declined, two still wait, one is about to lapse."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.demo.card import picture_of_card
from mentor_training.demo.cast import EAGER, SLOW, STEADY, Character, luck
from mentor_training.demo.stage import Stage
from mentor_training.evidence.corrections import months_later
from mentor_training.hours.actions import enter_by_hand
from mentor_training.papers.actions.deciding import decline, verify
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.papers.actions.scans import add_scan
from mentor_training.papers.queries import entry_for
from mentor_training.papers.rules import Seen
from mentor_training.papers.scans.folder import folder_of
from mentor_training.papers.scans.reading import read_scan

CARD = "cpr-aed"
SIGNED_HERE = (
    "confidentiality", "liability-waiver", "code-of-conduct", "emergency-contact", "health-self-check", "photo-choice",
)  # fmt: skip
HANDED_IN = {EAGER: date(2026, 8, 18), STEADY: date(2026, 8, 24), SLOW: date(2026, 9, 2)}
LABS = (date(2026, 8, 29), date(2026, 9, 5))
LATE_LAB = date(2026, 9, 19)
LATE_TO_THE_LAB = ("v-010", "v-037")

# The last day printed on a CPR card, where the story asks for one; it was issued 24 months earlier.
CARD_THROUGH = {
    "v-001": date(2027, 6, 30),
    "v-002": date(2026, 10, 16),
    "v-003": date(2026, 12, 12),
    "v-004": date(2027, 2, 2),
    "v-005": date(2027, 9, 9),
    "v-020": date(2026, 10, 22),
    "v-034": date(2026, 10, 30),
}
# Whose photo of a card could not be read, and whose background check was ordered late.
UNREADABLE_CARD = "v-009"
# Who sent the picture of the next card the evening before the demo day.
NEW_CARD, NEW_CARD_ISSUED, NEW_CARD_THROUGH = "v-034", date(2026, 10, 10), date(2028, 10, 9)
LATE_CHECK = {"v-037": date(2026, 10, 14)}


def hand_in_papers(stage: Stage) -> None:
    """Put everybody's papers on the agenda."""
    for one in stage.cast.newcomers:
        chance = luck("papers", one.code)
        day = HANDED_IN[one.pace] + timedelta(days=chance.randint(0, 5))
        hand_in(stage, stage.moment(day, f"{chance.randint(8, 20):02}:{chance.randint(0, 59):02}"), one, SIGNED_HERE)
        _hand_in_dated(stage, one, day)
        _come_to_the_lab(stage, one, LATE_LAB if one.code in LATE_TO_THE_LAB else LABS[chance.randint(0, 1)])
    stage.agenda.add(stage.moment(date(2026, 10, 16), "19:40"), _send_new_card, stage)
    for one in stage.cast.returning:
        day = date(2026, 8, 19) + timedelta(days=luck("papers", one.code).randint(0, 6))
        hand_in(stage, stage.moment(day, "18:20"), one, SIGNED_HERE[:5])
        _come_to_the_lab(stage, one, LABS[1])


def hand_in(stage: Stage, moment: datetime, one: Character, papers: Iterable[str]) -> None:
    """Put on the agenda that somebody hands in papers that they sign that day, and that they are verified."""
    for place, paper in enumerate(papers):
        _put(stage, moment + timedelta(minutes=3 * place), one, paper, stage.day(moment), None)


def _hand_in_dated(stage: Stage, one: Character, day: date) -> None:
    chance = luck("cards", one.code)
    ends = CARD_THROUGH.get(one.code) or date(2026, 11, 5) + timedelta(days=chance.randint(0, 600))
    issued = months_later(ends, -24)
    if issued is None:
        raise ValueError("a card has a day of issue")
    noon = stage.moment(day + timedelta(days=1), "12:10")
    if one.code == UNREADABLE_CARD:
        stage.agenda.add(noon, _put_and_decline, stage, one, issued, ends)
        noon += timedelta(days=4)
    _put(stage, noon, one, CARD, issued, ends)
    checked = LATE_CHECK.get(one.code, day - timedelta(days=chance.randint(0, 20)))
    handed_in = stage.moment(max(day, checked) + timedelta(days=1), "12:20")
    _put(stage, handed_in, one, "background-check", checked, None, verified=one.code not in LATE_CHECK)


def _put(
    stage: Stage, moment: datetime, one: Character, paper: str, issued: date, last: date | None, verified: bool = True
) -> None:
    def put(db: Session, at: datetime) -> None:
        row = put_on_file(db, at, stage.day(at), one.actor, one.code, paper, issued, last)
        if verified:
            stage.agenda.add(_next_desk_hour(stage, at), look_and_verify, stage, row.id, Seen(issued, last, True))

    stage.agenda.add(moment, put)


def look_and_verify(db: Session, at: datetime, stage: Stage, number: int, seen: Seen) -> None:
    """The coordinator compares the paper with its dates; of a card the hands-on part is seen on it."""
    asks = entry_for(db, number).paper == CARD
    verify(db, at, stage.day(at), stage.cast.coordinator, number, seen if asks else replace(seen, hands_on=None))


def _send_new_card(db: Session, at: datetime, stage: Stage) -> None:
    """The next card, with a picture of it, before the old one ends; the coordinator has not looked yet."""
    one = stage.cast.people[NEW_CARD]
    row = put_on_file(db, at, stage.day(at), one, one.code, CARD, NEW_CARD_ISSUED, NEW_CARD_THROUGH)
    lines = ("Invented card", one.name, "CPR, AED and first aid", "Hands-on part passed",
             f"Issued {NEW_CARD_ISSUED:%d %b %Y}", f"Good through {NEW_CARD_THROUGH:%d %b %Y}")  # fmt: skip
    plain = read_scan(picture_of_card(lines))
    add_scan(db, at, stage.zone, one, row.id, folder_of(stage.instance.settings), plain)


def _put_and_decline(db: Session, at: datetime, stage: Stage, one: Character, issued: date, ends: date) -> None:
    row = put_on_file(db, at, stage.day(at), one.actor, one.code, CARD, issued, ends)
    reason = "The photo is too blurred to read the date. Please send it once more, in daylight."
    later = _next_desk_hour(stage, at)
    stage.agenda.add(later, decline, stage.cast.coordinator, row.id, reason)


def _next_desk_hour(stage: Stage, moment: datetime) -> datetime:
    """Return a moment on the next working day at which the coordinator goes through what came in."""
    day = stage.day(moment) + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return stage.moment(day, "09:15") + timedelta(minutes=moment.minute // 4, seconds=moment.minute)


def _come_to_the_lab(stage: Stage, one: Character, day: date) -> None:
    """Three hours on a Saturday; the coordinator notes who was there, and each enters the time as orientation."""
    place = int(one.code.removeprefix("v-"))
    come, leave = stage.moment(day, "09:00"), stage.moment(day, "12:00")

    def note(db: Session, at: datetime) -> None:
        by = stage.cast.coordinator
        row = put_on_file(db, at, day, by, one.code, "orientation-lab", day, None)
        verify(db, at, day, by, row.id)

    def enter(db: Session, at: datetime) -> None:
        enter_by_hand(db, at, one.actor, one.code, "orientation", day, come, leave, "Orientation lab in the gym")

    stage.agenda.add(leave + timedelta(minutes=5, seconds=place), note)
    stage.agenda.add(leave + timedelta(hours=6, minutes=place), enter)
