"""What a floor comes to, remembered while nothing that it rests on differs: its board, gaps, fallen placements.

Everything they are made of is read anew each time and compared with what it was, so that what is remembered is the
very thing that would be made again: the session, the placements, the profiles, cards and names by their values, and
each volunteer's dossier, which the clearance remembers and makes anew with every new record, by being the same one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from mentor_training.clearance.dossier import Dossier
from mentor_training.planning.gaps import LeadGap, Uncovered, by_participant
from mentor_training.planning.queries.board import Board, board_of
from mentor_training.planning.queries.plan import Fallen, Plan, by_mentor, gaps_of, lead_gaps_of

PLACE = "floors"
# So many sessions are remembered at once; a coordinator looks at one or two.
MOST = 8


@dataclass(frozen=True)
class Seen:
    """What a session's page shows of an open floor."""

    board: Board
    uncovered: tuple[Uncovered, ...]
    lead_gaps: tuple[LeadGap, ...]
    fallen: list[tuple[Fallen, ...]]
    _drawn: dict[object, str] = field(default_factory=dict, compare=False, repr=False)

    def drawn(self, told: object, draw: Callable[[], str]) -> str:
        """Return this board as it was drawn; drawn anew where what is told of it besides differs from before."""
        found = self._drawn.get(told)
        if found is None:
            if len(self._drawn) >= MOST:
                self._drawn.clear()
            found = self._drawn[told] = draw()
        return found


def floor_seen(db: Session, plan: Plan) -> Seen:
    """Return what a plan comes to; of a plan like the last one of this session, what that came to."""
    kept = db.info.setdefault("remembered", {}).setdefault(PLACE, {})
    told, before = _told(plan), kept.get(plan.session.code)
    if before and before[0] == told:
        seen: Seen = before[1]
        return seen
    gaps = gaps_of(plan)
    seen = Seen(board_of(plan, len(gaps)), by_participant(gaps), lead_gaps_of(plan), by_mentor(plan.fallen))
    if len(kept) >= MOST and plan.session.code not in kept:
        kept.clear()
    if not db.info.get("writes"):
        kept[plan.session.code] = (told, seen)
    return seen


def _told(plan: Plan) -> tuple[object, ...]:
    """Return all that a plan's board, gaps and fallen placements rest on."""
    gate, people = plan.gate, {*plan.session.volunteers, *(one.placed.mentor for one in plan.standing)}
    participants = {*plan.session.participants, *(one.placed.participant for one in plan.standing)}
    return (
        plan.session,
        tuple((one.number, one.hash, one.effective) for one in gate.editions),
        plan.standing,
        plan.floor,
        plan.profiles,
        plan.overdue,
        plan.attending,
        {code: _evidence(gate.dossier(code)) for code in people},
        {code: gate.participant(code) for code in participants if code},
    )


def _evidence(dossier: Dossier) -> Dossier | None:
    """Return a dossier; of somebody without any record, which is made anew each time, None."""
    return dossier if dossier.facts else None
