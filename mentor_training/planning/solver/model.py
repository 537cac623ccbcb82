"""The plan of some blocks as a linear program in whole numbers; pure.

Its variables, in this order, each 0 or 1 where nothing else is said:

- `y`: a mentor with a participant at a station in a block, one for each that is cleared and free;
- `x`: a participant gets all the mentors still wanted at a station in a block;
- `l`: a volunteer leads a station in a block;
- `o`: a station that asks for leads takes participants in a block;
- `d`: a mentor is with a participant who was covered in the block before and did not have them then, 0 or more.

A mentor is in one place in a block, a participant at one station; a station has its room and its leads, and each lead
there answers for at most so many who work supervised. Who stands already is a constant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import LEAD, MENTOR, Placed
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.rows import Indices, Numbers, Rows
from mentor_training.program.catalog import Level

Pair = tuple[int, str, str]


@dataclass(frozen=True)
class Choices:
    """Everything that could be placed in some blocks; the places of blocks, volunteers and stations are their numbers.

    `pairs` are the blocks' places, participants and stations of `x`; `of_pair`, `mentor` and `level` are of each `y`;
    `lead` has the block's place, the volunteer and the station of each `l`.
    """

    question: Question
    blocks: tuple[BlockQuestion, ...]
    pairs: tuple[Pair, ...]
    of_pair: Indices
    mentor: Indices
    level: npt.NDArray[np.uint8]
    lead: npt.NDArray[np.int64]

    @cached_property
    def wanted(self) -> Numbers:
        """Return how many mentors each `x` takes."""
        found = [self.blocks[at].still_wanted(participant, slug) for at, participant, slug in self.pairs]
        return np.array(found, dtype=np.float64)

    @cached_property
    def pair_block(self) -> Indices:
        """Return the block's place of each `x`."""
        return np.array([at for at, _, _ in self.pairs], dtype=np.int64)

    @cached_property
    def pair_participant(self) -> Indices:
        """Return the participant's place on the floor of each `x`."""
        number = {code: place for place, code in enumerate(self.question.floor.participants)}
        return np.array([number[code] for _, code, _ in self.pairs], dtype=np.int64)

    @cached_property
    def pair_station(self) -> Indices:
        """Return the station's place of each `x`."""
        number = {slug: place for place, slug in enumerate(self.question.stations)}
        return np.array([number[slug] for _, _, slug in self.pairs], dtype=np.int64)

    @cached_property
    def pair_place(self) -> Indices:
        """Return which station of which block each `x` is at, as `places` counts them."""
        return self.pair_block * len(self.question.stations) + self.pair_station

    @cached_property
    def lead_place(self) -> Indices:
        """Return which station of which block each `l` is at, as `places` counts them."""
        return np.asarray(self.lead[:, 0] * len(self.question.stations) + self.lead[:, 2], dtype=np.int64)

    @cached_property
    def comes_newly(self) -> npt.NDArray[np.bool_]:
        """Return of each `x` whether the participant does not stand in the block yet."""
        return np.array([code not in self.blocks[at].stays for at, code, _ in self.pairs], dtype=bool)

    @cached_property
    def places(self) -> tuple[tuple[BlockQuestion, str], ...]:
        """Return every station of every block."""
        return tuple((block, slug) for block in self.blocks for slug in self.question.stations)

    @cached_property
    def room(self) -> Numbers:
        """Return how many more participants each of `places` takes."""
        return np.array([block.room(slug) for block, slug in self.places], dtype=np.float64)

    @cached_property
    def leads_lacking(self) -> Numbers:
        """Return how many more leads each of `places` asks for."""
        asked = [self.question.floor.stations[slug].leads - block.leads(slug) for block, slug in self.places]
        return np.maximum(0.0, np.array(asked, dtype=np.float64))

    @cached_property
    def free_to_supervise(self) -> Numbers:
        """Return how many more who work supervised the leads at each of `places` answer for; below 0: too many do."""
        most = self.question.floor.supervised_per_lead
        found = [most * block.leads(slug) - block.supervised(slug) for block, slug in self.places]
        return np.array(found, dtype=np.float64)

    @property
    def sizes(self) -> tuple[int, int, int, int]:
        """Return how many `y`, `x`, `l` and `o` there are."""
        return len(self.mentor), len(self.pairs), len(self.lead), len(self.places)

    def only(self, mine: npt.NDArray[np.bool_]) -> Choices:
        """Return the choices with these `y` alone."""
        return replace(self, of_pair=self.of_pair[mine], mentor=self.mentor[mine], level=self.level[mine])

    def placed(self, values: Numbers) -> tuple[Placed, ...]:
        """Return the placements that a solution stands for: its mentors, then its leads."""
        floor, places = self.question.floor, self.question.stations
        mentors, pairs, leads, _ = self.sizes
        found = []
        for number in np.flatnonzero(values[:mentors] > 0.5):
            at, participant, slug = self.pairs[self.of_pair[number]]
            who, level = floor.volunteers[self.mentor[number]], int(self.level[number])
            found.append(Placed(self.blocks[at].number, slug, who, MENTOR, participant, level))
        for at, volunteer, station in self.lead[
            np.flatnonzero(values[mentors + pairs : mentors + pairs + leads] > 0.5)
        ]:
            who = floor.volunteers[volunteer]
            found.append(Placed(self.blocks[at].number, places[station], who, LEAD, None, int(Level.LEAD)))
        return tuple(found)

    def values_of(self, placed: Sequence[Placed]) -> Numbers:
        """Return the solution that stands for placements, each of which is among the choices."""
        volunteers, stations = self.question.floor.volunteers, self.question.stations
        with_whom = {(one.block, one.participant, one.station, one.mentor) for one in placed if one.role == MENTOR}
        leading = {(one.block, one.mentor, one.station) for one in placed if one.role == LEAD}
        y, x, lead, opened = (np.zeros(size) for size in self.sizes)
        for number, (pair, mentor) in enumerate(zip(self.of_pair.tolist(), self.mentor.tolist(), strict=True)):
            at, participant, slug = self.pairs[pair]
            y[number] = (self.blocks[at].number, participant, slug, volunteers[mentor]) in with_whom
        x[self.of_pair[y > 0]] = 1
        for number, (at, volunteer, station) in enumerate(self.lead.tolist()):
            lead[number] = (self.blocks[at].number, volunteers[volunteer], stations[station]) in leading
        opened[self.pair_place[x > 0]] = 1
        return np.concatenate([y, x, lead, opened])


