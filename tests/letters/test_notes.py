"""The rules of a mid-term note: what is done each week, and places at which somebody stands alike."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.hours.toward import ON_COURSE, WILL_MISS, Ahead
from mentor_training.letters.notes import Note, Place, alike
from tests.builders import FRIDAY


def ahead(required: int, done: int) -> Ahead:
    return Ahead("direct", required, done, 0, 0, None, None, ON_COURSE)


def note(last_day: date | None) -> Note:
    return Note("v-001", "Odalys", "A", "", FRIDAY, "", last_day, (), (), (), (), (), 0)


@given(required=st.integers(0, 10_000), done=st.integers(0, 10_000), left=st.integers(1, 200))
def test_so_many_minutes_a_week_are_enough_and_one_less_is_not(required: int, done: int, left: int) -> None:
    """Over the days that are left, a week being seven of them; nothing where nothing is to be done."""
    week = note(FRIDAY + timedelta(days=left)).a_week(ahead(required, done))
    to_do = max(0, required - done)
    assert week * left >= to_do * 7
    assert week == 0 or (week - 1) * left < to_do * 7
    assert (week == 0) == (to_do == 0)


def test_without_a_day_left_no_week_is_said() -> None:
    """No term, its last day, or after it."""
    for last in (None, FRIDAY, FRIDAY - timedelta(days=1)):
        assert note(last).a_week(ahead(600, 0)) == 0


PLACES = st.lists(
    st.builds(
        Place,
        st.tuples(st.sampled_from("abcdefgh")),
        st.integers(0, 3),
        st.sampled_from(("", "lead")),
        st.sampled_from(((), ("hold x",))),
    )
)


@given(places=PLACES)
def test_places_put_together_lose_none_and_stand_by_level(places: list[Place]) -> None:
    """Each title is said as often as it came, beside the same words; no two lines say the same."""
    found = alike(places)
    flat = [(title, one.level, one.next_level, one.lacks) for one in found for title in one.titles]
    assert sorted(flat) == sorted((one.titles[0], one.level, one.next_level, one.lacks) for one in places)
    assert [one.level for one in found] == sorted(one.level for one in found)
    assert len({(one.level, one.next_level, one.lacks) for one in found}) == len(found)


def test_a_note_says_what_becomes_of_hours_as_it_looks() -> None:
    """With how much will be missing, where that is known; a day after the term is too late, its last is not."""
    last = FRIDAY + timedelta(days=30)
    miss = Ahead("direct", 600, 60, 0, 0, None, None, WILL_MISS)
    assert note(last).outlook(miss) == "As it looks, 9.00 h will be missing."
    assert note(last).outlook(ahead(600, 60)) == "It is on course."
    assert note(last).is_too_late(last + timedelta(days=1))
    assert not note(last).is_too_late(last)
    assert not note(None).is_too_late(last)
