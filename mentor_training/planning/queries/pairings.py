"""What a volunteer sees: the own next session, with whom, where, and which cards to read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import VOLUNTEER, session_for, upcoming
from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.clearance.queries import Gate, gate_at, holdings_for
from mentor_training.clearance.rules import level_on
from mentor_training.errors import NotAllowed
from mentor_training.participants.queries import MentorView, first_names, mentor_view, profiles_in_force
from mentor_training.participants.rules import SEEN_BEFORE, CardFact, may_see
from mentor_training.people.queries import people
from mentor_training.planning.queries.closed import closed_stations, in_words
from mentor_training.planning.queries.shadows import own_shadows
from mentor_training.planning.queries.supervised import supervised_among
from mentor_training.planning.rules import LEAD, Placed
from mentor_training.planning.tables import Handed, Placement
from mentor_training.program.catalog import Level, Program, Station
from mentor_training.program.queries import require_edition
from mentor_training.program.requirements import Item

NO_LEAD = "You work supervised here, and nobody who may lead is placed here in this block."


@dataclass(frozen=True)
class OwnBlock:
    """One block of a volunteer's own session: where, with whom, as what, at which level now, and who leads there.

    With no station it is free; with level 0 it stands in the plan but is not to be worked, for the reasons given. A
    lead has who works supervised under them: the volunteer's name, the participant's first name, and what is missing.
    `watches` is where somebody shadows.
    """

    block: BlockSpan
    station: Station | None = None
    role: str = ""
    level: int = 0
    reasons: tuple[str, ...] = ()
    partner: MentorView | None = None
    leads: tuple[str, ...] = ()
    supervised: tuple[tuple[str, str, tuple[str, ...]], ...] = ()
    watches: Station | None = None


@dataclass(frozen=True)
class ToRead:
    """A card for a volunteer to read, of somebody they are paired with or whose card was handed to them."""

    partner: MentorView
    card: CardFact
    is_read: bool


@dataclass(frozen=True)
class Pairing:
    """A volunteer's own session; `opens_on` is the first day on which it may be seen."""

    session: SessionFact
    opens_on: date
    is_open: bool
    blocks: tuple[OwnBlock, ...]
    cards: tuple[ToRead, ...]

    @property
    def unread(self) -> tuple[ToRead, ...]:
        """Return the cards that are still to be read."""
        return tuple(one for one in self.cards if not one.is_read)


def next_pairings(db: Session, person: str, today: date, known_at: datetime) -> list[Pairing]:
    """Return a volunteer's own pairing for today's and each later session; what may not be seen yet is left out."""
    return [
        pairing_for(db, person, session.code, today, known_at) for session in upcoming(db, today, VOLUNTEER, person)
    ]


def pairing_for(db: Session, person: str, code: str, today: date, known_at: datetime) -> Pairing:
    """Return one volunteer's own pairing in a session."""
    session = session_for(db, code)
    if not may_see([session.day], today):
        return Pairing(session, session.day - SEEN_BEFORE, False, (), ())
    program = require_edition(db, session.day, known_at).program
    own, partners = own_placements(db, code, person), open_to(db, session, person, known_at)
    views = {one: partner_view(db, person, one, session, program, today, known_at) for one in sorted(partners)}
    gate, by_block = gate_at(db, known_at), {one.block: one for one in own}
    watched = own_shadows(db, code, person)
    blocks = tuple(
        _own_block(db, gate, session, block, by_block[block.number], today, partners)
        if block.number in by_block
        else _free_block(gate, person, session, block, watched.get(block.number))
        for block in session.blocks
    )
    called = {row.code: row.name for row in people(db)}
    shut = in_words(session, closed_stations(db, session, known_at), called)
    blocks = tuple(_where_open(one, shut) for one in blocks)
    cards = tuple(_to_read(db, person, view, view.card, session.day, known_at) for view in views.values() if view.card)
    return Pairing(session, session.day - SEEN_BEFORE, True, blocks, cards)


def _where_open(own: OwnBlock, shut: Mapping[tuple[int, str], str]) -> OwnBlock:
    """Return a block as it is worked: where the station is closed nobody works or watches."""
    place = own.watches or own.station
    words = shut.get((own.block.number, place.slug)) if place else None
    if not place or not words:
        return own
    if own.watches:
        return replace(own, watches=None)
    return replace(own, level=0, reasons=(f"{place.title} is closed: {words}. Ask the coordinator.",), supervised=())


def _free_block(gate: Gate, person: str, session: SessionFact, block: BlockSpan, station: str | None) -> OwnBlock:
    """Return a block in which somebody is not placed; where they shadow, and may still, with the station."""
    found = gate.edition(session.day).program.stations.get(station or "")
    decision = gate.decide(person, found.slug, None, session.day) if found else None
    watches = decision is not None and (decision.level > 0 or decision.is_shadow)
    return OwnBlock(block, watches=found if watches else None)


def own_placements(db: Session, session: str, person: str) -> list[Placement]:
    """Return a volunteer's own placements in a session."""
    query = select(Placement).where(Placement.session == session, Placement.mentor == person)
    return list(db.scalars(query.order_by(Placement.block)))


def handed_to(db: Session, session: str, person: str) -> list[str]:
    """Return the participants whose cards were handed to a volunteer for a session."""
    query = select(Handed.participant).where(Handed.session == session, Handed.person == person)
    return list(db.scalars(query.order_by(Handed.participant)))


