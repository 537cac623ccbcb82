"""Who comes to which block, by what was said of a term, a day or a session."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.availability import (
    CAN,
    CANNOT,
    DAY,
    PERSON,
    SESSION,
    TERM,
    UNSAID,
    Said,
    answer_for,
    blocks_missed,
    deciding,
    read_answer,
    read_spans,
    write_spans,
)
from mentor_training.calendar.availability_file import (
    COLUMNS,
    KnownCodes,
    read_availability,
    rows_in_force,
)
from mentor_training.calendar.rules import minutes_of, time_of
from mentor_training.calendar.terms import TermFact
from mentor_training.csv_form import write_rows
from tests.planning.saturday import SATURDAY, session

FALL = TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 18))
KNOWN = KnownCodes(
    {"person": frozenset({"v-001"}), "participant": frozenset({"p-01"})},
    {"term": frozenset({"fall"}), "session": frozenset({"s-11"})},
)
MINUTES = st.integers(0, 1439)
SPANS = st.lists(st.tuples(MINUTES, MINUTES).filter(lambda one: one[0] < one[1]), min_size=1, max_size=5)


def said(*told: tuple[str, str, str]) -> list[Said]:
    """Return sayings in their order, each about something and with an answer."""
    at = datetime(2026, 10, 1, tzinfo=UTC)
    return [Said(number, PERSON, "v-001", *one, at, "v-001") for number, one in enumerate(told, 1)]


def missed(told: Sequence[Said]) -> tuple[int, ...]:
    found = session()
    return blocks_missed(deciding(told, PERSON, "v-001", found, [FALL]), found)


# The small Saturday has blocks from 09:50 to 10:02 and from 10:05 to 10:17.
@pytest.mark.parametrize(
    ("told", "blocks"),
    [
        ([], ()),
        ([(TERM, "fall", CANNOT)], (1, 2)),
        ([(TERM, "fall", "SA 09:00-10:02")], (2,)),
        ([(TERM, "fall", "SA 09:00-10:01")], (1, 2)),
        ([(TERM, "fall", "TU 09:00-12:00")], (1, 2)),
        ([(TERM, "spring", CANNOT)], ()),
        ([(TERM, "fall", CANNOT), (SESSION, "s-11", CAN)], ()),
        ([(SESSION, "s-11", CAN), (TERM, "fall", CANNOT)], ()),
        ([(SESSION, "s-11", CAN), (DAY, "2026-10-17", CANNOT)], (1, 2)),
        ([(DAY, "2026-10-17", CANNOT), (SESSION, "s-11", "blocks 2")], (1,)),
        ([(DAY, "2026-10-17", CANNOT), (SESSION, "s-11", CAN), (SESSION, "s-11", UNSAID)], (1, 2)),
        ([(DAY, "2026-10-17", CANNOT), (DAY, "2026-10-17", UNSAID)], ()),
        ([(DAY, "2026-10-17", "10:05-12:00")], (1,)),
        ([(DAY, "2026-10-18", CANNOT)], ()),
        ([(SESSION, "s-12", CANNOT)], ()),
    ],
)
def test_what_was_said_decides_block_by_block(told: list[tuple[str, str, str]], blocks: tuple[int, ...]) -> None:
    """The session and its day go before the term, of these the last said counts; what is taken back says nothing."""
    assert missed(said(*told)) == blocks


def test_what_somebody_else_said_decides_nothing() -> None:
    """Nor does what was said of a participant with the same code."""
    other = Said(1, "participant", "v-001", SESSION, "s-11", CANNOT, datetime(2026, 10, 1, tzinfo=UTC), "c-01")
    assert missed([other]) == ()


@pytest.mark.parametrize(
    ("about", "text", "answer"),
    [
        (TERM, "can", "can"),
        (TERM, " SA 09:00-10:00 ; SA 10:00-12:00;MO 08:00-09:00", "MO 08:00-09:00;SA 09:00-12:00"),
        (TERM, "SA", None),
        (TERM, "09:00-12:00", None),
        (TERM, "", None),
        (DAY, "11:00-12:00;09:00-10:00", "09:00-10:00;11:00-12:00"),
        (DAY, "12:00-11:00", None),
        (DAY, "09:00-25:00", None),
        (DAY, "blocks 1", None),
        (SESSION, "blocks 3;1;3", "blocks 1;3"),
        (SESSION, "blocks 0", None),
        (SESSION, "maybe", None),
    ],
)
def test_an_answer_has_one_way_of_being_written(about: str, text: str, answer: str | None) -> None:
    """So that the same said twice is known to be the same."""
    assert read_answer(about, text) == answer
    assert answer is None or read_answer(about, answer) == answer


@given(SPANS, MINUTES)
def test_times_put_together_hold_the_same_minutes(spans: list[tuple[int, int]], minute: int) -> None:
    """Overlapping and touching ones are made one, and none is lost or won: held to a minute-by-minute model."""
    found = read_spans(write_spans((time_of(one), time_of(other)) for one, other in spans))
    assert found is not None
    assert any(minutes_of(starts) <= minute < minutes_of(ends) for starts, ends in found) == any(
        one <= minute < other for one, other in spans
    )
    assert all(one[1] < other[0] for one, other in pairwise(found))


@given(st.sets(st.integers(1, 2)))
def test_the_answer_for_some_blocks_is_read_as_those_blocks(there: set[int]) -> None:
    """All of them is `can`, none is `cannot`."""
    found = session()
    answer = answer_for(found, there)
    assert read_answer(SESSION, answer) == answer
    assert set(missed(said((SESSION, "s-11", answer)))) == {1, 2} - there


def test_a_file_says_what_is_wrong_by_row_and_column() -> None:
    """All at once."""
    text = "kind,code,about,which,answer\r\nperson,v-001,term,fall,SA 9-12\r\nperson,v-077,day,2026-13-01,cannot\r\n"
    text += "pet,x,session,s-77,can\r\nparticipant,p-01,session,s-11,blocks 1\r\nparticipant,p-01,session,s-11,can\r\n"
    text += "person,v-001,week,x,can\r\n"
    found = [str(one) for one in read_availability(text, KNOWN)[1]]
    wanted = (
        "row 2, column answer: 'SA 9-12' says nothing about a term; write can, cannot",
        "row 3, column code: there is no person 'v-077'",
        "row 3, column which: '2026-13-01' is no day",
        "row 4, column kind: 'pet' is none; write person or participant",
        "row 4, column which: there is no session 's-77'",
        "row 6, column which: row 5 speaks about the same already",
        "row 7, column about: 'week' is none; write term, day or session",
    )
    assert [words for words in wanted if not any(one.startswith(words) for one in found)] == []
    assert len(found) == len(wanted)


def test_what_is_written_out_is_what_counts_and_comes_in_again() -> None:
    """What was taken back is left out, and of one thing only the last."""
    told = said((TERM, "fall", CAN), (TERM, "fall", "SA 09:00-12:00"), (DAY, str(SATURDAY), CANNOT),
                (DAY, str(SATURDAY), UNSAID), (SESSION, "s-11", "blocks 2"))  # fmt: skip
    text = write_rows(COLUMNS, rows_in_force(told))
    rows, problems = read_availability(text, KNOWN)
    assert problems == []
    assert [(row.about, row.answer) for row in rows] == [("session", "blocks 2"), ("term", "SA 09:00-12:00")]
