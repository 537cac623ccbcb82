"""What goes to a phone and back to it, as JSON: short, and with nobody's earlier marks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from flask import Response, jsonify

from mentor_training.observing.pages.urgent import why_now
from mentor_training.observing.queries.floor import SkillState
from mentor_training.observing.queries.kept import KeptFloor, KeptPerson
from mentor_training.observing.rules.results import (
    MARK_MEANINGS,
    MARK_WORDS,
    MET,
    NOT_YET,
    RESULT_WORDS,
    not_counted_in_words,
)
from mentor_training.observing.tables import Observation
from mentor_training.people.permissions import Actor
from mentor_training.program.catalog import USUAL_REMARKS, Policy, Skill, Station
from mentor_training.web.display import show_day

ACTIVITY = "activity/"


def floor_data(kept: KeptFloor, viewer: Actor, at: datetime, zone: str) -> dict[str, object]:
    """Return the floor as a phone keeps it; people and skills stand in order, the most urgent first.

    Each reason for that stands once in `reasons`, and with a skill its place there: most volunteers share a few.
    """
    program = kept.published.program
    reasons: dict[str, int] = {}
    people = [_person(person, program.stations, reasons) for person in kept.people]
    session = kept.floor.session
    return {
        "observer": {"code": viewer.code, "name": viewer.name},
        "now": at.isoformat(),
        "zone": zone,
        "day": kept.day.isoformat(),
        "title": session.title if session else "",
        "edition": kept.published.number,
        "calibrated": kept.calibrated,
        "late_after_days": program.policy.late_after_days,
        "remarks": list(USUAL_REMARKS),
        "marks": [[mark, word, MARK_MEANINGS[mark]] for mark, word in MARK_WORDS.items()],
        "skills": {
            slug: _skill(skill, slug in kept.entitled) for slug, skill in program.skills.items() if skill.criteria
        },
        "stations": [
            [slug, station.title]
            for slug, station in sorted(program.stations.items(), key=lambda one: one[0] not in kept.open_stations)
        ],
        "participants": [list(one) for one in kept.participants],
        "people": people,
        "reasons": list(reasons),
    }


def _skill(skill: Skill, entitled: bool) -> dict[str, object]:
    criteria = [[criterion.text, criterion.critical] for criterion in skill.criteria]
    own = {} if skill.remarks == USUAL_REMARKS else {"remarks": list(skill.remarks)}
    return {"title": skill.title, "entitled": entitled, "criteria": criteria, **own}


def _person(person: KeptPerson, stations: Mapping[str, Station], reasons: dict[str, int]) -> dict[str, object]:
    return {
        "code": person.line.person.code,
        "name": person.line.person.name,
        "objections": list(person.objections),
        "stood_down": [scope_in_words(fact.item, stations) for fact in person.stood_down],
        "skills": [_state(state, stations, reasons) for state in person.line.states if state.skill.criteria],
    }


def _state(state: SkillState, stations: Mapping[str, Station], reasons: dict[str, int]) -> list[object]:
    """Return a skill, how it stands, whether nothing is to be seen of it, and the place of the reason to see it now."""
    why = why_now(state, stations)
    row: list[object] = [state.skill.slug, _in_short(state), int(state.is_settled)]
    return [*row, reasons.setdefault(why, len(reasons))] if why else row


def _in_short(state: SkillState) -> str:
    """Say in a few words how a skill stands; nothing where none was counted yet, which the phone says itself."""
    if state.signed:
        return f"Signed off {show_day(state.signed.first_day)}"
    if state.readiness.is_ready:
        return "Ready for sign-off"
    return state.readiness.missing[0] if state.readiness.has_begun else ""


def scope_in_words(scope: str, stations: Mapping[str, Station]) -> str:
    """Say what a stand-down is about."""
    if not scope:
        return "from everything"
    if scope.startswith(ACTIVITY):
        return f"from {scope.removeprefix(ACTIVITY)}"
    return f"from {stations[scope].title if scope in stations else scope}"


def answer(row: Observation, policy: Policy) -> dict[str, object]:
    """Return what an observation came to: the same however often it was sent."""
    why = [not_counted_in_words(reason, policy) for reason in row.not_counted.split(";") if reason]
    words = {MET: "It counts.", NOT_YET: "It counts as seen."}.get(
        row.result, " ".join(["It is kept and shown.", *why])
    )
    return {
        "key": row.key,
        "status": "stored",
        "number": row.id,
        "result": row.result,
        "words": f"{RESULT_WORDS[row.result]}. {words}",
    }


def rejection(key: str, reasons: tuple[str, ...]) -> Response:
    """Return why an observation was not taken; the phone keeps it."""
    return jsonify(key=key, status="rejected", reasons=list(reasons))