def cards_out(db: Session, session: str) -> set[tuple[str, str]]:
    """Return whose card is open to whom for a session, as participant and volunteer: handed over, or paired."""
    handed = db.execute(select(Handed.participant, Handed.person).where(Handed.session == session))
    paired = db.execute(select(Placement.participant, Placement.mentor).where(Placement.session == session))
    return {(participant, person) for participant, person in (*handed, *paired) if participant}


def partner_view(
    db: Session, person: str, participant: str, session: SessionFact, program: Program, today: date, known_at: datetime
) -> MentorView:
    """Open the guarded door to a participant for a volunteer who is paired with them, or was handed their card."""
    days = [session.day] if participant in open_to(db, session, person, known_at) else []
    stations = stations_of(db, session, person, participant, program)
    return mentor_view(db, participant, stations, days, today, session.day, known_at, program)


def open_to(db: Session, session: SessionFact, person: str, known_at: datetime) -> set[str]:
    """Return the expected participants with whom a volunteer is paired in a session, or whose card was handed to them.

    From whom they are kept apart is closed to them at once, though they still stand in the plan together.
    """
    paired = {one.participant for one in own_placements(db, session.code, person) if one.participant}
    found = (paired | set(handed_to(db, session.code, person))) & set(session.participants)
    profiles = profiles_in_force(db, found, session.day, known_at)
    return {one for one in found if one not in profiles or person not in profiles[one].keep_apart}


def stations_of(
    db: Session, session: SessionFact, person: str, participant: str, program: Program
) -> Iterable[Station]:
    """Return the stations where the two will be together; before they are paired, all that are open."""
    together = {one.station for one in own_placements(db, session.code, person) if one.participant == participant}
    return [program.stations[slug] for slug in together or session.stations if slug in program.stations]


def card_to_read(
    db: Session, person: str, participant: str, version: int, today: date, known_at: datetime
) -> tuple[SessionFact, ToRead]:
    """Return a card that a volunteer may read now, with the session it is for; nobody else's is open."""
    for session in upcoming(db, today, VOLUNTEER, person):
        if may_see([session.day], today) and participant in open_to(db, session, person, known_at):
            program = require_edition(db, session.day, known_at).program
            view = partner_view(db, person, participant, session, program, today, known_at)
            if view.card and view.card.version == version:
                return session, _to_read(db, person, view, view.card, session.day, known_at)
    raise NotAllowed("a card of somebody you are not paired with, or a version that no longer counts")


def _to_read(db: Session, person: str, view: MentorView, card: CardFact, on: date, known_at: datetime) -> ToRead:
    return ToRead(view, card, holdings_for(db, person, on, known_at).holds(Item(card.item)))


def _own_block(
    db: Session, gate: Gate, session: SessionFact, block: BlockSpan, mine: Placement, today: date, partners: set[str]
) -> OwnBlock:
    edition, day = gate.edition(session.day), session.day
    station = edition.program.stations.get(mine.station)
    if station is None:
        gone = f"There is no {mine.station} in edition {edition.number} of the program any more."
        return OwnBlock(block, station=_as_last_known(gate, mine.station), role=mine.role, reasons=(gone,))
    decision = gate.decide(mine.mentor, mine.station, mine.participant, day)
    partner = None
    if mine.participant in partners:
        partner = mentor_view(db, mine.participant, [station], [day], today, day, gate.known_at, decision.program)
    leads = leads_at(db, gate, session, block.number, mine.station)
    is_alone = decision.level == Level.SUPERVISED and mine.role != LEAD and not leads
    return OwnBlock(
        block,
        station=station,
        role=mine.role,
        level=Level.NOT_YET if is_alone else decision.level,
        reasons=(NO_LEAD,) if is_alone else () if decision.level else decision.reasons(),
        partner=partner,
        leads=leads,
        supervised=supervised_under(db, gate, session, mine)
        if decision.level >= Level.LEAD and mine.role == LEAD
        else (),
    )


def supervised_under(
    db: Session, gate: Gate, session: SessionFact, lead: Placement
) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """Return who works supervised under a lead in a block: the two names, and what is missing for independent.

    The first name of a participant from whom the lead is kept apart is left out.
    """
    here = (Placement.session == session.code, Placement.block == lead.block, Placement.station == lead.station)
    rows = db.scalars(select(Placement).where(*here).order_by(Placement.id))
    placed = [Placed(row.block, row.station, row.mentor, row.role, row.participant, row.level) for row in rows]
    decided = [(one, gate.decide(one.mentor, one.station, one.participant, session.day)) for one in placed]
    names, first = {row.code: row.name for row in people(db)}, first_names(db)
    codes = {one.participant for one in placed if one.participant}
    profiles = profiles_in_force(db, codes, session.day, gate.known_at)
    apart = {code for code, profile in profiles.items() if lead.mentor in profile.keep_apart}
    return tuple(
        (
            names.get(one.mentor, one.mentor),
            "" if one.participant is None or one.participant in apart else first[one.participant],
            one.missing,
        )
        for one in supervised_among(decided)
    )


def _as_last_known(gate: Gate, slug: str) -> Station | None:
    having = (edition.program.stations for edition in reversed(gate.editions))
    return next((stations[slug] for stations in having if slug in stations), None)


def leads_at(db: Session, gate: Gate, session: SessionFact, block: int, station: str) -> tuple[str, ...]:
    """Return the names of those who are placed to lead a station in a block, and may still lead it."""
    here = (Placement.session == session.code, Placement.block == block, Placement.station == station)
    placed = set(db.scalars(select(Placement.mentor).where(*here, Placement.role == LEAD)))
    codes = {one for one in placed if level_on(gate.dossier(one), station, None, session.day) >= Level.LEAD}
    return tuple(row.name for row in people(db) if row.code in codes)
