"""Blocks of a session: cut, read, written, and what is wrong with them."""

from __future__ import annotations

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.rules import (
    SessionFact,
    equal_blocks,
    minutes_of,
    read_blocks,
    session_faults,
    time_of,
    write_blocks,
)

HALF_PAST_NINE, QUARTER_PAST_ELEVEN = time(9, 30), time(11, 15)


def session(blocks: str, starts: time = HALF_PAST_NINE, ends: time = QUARTER_PAST_ELEVEN) -> SessionFact:
    found = read_blocks(blocks, starts, ends) or ()
    return SessionFact("s-11", "Week 6", date(2026, 10, 17), starts, ends, found, (), (), (), ())


def test_blocks_are_read_as_they_are_written() -> None:
    """The spans of the file come back unchanged, with gaps between them kept."""
    text = "09:50-10:02;10:05-10:17;10:20-10:32;10:35-10:47"
    blocks = read_blocks(text, HALF_PAST_NINE, QUARTER_PAST_ELEVEN)
    assert blocks is not None
    assert write_blocks(blocks) == text
    assert [block.number for block in blocks] == [1, 2, 3, 4]


def test_a_whole_number_cuts_that_many_equal_blocks() -> None:
    """105 minutes in four: 26 whole minutes each, and the odd one stays free at the end."""
    blocks = read_blocks("4", HALF_PAST_NINE, QUARTER_PAST_ELEVEN)
    assert blocks is not None
    assert write_blocks(blocks) == "09:30-09:56;09:56-10:22;10:22-10:48;10:48-11:14"


@given(st.integers(0, 1438), st.integers(1, 600), st.integers(1, 24))
def test_equal_blocks_are_equal_and_lie_inside(start: int, length: int, count: int) -> None:
    """Whatever the session, its blocks follow each other without a gap and leave less than a minute a block unused."""
    starts, ends = time_of(start), time_of(min(start + length, 1439))
    blocks = equal_blocks(starts, ends, count)
    whole = minutes_of(ends) - minutes_of(starts)
    assert len(blocks) == (count if whole >= count else 0)
    if blocks:
        assert {minutes_of(one.ends) - minutes_of(one.starts) for one in blocks} == {whole // count}
        assert blocks[0].starts == starts
        assert 0 <= minutes_of(ends) - minutes_of(blocks[-1].ends) < count
        assert not session_faults(SessionFact("s", "t", date(2026, 1, 1), starts, ends, blocks, (), (), (), ()))


@pytest.mark.parametrize("text", ["", "0", "25", "09:50", "9:50-10:02", "09:50-24:01", "09:50-10:02;x", "09:50-10:02;"])
def test_what_is_neither_spans_nor_a_number_is_not_read(text: str) -> None:
    """None, so that the caller says what would be right."""
    assert read_blocks(text, HALF_PAST_NINE, QUARTER_PAST_ELEVEN) is None


@pytest.mark.parametrize(
    ("blocks", "what"),
    [
        ("09:50-10:05;10:02-10:17", "block 2 begins before block 1 has ended"),
        ("09:20-09:50", "block 1 lies outside the session"),
        ("11:00-11:20", "block 1 lies outside the session"),
        ("10:10-10:00", "block 1 ends before it begins"),
    ],
)
def test_blocks_lie_inside_the_session_one_after_the_other(blocks: str, what: str) -> None:
    """Otherwise a participant would be in two blocks at once, or in one with nobody there."""
    assert [fault.what for fault in session_faults(session(blocks))] == [what]


def test_a_session_ends_after_it_begins_and_has_a_block() -> None:
    """Both findings at once."""
    assert [fault.detail for fault in session_faults(session("1", time(11, 0), time(11, 0)))] == ["ends", "blocks"]
