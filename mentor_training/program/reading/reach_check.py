"""Advise on rungs that nobody ever reaches, and on needs that keep everybody from their participants."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from mentor_training.program.catalog import Need, Program, Station
from mentor_training.program.reach import OutOfReach, Reach, sign_off_faults
from mentor_training.program.reading.book import Book
from mentor_training.program.reading.document import Document
from mentor_training.program.reading.stations import RUNGS
from mentor_training.program.requirements import Atom, Hours, Item, is_met


def check_reach(book: Book, program: Program) -> None:
    """Look at every ladder of a program without a fault; where not even `entry` can be met, that alone is said."""
    minutes = sum(module.minutes for module in program.modules.values())
    reach = Reach(program.entry, program.skills, program.stations, minutes)
    if not is_met(program.entry, reach.holds(begun=False)):
        return
    _check(book, "program/stations.toml", "station", tuple(program.stations.values()), reach)
    _check(book, "program/needs.toml", "need", tuple(program.needs.values()), reach)
    for at, need in enumerate(program.needs.values()):
        found = reach.out_of_reach(need)
        if found and found.place == 0:
            where = _where(need, program.stations.values())
            document = book.documents["program/needs.toml"]
            what = f"nobody can ever work with a participant who has this need{where}"
            right = "ask first for what can be had, or name the activities in which it counts"
            book.report.advise(document.file, document.line(("need", at)), what, right)


def _check(book: Book, file: str, key: str, things: Sequence[Station | Need], reach: Reach) -> None:
    document = book.documents.get(file)
    for at, thing in enumerate(things):
        found = reach.out_of_reach(thing)
        if document and found:
            rung = _written_rung(document, key, at, found.place)
            what = f"nobody new can ever reach `{rung}` here: {'; '.join(_reasons(found, reach))}"
            right = "ask for what can be had, or bring it in from elsewhere"
            book.report.advise(file, document.line((key, at, rung)), what, right)


def _written_rung(document: Document, key: str, at: int, place: int) -> str:
    """Return the rung that stands in the file: one left out equals the next above it."""
    table = document.data[key][at]
    return next((rung for rung in RUNGS[place:] if rung in table), RUNGS[place])


def _reasons(found: OutOfReach, reach: Reach) -> Iterator[str]:
    return (_reason(atom, reach) for atom in found.atoms)


def _reason(atom: Atom, reach: Reach) -> str:
    if isinstance(atom, Hours):
        credit = f"{reach.training_minutes / 60:.2f}"
        return f"it asks for {atom.at_least:g} hours of training, and all modules together credit {credit}"
    name = atom.name if isinstance(atom, Item) else ""
    skill = reach.skills.get(name.removeprefix("skill/"))
    if skill and sign_off_faults(skill.sign_off):
        return f"the sign-off of `{name}` asks for what can never be"
    return f"`{name}` is seen with participants only, and without such a skill nobody can begin at any station"


def _where(need: Need, stations: Iterable[Station]) -> str:
    places = [one for one in stations if not one.is_duty]
    applies = [one for one in places if need.applies_at(one)]
    if len(applies) == len(places):
        return ", at any station"
    return f", at {', '.join(f'`{one.slug}`' for one in applies)}" if applies else ""
