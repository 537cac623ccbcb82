"""The form of cards.csv: versions of what a mentor must do, with every finding by row and column; pure."""

from __future__ import annotations

from collections.abc import Iterable

from mentor_training.csv_form import Cells, Problem, read_rows
from mentor_training.participants.rules import CardFact, card_faults

COLUMNS = ("participant", "version", "first_day", "review_by", "text")
HIGHEST_VERSION = 9999


def read_cards(
    text: str, participants: Iterable[str], stored: Iterable[CardFact]
) -> tuple[list[CardFact], list[Problem]]:
    """Read card versions of known participants; a version that is stored already must say the same as it did."""
    cells, problems = read_rows(text, COLUMNS)
    known = set(participants)
    cards = {(card.participant, card.version): card for card in stored}
    seen: dict[tuple[str, int], int] = {}
    found: list[CardFact] = []
    for row in cells:
        card = _card(row, known)
        if card:
            _check_once(row, card, seen)
            _check_against_others(row, card, cards)
            cards.setdefault((card.participant, card.version), card)
        problems.extend(row.problems)
        if card and not row.problems:
            found.append(card)
    return found, problems


def plain_lines(text: str) -> str:
    """Return a text with line ends of one kind and no blanks around it, so that the same words stay the same card."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def _card(row: Cells, known: set[str]) -> CardFact | None:
    codes = row.words("participant", allowed=known)
    if len(codes) != 1:
        row.problem("participant", "a card belongs to one participant", "write one code such as p-07")
    version = row.whole("version", 1, HIGHEST_VERSION)
    first_day, review_by = row.day("first_day"), row.day("review_by")
    words = plain_lines(row.cells["text"])
    if version is None or first_day is None or review_by is None or len(codes) != 1:
        row.needed("text")
        return None
    return CardFact(codes[0], version, first_day, review_by, words)


def _check_once(row: Cells, card: CardFact, seen: dict[tuple[str, int], int]) -> None:
    key = (card.participant, card.version)
    if key in seen:
        what = f"version {card.version} of {card.participant} stands in row {seen[key]} too"
        row.problem("version", what, "keep one of them")
    seen.setdefault(key, row.number)


def _check_against_others(row: Cells, card: CardFact, cards: dict[tuple[str, int], CardFact]) -> None:
    same = cards.get((card.participant, card.version))
    if same and same != card:
        what = f"version {card.version} of {card.participant} is there already and says something else"
        row.problem("version", what, "a version never changes: write a new one")
    others = [one for one in cards.values() if one.participant == card.participant]
    for fault in card_faults(card, others):
        row.problem(fault.detail, fault.what, "write what holds for this version")
