"""What lapses, as words, as the documented JSON, as rows, and as a calendar (RFC 5545)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import Any

from icalendar import Event

from mentor_training.calendar.exports import CLASS, new_calendar, uid_in, written
from mentor_training.clearance.decision import scope_in_words
from mentor_training.clearance.lapses import Cause, Lapse
from mentor_training.clearance.questions import LapseAhead
from mentor_training.program.catalog import RUNG_NAMES, Level, Program

COLUMNS = (
    "person", "name", "station", "participant", "last_day", "day", "before", "after", "because", "records",
    "session", "session_day",
)  # fmt: skip
LEVELS = {Level.NOT_YET: "not yet", **RUNG_NAMES}
# A lapse takes nobody's time.
TRANSPARENT = "TRANSPARENT"


def cause_in_words(cause: Cause, program: Program) -> str:
    """Say what makes a level fall, by which record."""
    by = f" by {cause.by}" if cause.by else ""
    record = f" (record {cause.record}{by})" if cause.record else ""
    return _WORDS[cause.kind](cause, program) + record


def _titled(words: str) -> Callable[[Cause, Program], str]:
    return lambda cause, program: words.format(program.title_of(cause.about))


def _about(words: str) -> Callable[[Cause, Program], str]:
    return lambda cause, _: words.format(cause.about)


def _scoped(words: str) -> Callable[[Cause, Program], str]:
    return lambda cause, program: f"{words} begins, {scope_in_words(cause.about, program)}"


_WORDS: dict[str, Callable[[Cause, Program], str]] = {
    "ends": _titled("{} ends"),
    "withdrawn": _titled("{} is withdrawn"),
    "retake": _titled("{} must be taken again"),
    "practice": _titled("{} has not been practiced for too long"),
    "hours": _about("hours of {} no longer count"),
    "sessions": _about("a session no longer counts"),
    "stand_down": _scoped("a stand-down"),
    "restriction": _scoped("a restriction of the volunteer's own"),
    "edition": _about("edition {} of the program takes effect"),
    "needs": _about("the needs of participant {} change"),
    "keep_apart": _about("the two are kept apart (participant {})"),
    "read_card": _about("the card {} has not been read in its latest version"),
    "review_overdue": _about("the review of card {} is overdue; that holds the activity and blames nobody"),
    "unknown_need": _about("the participant's need {} is not defined in the edition then in force"),
    "not_begun": _about("nothing is known of participant {} for that day"),
}


def lapse_as_json(one: LapseAhead) -> dict[str, Any]:
    """Write a lapse as one entry of the documented JSON."""
    lapse, session = one.lapse, one.session
    return {
        "person": lapse.person,
        "station": lapse.station,
        "participant": lapse.participant,
        "last_day": lapse.last_day.isoformat(),
        "day": lapse.day.isoformat(),
        "before": int(lapse.before),
        "after": int(lapse.after),
        "because": [
            {"kind": cause.kind, "about": cause.about, "record": cause.record or None, "by": cause.by or None}
            for cause in lapse.causes
        ],
        "session": {"session": session.code, "day": session.day.isoformat(), "expected": one.is_expected}
        if session
        else None,
    }


def lapse_as_row(one: LapseAhead, name: str, program: Program) -> tuple[str | int, ...]:
    """Write a lapse as one row, in the order of `COLUMNS`."""
    lapse, session = one.lapse, one.session
    return (
        lapse.person, name, lapse.station, lapse.participant or "", lapse.last_day.isoformat(), lapse.day.isoformat(),
        int(lapse.before), int(lapse.after), "; ".join(cause_in_words(cause, program) for cause in lapse.causes),
        ";".join(cause.record for cause in lapse.causes if cause.record),
        session.code if session else "", session.day.isoformat() if session else "",
    )  # fmt: skip


def lapses_as_calendar(
    found: Iterable[LapseAhead], title: str, address: str, program: Program, made_at: datetime
) -> str:
    """Write lapses as a calendar: an all-day event on the first day of each lower level.

    Codes stand in it and no names, because calendars travel. An event keeps its identity however often the file is
    made: it is named after the instance's address, the volunteer, the station, the participant and the day (RFC 7986
    section 5.3 asks for a name that tells nothing and is the same for the same event).
    """
    calendar = new_calendar("Lapses", "clearance/lapses", f"Lapses, {title}", address)
    for one in found:
        calendar.add_component(_event(one, address, program, made_at))
    return written(calendar)


def _event(one: LapseAhead, address: str, program: Program, made_at: datetime) -> Event:
    lapse = one.lapse
    event = Event.new(
        uid=str(uid_of(lapse, address)),
        stamp=made_at,
        start=lapse.day,
        summary=summary_of(lapse, program),
        description="\n".join(_details(one, program)),
    )
    event.add("class", CLASS)
    event.add("transp", TRANSPARENT)
    return event


def uid_of(lapse: Lapse, address: str) -> object:
    """Return the identity of a lapse's event."""
    parts = (lapse.person, lapse.station, lapse.participant or "", lapse.day.isoformat())
    return uid_in(address, f"clearance/lapses/{'/'.join(parts)}")


def summary_of(lapse: Lapse, program: Program) -> str:
    """Say in a line who loses what where."""
    with_whom = f" with {lapse.participant}" if lapse.participant else ""
    levels = f"from {LEVELS[lapse.before]} to {LEVELS[lapse.after]}"
    return f"{lapse.person} at {title_of(lapse.station, program)}{with_whom}: {levels}"


def title_of(station: str, program: Program) -> str:
    """Return how a station is called; its slug where an edition does not have it."""
    found = program.stations.get(station)
    return found.title if found else station


def _details(one: LapseAhead, program: Program) -> Sequence[str]:
    lines = [f"Because: {cause_in_words(cause, program)}." for cause in one.lapse.causes]
    if one.session:
        expected = ", where they are expected" if one.is_expected else ""
        lines.append(f"Before session {one.session.code} on {one.session.day.isoformat()}{expected}.")
    return lines
