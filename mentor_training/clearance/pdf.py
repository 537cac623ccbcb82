"""A station's card on paper: what is done there, what to beware of, and who may lead on a day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from mentor_training.clearance.queries import Gate
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Level, Need, Station
from mentor_training.program.editions import PublishedProgram
from mentor_training.web.display import show_moment
from mentor_training.web.pdf import fill, render_pdf

# So many names still stand on one page with the rest; beyond them the card says how many more there are.
MOST_NAMED = 36
MOST_IN_FULL_SIZE = 6


@dataclass(frozen=True)
class StationCard:
    """What stands on a card; `asked` counts the volunteers among whom those who may lead were looked for."""

    station: Station
    published: PublishedProgram
    day: date
    leads: tuple[Person, ...]
    asked: int

    @property
    def more_mentors(self) -> tuple[Need, ...]:
        """Return the needs that count here and ask for more than one mentor."""
        needs = self.published.program.needs.values()
        return tuple(need for need in needs if need.mentors > 1 and need.applies_at(self.station))

    @property
    def is_dense(self) -> bool:
        """Return whether so many may lead that all has to stand closer to stay on one page."""
        return len(self.leads) > MOST_IN_FULL_SIZE

    @property
    def has_lead_level(self) -> bool:
        """Return whether a volunteer can lead here at all."""
        return self.station.ladder.top == Level.LEAD


def station_cards(gate: Gate, slugs: Sequence[str], people: Sequence[Person], day: date) -> list[StationCard]:
    """Return the cards of some stations for a day, in this order; who may lead is looked for among these people."""
    published = gate.edition(day)
    answers = gate.answers([row.code for row in people], slugs, [None], day)
    leading = {(one.person, one.station) for one in answers if one.level == Level.LEAD}
    by_name = sorted(people, key=lambda row: row.name)
    return [
        StationCard(
            published.program.stations[slug],
            published,
            day,
            tuple(row for row in by_name if (row.code, slug) in leading),
            len(people),
        )
        for slug in slugs
    ]


def cards_pdf(
    cards: Iterable[StationCard], when: str, program: str, known_at: datetime, zone: tzinfo, size: str = "letter"
) -> bytes:
    """Return station cards, a page each; `when` is the day in words, with the session where it is one's."""
    cards = list(cards)
    body = fill(
        "clearance/_cards_print.html",
        cards=cards,
        when=when,
        program=program,
        known_at=show_moment(known_at, zone),
        most_named=MOST_NAMED,
    )
    title = f"Station card, {cards[0].station.title}" if len(cards) == 1 else "Station cards"
    styles = ("pdf.css", "station-card.css") if size == "letter" else ("pdf.css", "station-card.css", "a4.css")
    return render_pdf(body, f"{title}, {when}", styles)
