"""Terms: dated runs of the program, with the holidays that their series leave out; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from mentor_training.calendar.rules import SessionFault, day_faults, day_in_words
from mentor_training.csv_form import Cells, Problem, read_rows

LONGEST_TERM = 366
LONGEST_TITLE = 200
COLUMNS = ("term", "title", "first_day", "last_day", "holidays")
DAYS_FORM = "write days as YYYY-MM-DD, joined by semicolons"


@dataclass(frozen=True)
class TermFact:
    """A dated run of the program; both days are in it. Holidays are days of it without sessions, in their order."""

    code: str
    title: str
    first_day: date
    last_day: date
    holidays: tuple[date, ...] = ()

    def holds(self, day: date) -> bool:
        """Say whether a day falls in the term."""
        return self.first_day <= day <= self.last_day


def term_faults(term: TermFact, others: Iterable[TermFact]) -> tuple[SessionFault, ...]:
    """Return what is wrong with a term beside the other ones, empty when nothing is. Rules of this program.

    A day is in one term at the most, so that each session belongs to one; a term lasts a year at the longest.
    """
    faults = [SessionFault("first_day", one.what) for one in day_faults(term.first_day)]
    length = (term.last_day - term.first_day).days + 1
    if length < 1:
        faults.append(SessionFault("last_day", f"{term.last_day} is before the first day, {term.first_day}"))
    if length > LONGEST_TERM:
        faults.append(SessionFault("last_day", f"{length} days are too many; {LONGEST_TERM} are the most"))
    outside = [day for day in term.holidays if not term.holds(day)]
    if outside and not faults:
        faults.append(SessionFault("holidays", f"{day_in_words(outside[0])} is not in the term"))
    faults += [
        SessionFault("first_day", f"{one.title} ({one.code}) has some of these days already")
        for one in others
        if one.code != term.code and one.first_day <= term.last_day and term.first_day <= one.last_day and length > 0
    ]
    return tuple(faults)


def term_of(terms: Iterable[TermFact], day: date) -> TermFact | None:
    """Return the term in which a day falls, or None."""
    return next((one for one in terms if one.holds(day)), None)


def current_term(terms: Sequence[TermFact], today: date) -> TermFact | None:
    """Return the term of today; between two, the one that comes next; after the last, the last. None without any."""
    in_order = sorted(terms, key=lambda one: one.first_day)
    return next((one for one in in_order if one.last_day >= today), in_order[-1] if in_order else None)


def holidays_of(terms: Iterable[TermFact]) -> frozenset[date]:
    """Return the holidays of all terms."""
    return frozenset(day for one in terms for day in one.holidays)


def read_terms(text: str) -> tuple[list[TermFact], list[Problem]]:
    """Read terms.csv, with every finding by row and column; how the terms lie beside each other among them."""
    cells, problems = read_rows(text, COLUMNS)
    seen: dict[str, int] = {}
    found: list[tuple[Cells, TermFact]] = []
    for row in cells:
        term = _term(row)
        row.once("term", seen, "two rows for one term")
        if term and not row.problems:
            found.append((row, term))
    for place, (row, term) in enumerate(found):
        for fault in term_faults(term, [one for _, one in found[:place]]):
            row.problem(fault.detail, fault.what, "write days that fit")
    for row in cells:
        problems.extend(row.problems)
    return [term for _, term in found], problems


def _term(row: Cells) -> TermFact | None:
    code, title = row.code("term"), row.needed("title")
    first, last = row.day("first_day"), row.day("last_day")
    holidays = _holidays(row)
    if len(title) > LONGEST_TITLE:
        row.problem("title", "it is too long", f"{LONGEST_TITLE} characters are the most")
    return TermFact(code, title, first, last, holidays) if first and last else None


def _holidays(row: Cells) -> tuple[date, ...]:
    found = set()
    for word in row.words("holidays"):
        try:
            found.add(date.fromisoformat(word))
        except ValueError:
            row.problem("holidays", f"{word!r} is no day", DAYS_FORM)
    return tuple(sorted(found))


def as_row(term: TermFact) -> tuple[object, ...]:
    """Return a term as a row of the file."""
    return (term.code, term.title, term.first_day, term.last_day, ";".join(day.isoformat() for day in term.holidays))
