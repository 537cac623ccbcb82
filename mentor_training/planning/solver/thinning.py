"""Fewer choices of the same floor, so that a large one is quick; what they give is a plan of the whole; pure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from mentor_training.planning.solver.model import Choices
from mentor_training.planning.solver.rows import Numbers
from mentor_training.program.catalog import Level

# A floor with no more placements to choose among than this is asked as it is.
MOST_ASKED_WHOLE = 30_000
STATIONS_EACH, STATIONS_EACH_OF_LARGE = 2, 3


def thinned(choices: Choices, favored: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Return which pairs to keep: for each participant the stations with most who are independent, and what is favored.

    `favored` is of each `y`. A floor too large to be asked whole afterwards keeps more.

    Stations that are as good are taken in turn, from participant to participant, so that no station is everybody's.
    """
    pairs = len(choices.pairs)
    good = np.bincount(choices.of_pair, weights=choices.level >= Level.INDEPENDENT, minlength=pairs)
    enough = np.minimum(good / choices.wanted, 2.0)
    turn = (choices.pair_station - choices.pair_participant) % max(1, len(choices.question.stations))
    order = np.lexsort((turn, -enough, choices.pair_participant, choices.pair_block))
    keep = np.zeros(pairs, dtype=bool)
    each = STATIONS_EACH if len(choices.mentor) <= MOST_ASKED_WHOLE else STATIONS_EACH_OF_LARGE
    keep[order[_rank_in_group(choices, order) < each]] = True
    best_of_favored = np.zeros(pairs, dtype=bool)
    best_of_favored[choices.of_pair[favored & (choices.level >= Level.INDEPENDENT)]] = True
    return keep | best_of_favored & (_favored_rank(choices, order, best_of_favored) < each)


def _rank_in_group(choices: Choices, order: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Return the rank of each pair in its order among the pairs of the same participant and block."""
    key = choices.pair_block[order] * len(choices.question.floor.participants) + choices.pair_participant[order]
    begins = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]])) if len(key) else np.zeros(0, np.int64)
    sizes = np.diff(np.concatenate([begins, [len(key)]]))
    return np.arange(len(key)) - np.repeat(begins, sizes)


def _favored_rank(
    choices: Choices, order: npt.NDArray[np.int64], favored: npt.NDArray[np.bool_]
) -> npt.NDArray[np.int64]:
    among = order[favored[order]]
    rank = np.full(len(choices.pairs), len(choices.pairs))
    rank[among] = _rank_in_group(choices, among)
    return rank


def chosen(choices: Choices, keep: npt.NDArray[np.bool_]) -> Choices:
    """Return the choices with these pairs alone."""
    new, mine = np.cumsum(keep) - 1, keep[choices.of_pair]
    pairs = tuple(pair for pair, kept in zip(choices.pairs, keep, strict=True) if kept)
    return replace(choices.only(mine), pairs=pairs, of_pair=new[choices.of_pair[mine]])


def widened(choices: Choices, keep: npt.NDArray[np.bool_], values: Numbers) -> Numbers:
    """Return a solution of the chosen pairs alone as one of all choices."""
    mine = keep[choices.of_pair]
    mentors, pairs = int(mine.sum()), int(keep.sum())
    found = np.zeros(sum(choices.sizes))
    found[: len(mine)][mine] = values[:mentors]
    found[len(mine) : len(mine) + len(keep)][keep] = values[mentors : mentors + pairs]
    found[len(mine) + len(keep) :] = values[mentors + pairs :]
    return found
