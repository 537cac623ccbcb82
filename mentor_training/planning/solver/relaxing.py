"""A floor asked without its stations, so that what no plan of some blocks can reach is known in a moment; pure.

Who may work with somebody anywhere may do so here, at their best level; of the stations only their leads and the room
of those that are open count, block by block. Every plan is one of this floor too: nothing that this cannot reach can
be reached there, among plans that are as good by the aims before.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mentor_training.planning.solver.model import Choices, columns, led_to_open, one_place
from mentor_training.planning.solver.rows import Indices, Rows
from mentor_training.program.catalog import Level


def merged(choices: Choices) -> Choices:
    """Return the choices with one pair for each participant and block: the one where they take fewest mentors."""
    first, of_first = _groups(choices)
    volunteers = len(choices.question.floor.volunteers)
    key = of_first[choices.of_pair] * volunteers + choices.mentor
    found, row = np.unique(key, return_inverse=True)
    level = np.zeros(len(found), dtype=np.uint8)
    np.maximum.at(level, row, choices.level)
    return replace(
        choices, pairs=tuple(choices.pairs[one] for one in first), of_pair=found // volunteers,
        mentor=found % volunteers, level=level,
    )  # fmt: skip


def _groups(choices: Choices) -> tuple[Indices, Indices]:
    """Return the pair with the smallest team of each participant and block, and of each pair the place of that one."""
    key = choices.pair_block * len(choices.question.floor.participants) + choices.pair_participant
    order = np.lexsort((choices.wanted, key))
    _, begins, group = np.unique(key[order], return_index=True, return_inverse=True)
    of_first = np.zeros(len(key), dtype=np.int64)
    of_first[order] = group
    return order[begins], of_first


def relaxed_rows(whole: Choices, few: Choices) -> Rows:
    """Return what holds of every plan whatever the stations; `few` are the merged choices of `whole`."""
    rows = Rows()
    _teams(whole, few, rows)
    one_place(few, rows)
    led_to_open(few, rows)
    _room(few, rows)
    _somewhere_open(whole, few, rows)
    _supervised(few, rows)
    return rows


def _teams(whole: Choices, few: Choices, rows: Rows) -> None:
    """Who is covered has the mentors of their smallest team at the least, and of their largest at the most."""
    y, x, _, _ = columns(few)
    none, every = np.zeros(len(x)), np.arange(len(x))
    _, of_first = _groups(whole)
    largest = np.zeros(len(x))
    np.maximum.at(largest, of_first, whole.wanted)
    rows.at_most([(every, x, few.wanted), (few.of_pair, y, -1.0)], none)
    rows.at_most([(few.of_pair, y, 1.0), (every, x, -largest)], none)


def _room(few: Choices, rows: Rows) -> None:
    """The open stations of a block have room for all who come newly."""
    _, x, _, opened = columns(few)
    block = np.arange(len(opened)) // len(few.question.stations)
    closed, new = few.leads_lacking > 0, few.comes_newly
    always = np.bincount(block, weights=np.where(closed, 0.0, few.room), minlength=len(few.blocks)).astype(np.float64)
    rows.at_most([(few.pair_block[new], x[new], 1.0), (block[closed], opened[closed], -few.room[closed])], always)


def _somewhere_open(whole: Choices, few: Choices, rows: Rows) -> None:
    """Whoever is covered has an open station among theirs."""
    _, x, _, opened = columns(few)
    _, of_first = _groups(whole)
    closed = whole.leads_lacking[whole.pair_place] > 0
    anywhere = np.zeros(len(x))
    np.maximum.at(anywhere, of_first, np.where(closed, 0.0, 1.0))
    rows.at_most([(np.arange(len(x)), x, 1.0), (of_first[closed], opened[whole.pair_place[closed]], -1.0)], anywhere)


def _supervised(few: Choices, rows: Rows) -> None:
    """The leads of a block answer for at most so many who work supervised, at whichever station."""
    y, _, lead, opened = columns(few)
    under, most = few.level == Level.SUPERVISED, float(few.question.floor.supervised_per_lead)
    block = np.arange(len(opened)) // len(few.question.stations)
    free = np.bincount(block, weights=np.maximum(few.free_to_supervise, 0.0), minlength=len(few.blocks)).astype(
        np.float64
    )
    rows.at_most([(few.pair_block[few.of_pair[under]], y[under], 1.0), (few.lead[:, 0], lead, -most)], free)
