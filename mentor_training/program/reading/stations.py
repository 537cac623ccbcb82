"""Read stations.toml and needs.toml: places, duties and support needs, each with its ladder."""

from __future__ import annotations

import re
from difflib import get_close_matches

from mentor_training.program.catalog import Ladder, Need, Station
from mentor_training.program.reading.book import Book, Shelf
from mentor_training.program.reading.entry import Entry
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.names import Names
from mentor_training.program.reading.requirement import read_requirement
from mentor_training.program.requirements import ALWAYS, Requirement

SUPERVISED = "supervised"
RUNGS = (SUPERVISED, "independent", "lead")
KINDS = ("station", "duty")


def read_ladder(entry: Entry, names: Names, rungs: tuple[str, ...], meaning: str) -> Ladder:
    """Read the rungs; one left out below another equals the next one above it, and the ladder ends at the last given.

    At least one of them has to be there. A rule of this program.
    """
    given = {rung: read_requirement(entry, rung, names) for rung in rungs}
    tops = [rung for rung in rungs if given[rung] is not None]
    wanted = " or ".join(f"`{rung}`" for rung in rungs[1:])
    if not tops:
        entry.fault(f"{entry.what} has no rung", f"add {wanted}")
        return Ladder((ALWAYS,))
    if tops == [SUPERVISED]:
        entry.advise(f"the ladder of {entry.what} ends at `supervised`: {meaning}", f"add {wanted}", SUPERVISED)
    filled: list[Requirement] = []
    above: Requirement = ALWAYS
    for rung in reversed(rungs[: rungs.index(tops[-1]) + 1]):
        above = given[rung] or above
        filled.insert(0, above)
    return Ladder(tuple(filled))


def read_stations(book: Book) -> dict[str, Station]:
    """Read the stations and duties in the order of the file."""
    shelf: Shelf[Station] = Shelf("the station")
    for entry in book.tables("program/stations.toml", station="a station")["station"]:
        station = _station(entry, book.names)
        shelf.put(station.slug, station, entry, "slug")
    return shelf.things


def _station(entry: Entry, names: Names) -> Station:
    station = Station(
        slug=entry.slug(),
        title=entry.text("title"),
        ladder=read_ladder(entry, names, RUNGS, "nobody is ever more than supervised here"),
        kind=entry.one_of("kind", KINDS, "station"),
        activities=entry.words("activities"),
        capacity=entry.whole("capacity", 0),
        leads=entry.whole("leads", 0),
        practices=_practices(entry, names),
        caution=entry.text("caution", ""),
    )
    entry.close()
    _check_station(entry, station)
    return station


def _practices(entry: Entry, names: Names) -> tuple[str, ...]:
    found = entry.texts("practices")
    for at, item in enumerate(found):
        if item.startswith(("module/", "paper/")):
            entry.fault(f"`{item}` cannot be practiced", "name skills only", "practices", at)
        else:
            names.check_item(entry, item, "practices", at)
        if item in found[:at]:
            entry.advise(f"`{item}` stands twice in `practices`", "name it once", "practices", at)
    return found


def _check_station(entry: Entry, station: Station) -> None:
    if station.leads and not entry.has("lead"):
        what = f"{entry.what} needs {station.leads} to lead it and has no `lead` rung, so that nobody ever leads it"
        entry.advise(what, "add `lead`, or set `leads` to 0", "leads")
    if station.is_duty:
        return
    if entry.data.get("capacity", 0) == 0:
        entry.advise("no participant fits here", 'add `capacity`, or kind = "duty"', "capacity")
    if entry.has(SUPERVISED) and not entry.has("lead"):
        what = "nobody can lead here, and supervised mentors work only under a lead"
        right = "add `lead`, or leave `supervised` out" if entry.has("independent") else "add `lead`"
        entry.advise(what, right, SUPERVISED)


def read_needs(book: Book) -> dict[str, Need]:
    """Read the support needs in the order of the file."""
    shelf: Shelf[Need] = Shelf("the need")
    for entry in book.tables("program/needs.toml", need="a need")["need"]:
        need = _need(entry, book.names)
        shelf.put(need.slug, need, entry, "slug")
    return shelf.things


def _need(entry: Entry, names: Names) -> Need:
    if entry.raw("lead") is not None:
        entry.fault("a need has no `lead` rung", "end its ladder with `independent`", "lead")
    need = Need(
        slug=entry.slug(),
        title=entry.text("title"),
        ladder=read_ladder(entry, names, RUNGS[:2], "whoever has climbed it keeps the level at the station"),
        activities=entry.words("activities"),
        mentors=entry.whole("mentors", 1, least=1, most=10),
        caution=entry.text("caution", ""),
    )
    entry.close()
    for at, tag in enumerate(need.activities):
        _check_activity(entry, names, tag, at)
    return need


def _check_activity(entry: Entry, names: Names, tag: str, at: int) -> None:
    """Report an activity that no station has: a slip of the pen is a fault, because the need would silently not bite.

    A tag that resembles none may belong to a station that is not offered this term: advice.
    """
    known = names.of["activity"]
    if names.knows("activity", tag):
        return
    slips = [one for one in get_close_matches(tag, known, 3, 0.8) if _digits(one) == _digits(tag)]
    if slips:
        entry.fault(f"no station has the activity `{tag}`", f"did you mean `{slips[0]}`?", "activities", at)
    else:
        entry.advise(f"no station has the activity `{tag}`", nearest(tag, known), "activities", at)


def _digits(tag: str) -> list[str]:
    return re.findall(r"\d+", tag)
