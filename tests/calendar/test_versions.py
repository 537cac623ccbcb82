"""What a form showed against what is there now."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.versions import Difference, differences, seal
from tests.planning.saturday import session

CODES = st.lists(st.sampled_from([f"v-{number:03}" for number in range(6)]), unique=True).map(tuple)


def test_only_what_differs_is_named() -> None:
    """Of people only those who are in one version and not in the other."""
    now = session()
    written = replace(now, title="Moved", volunteers=("v-001", "v-009"))
    gone = tuple(code for code in now.volunteers if code != "v-001")
    assert differences(now, written) == (
        Difference("title", (now.title,), ("Moved",)),
        Difference("volunteers", gone, ("v-009",)),
    )


@given(CODES, CODES)
def test_versions_differ_exactly_where_their_people_do(one: tuple[str, ...], other: tuple[str, ...]) -> None:
    """And what is only in one, with what is in both, is that one."""
    now, written = replace(session(), volunteers=one), replace(session(), volunteers=other)
    found = differences(now, written)
    assert bool(found) == (set(one) != set(other))
    for difference in found:
        assert set(difference.now) == set(one) - set(other)
        assert set(difference.written) == set(other) - set(one)


def test_a_seal_stands_for_what_is_shown() -> None:
    """The same again gives the same; any detail another."""
    assert seal(session()) == seal(session())
    assert seal(session()) != seal(replace(session(), title="Moved"))
