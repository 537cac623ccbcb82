"""Who may be present at a station as a shadow: counts for nothing and touches nobody; pure."""

from __future__ import annotations

from collections.abc import Collection

from mentor_training.planning.rules import Floor, Placed


def shadow_refusals(
    floor: Floor, placed: Collection[Placed], block: int, station: str, who: str, may_watch: bool
) -> tuple[str, ...]:
    """Return, in words, why somebody may not shadow at a station in a block; empty when they may.

    A shadow is allowed on the floor (`may_watch`: the entry requirement met, no stand-down or restriction there), is
    expected, works nowhere else in that block, and is kept apart from nobody who is there. Rules of this program.
    """
    name, where = floor.call(who), floor.title(station)
    here = [one for one in placed if one.block == block]
    faults = [] if block in floor.blocks else [f"The session has no block {block}."]
    if station not in floor.stations:
        faults.append(f"{where} is not open in this session.")
    if (block, station) in floor.closed:
        faults.append(floor.closed_in_words(block, station))
    if who not in floor.volunteers:
        faults.append(f"{name} is not expected at this session.")
    if not may_watch:
        faults.append(f"{name} may not be on the floor at {where}, as a shadow neither.")
    faults += [f"{name} works at {floor.title(one.station)} in this block." for one in here if one.mentor == who]
    if (block, who) in floor.elsewhere:
        faults.append(f"{name} is placed in session {floor.elsewhere[block, who]} at this time already.")
    there = {one.participant for one in here if one.station == station and one.participant}
    apart = sorted(code for code in there if who in floor.keep_apart.get(code, ()))
    faults += [f"{name} and {floor.call(code)} are kept apart." for code in apart]
    return tuple(faults)
