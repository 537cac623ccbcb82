"""Mending a plan on the command line."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

import click

from mentor_training.console import show_json, show_table
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.repairing import Shut, accept_repair
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.closed import REASONS
from mentor_training.planning.commands.planning import line_of, placing
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.rules import Floor, Placed
from mentor_training.planning.solver import repairing


@click.command()
@click.argument("session")
@click.option("--absent", multiple=True, help="A volunteer or participant who did not come; give it for each.")
@click.option("--closed", multiple=True, help="A station that is closed from that block on; give it for each.")
@click.option("--why", type=click.Choice(list(REASONS)), default="other", help="Why it is closed; kept with --accept.")
@click.option("--from-block", type=click.IntRange(1), default=1, help="The first block to mend; those before ran.")
@click.option("--accept", is_flag=True, help="Store what it changes; without it nothing is stored.")
@click.option("--format", "form", type=click.Choice(["table", "json"]), default="table")
@click.pass_obj
def repair(
    instance: Instance, session: str, absent: tuple[str, ...], closed: tuple[str, ...], why: str, from_block: int,
    accept: bool, form: str,
) -> None:  # fmt: skip
    """Mend the plan of SESSION when people are missing or a station is closed, with as few pairs changed as can be."""
    now = instance.now()
    with instance.database.reading() as db:
        still_open(db, session)
        found = plan_for(db, session, now)
        question = question_of(db, found, now)
    unknown = sorted({*absent} - {*found.floor.participants, *found.floor.volunteers})
    if from_block not in found.floor.blocks:
        raise click.UsageError(f"there is no block {from_block} in session {session}")
    faults = [f"not expected at session {session}: {', '.join(unknown)}"] if unknown else []
    faults += [_not_open(found.floor, session, slug) for slug in closed if slug not in found.floor.stations]
    if faults:
        raise click.UsageError("; ".join(faults))
    missing = repairing.Missing(frozenset(absent), frozenset(closed))
    shut = Shut(missing.stations, from_block, why)
    blocks = [block for block in found.floor.blocks if block >= from_block]
    mended = repairing.repair(question, missing, blocks)
    if accept:
        with instance.database.writing() as db:
            accept_repair(db, instance.now(), CONSOLE, session, mended.removed, mended.added, shut)
    if form == "json":
        show_json(repair_as_json(session, mended, accept))
    else:
        _show_repair(mended, accept)


def _not_open(floor: Floor, session: str, slug: str) -> str:
    """Say that a station is not open in the session, and which is the nearest that is."""
    near = get_close_matches(slug, floor.stations, 1, 0.4)
    nearest = f"the nearest is {near[0]}; " if near else ""
    return f"no station {slug} is open in session {session}; {nearest}open there: {', '.join(floor.stations) or 'none'}"


def repair_as_json(session: str, mended: repairing.Repair, stored: bool) -> dict[str, Any]:
    """Return what a repair changes as its documented JSON."""
    return {
        "session": session,
        "stored": stored,
        "removed": [_moved(one) for one in mended.removed],
        "added": [_moved(one) for one in mended.added],
        "kept_pairs": mended.kept_pairs,
        "lost_pairs": mended.lost_pairs,
        "proven_blocks": list(mended.proven),
        "seconds": round(mended.seconds, 3),
    }


def _moved(one: Placed) -> dict[str, Any]:
    return placing(one) | {"participant": one.participant, "role": one.role}


def _show_repair(mended: repairing.Repair, stored: bool) -> None:
    rows = [("out", *line_of(one)) for one in mended.removed] + [("in", *line_of(one)) for one in mended.added]
    show_table("table", ("", "block", "station", "participant", "mentor", "role", "level"), sorted(rows, key=str))
    proven = ", ".join(map(str, mended.proven)) or "none"
    kept = mended.kept_pairs
    click.echo(
        f"{kept} pair{'' if kept == 1 else 's'} kept, {mended.lost_pairs} not; as good as can be in blocks: {proven}"
    )
    click.echo("stored" if stored else "nothing is stored; --accept stores it")
