"""Who could step into what is open in a block of a session: of those checked in, or, while nobody is, expected."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from mentor_training.clearance.decision import Decision, atom_in_words, ground_in_words
from mentor_training.errors import NotFound
from mentor_training.planning.covering import (
    AT_ONCE,
    Cover,
    Opening,
    covers,
    opening_for,
    openings,
)
from mentor_training.planning.gaps import Near
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import HARD, Plan, only_the_card, things_lacking
from mentor_training.planning.rules import DUTY, LEAD, Placed
from mentor_training.program.catalog import RUNG_NAMES, Level


@dataclass(frozen=True)
class AtHand:
    """Who is at hand: those checked in and not gone, or, while nobody has come yet, all who are expected."""

    volunteers: frozenset[str]
    participants: frozenset[str]
    have_come: bool

    def who_can(self, plan: Plan, block: int) -> frozenset[str]:
        """Return the volunteers at hand without those who say that they cannot come in a block."""
        return self.volunteers - {who for at, who in plan.floor.unavailable if at == block}

    @property
    def name(self) -> str:
        """Return whether they are checked in or expected."""
        return "checked_in" if self.have_come else "expected"


@dataclass(frozen=True)
class Covered:
    """An opening, who could step in, and who is placed there and is not at hand."""

    opening: Opening
    covers: tuple[Cover, ...]
    absent: tuple[Placed, ...] = ()

    @property
    def at_once(self) -> tuple[Cover, ...]:
        """Return who could be placed as the plan stands."""
        return tuple(one for one in self.covers if one.nearness == AT_ONCE)


def at_hand(db: Session, plan: Plan) -> AtHand:
    """Return who is at hand at a session; who was checked in elsewhere since is not."""
    came = came_to(db, plan.session.code)
    here = {key for key, one in came.items() if one.left_at is None and one.elsewhere_at is None}
    if not any(kind == "volunteer" for kind, _ in came):
        return AtHand(frozenset(plan.floor.volunteers), frozenset(plan.floor.participants), have_come=False)
    by_kind = {kind: frozenset(code for one, code in here if one == kind) for kind in ("volunteer", "participant")}
    return AtHand(by_kind["volunteer"], by_kind["participant"], have_come=True)


def all_covered(plan: Plan, here: AtHand, block: int) -> tuple[Covered, ...]:
    """Return everything that is open in a block, each with who could step in."""
    known_block(plan, block)
    found = openings(plan.floor, plan.placed_in(block), here.who_can(plan, block), block)
    return tuple(covered(plan, here, opening) for opening in found)


def covered(plan: Plan, here: AtHand, opening: Opening) -> Covered:
    """Return who could step into an opening, nearest first."""
    placed, able = plan.placed_in(opening.block), here.who_can(plan, opening.block)

    def near_of(who: str, opening: Opening) -> Near | None:
        return _near(plan, who, opening)

    found = covers(plan.floor, placed, able, opening, plan.level_of, near_of)
    absent = (one for one in placed if one.mentor not in able)
    there = (one for one in absent if (one.role, one.participant) == (opening.role, opening.participant))
    return Covered(opening, found, tuple(one for one in there if one.station in opening.stations))


def opening_asked(plan: Plan, block: int, participant: str | None, station: str | None, is_lead: bool) -> Opening:
    """Return the opening that is asked about: a participant's, or of a station a lead or somebody on the duty."""
    known_block(plan, block)
    if participant:
        if participant not in plan.floor.participants:
            raise NotFound(f"participant {participant} expected at session {plan.session.code}")
        return opening_for(plan.floor, plan.placed_in(block), block, participant)
    found = plan.floor.stations.get(station or "")
    if found is None or not (is_lead or found.is_duty):
        raise NotFound(f"{'station' if is_lead else 'duty'} {station} open in session {plan.session.code}")
    return Opening(block, LEAD if is_lead else DUTY, (found.slug,))


def known_block(plan: Plan, block: int) -> None:
    """Say so where a session has no such block."""
    if plan.session.block(block) is None:
        raise NotFound(f"block {block} in session {plan.session.code}")


def _near(plan: Plan, who: str, opening: Opening) -> Near | None:
    """Return what somebody lacks for an opening where it is least; None for who is stood down or restricted there."""
    known = (slug for slug in opening.stations if slug in plan.program.stations)
    decisions = (plan.decide(who, slug, opening.participant) for slug in known)
    open_ones = (one for one in decisions if not HARD & {ground.kind for ground in one.grounds})
    asked = (_up_to_lead(one) if opening.role == LEAD else one for one in open_ones)
    found = [_as_near(one) for one in asked if one]
    return min(found, key=lambda near: near.distance, default=None)


def _as_near(one: Decision) -> Near:
    return Near(one.person, one.station, _in_words(one), things_lacking(one), only_the_card(one))


def _in_words(one: Decision) -> tuple[str, ...]:
    """Return what is lacking in words; what the entry asks for already is not said again for the rung."""
    said = {atom for ground in one.grounds for atom in ground.about if not isinstance(ground.about, str)}
    missing = next(iter(one.missing.values()), ())
    return (
        *(ground_in_words(ground, one.program, one.holdings) for ground in one.grounds),
        *(atom_in_words(atom, one.program, one.holdings) for atom in missing if atom not in said),
    )


def _up_to_lead(decision: Decision) -> Decision | None:
    """Return a decision that asks for the rung of leads at once; None where a ladder ends below it."""
    rung = RUNG_NAMES[Level.LEAD]
    return replace(decision, missing={rung: decision.missing[rung]}) if rung in decision.missing else None