def choices_of(question: Question, blocks: Sequence[BlockQuestion]) -> Choices:
    """Return everything that could be placed in some blocks."""
    pairs: list[Pair] = []
    of_pair, mentors, levels = [], [], []
    for at, block in enumerate(blocks):
        for participant, slug in block.asking:
            every = question.levels_at(slug, participant)
            able = np.flatnonzero((every > 0) & block.free & question.together(participant))
            if len(able) >= block.still_wanted(participant, slug) and _has_room(block, participant, slug):
                of_pair.append(np.full(len(able), len(pairs)))
                pairs.append((at, participant, slug))
                mentors.append(able)
                levels.append(every[able])
    leads = [
        (at, volunteer, place)
        for at, block in enumerate(blocks)
        for place, slug in enumerate(question.stations)
        if slug not in block.closed
        for volunteer in np.flatnonzero((question.levels_at(slug, None) >= Level.LEAD) & block.free_to_lead)
    ]
    return Choices(
        question, tuple(blocks), tuple(pairs),
        np.concatenate(of_pair) if of_pair else np.zeros(0, np.int64),
        np.concatenate(mentors) if mentors else np.zeros(0, np.int64),
        np.concatenate(levels) if levels else np.zeros(0, np.uint8),
        np.array(leads, dtype=np.int64).reshape(-1, 3),
    )  # fmt: skip


def _has_room(block: BlockQuestion, participant: str, slug: str) -> bool:
    return participant in block.stays or block.room(slug) > 0


def rows_of(choices: Choices) -> Rows:
    """Return the rules that no plan may break, as rows of the program."""
    rows = Rows()
    _teams(choices, rows)
    one_place(choices, rows)
    _room(choices, rows)
    led_to_open(choices, rows)
    _only_where_open(choices, rows)
    _supervised(choices, rows)
    return rows


def columns(choices: Choices) -> tuple[Indices, Indices, Indices, Indices]:
    """Return where the `y`, `x`, `l` and `o` stand among all variables."""
    edges = np.cumsum((0, *choices.sizes))
    y, x, lead, opened = (np.arange(first, last) for first, last in pairwise(edges))
    return y, x, lead, opened


def _teams(choices: Choices, rows: Rows) -> None:
    """A participant who is covered somewhere has all the mentors they take there, and is covered nowhere else."""
    y, x, _, _ = columns(choices)
    none = np.zeros(len(x))
    rows.add([(choices.of_pair, y, 1.0), (np.arange(len(x)), x, -choices.wanted)], none, none)
    key = choices.pair_block * len(choices.question.floor.participants) + choices.pair_participant
    found, row = np.unique(key, return_inverse=True)
    rows.at_most([(row, x, 1.0)], np.ones(len(found)))


def one_place(choices: Choices, rows: Rows) -> None:
    """A volunteer is in one place in a block: with a participant, or leading."""
    y, _, lead, _ = columns(choices)
    size = len(choices.question.floor.volunteers)
    mentors = choices.pair_block[choices.of_pair] * size + choices.mentor
    leads = choices.lead[:, 0] * size + choices.lead[:, 1]
    found, row = np.unique(np.concatenate([mentors, leads]), return_inverse=True)
    rows.at_most([(row, np.concatenate([y, lead]), 1.0)], np.ones(len(found)))


def _room(choices: Choices, rows: Rows) -> None:
    """A station has its room; whoever stands there has their place already."""
    _, x, _, _ = columns(choices)
    new = choices.comes_newly
    rows.at_most([(choices.pair_place[new], x[new], 1.0)], choices.room)


def led_to_open(choices: Choices, rows: Rows) -> None:
    """A station that lacks leads opens with all of them."""
    _, _, lead, opened = columns(choices)
    every = np.arange(len(opened))
    rows.at_most([(every, opened, choices.leads_lacking), (choices.lead_place, lead, -1.0)], np.zeros(len(opened)))


def _only_where_open(choices: Choices, rows: Rows) -> None:
    """Participants are placed where the station has its leads."""
    _, x, _, opened = columns(choices)
    bound = choices.leads_lacking[choices.pair_place] > 0
    pairs = np.arange(int(bound.sum()))
    rows.at_most([(pairs, x[bound], 1.0), (pairs, opened[choices.pair_place[bound]], -1.0)], np.zeros(len(pairs)))


def _supervised(choices: Choices, rows: Rows) -> None:
    """Each lead at a station answers for at most so many who work supervised there."""
    y, _, lead, _ = columns(choices)
    under = choices.level == Level.SUPERVISED
    # Where too many work supervised already, a further lead is theirs first.
    helps = np.where(choices.free_to_supervise[choices.lead_place] < 0, 0.0, choices.question.floor.supervised_per_lead)
    rows.at_most(
        [(choices.pair_place[choices.of_pair[under]], y[under], 1.0), (choices.lead_place, lead, -helps)],
        np.maximum(choices.free_to_supervise, 0.0),
    )
