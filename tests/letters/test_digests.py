"""What a digest says, what makes it the same thing, and how seldom it comes."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.application import create_app
from mentor_training.letters.digests import (
    About,
    Digest,
    Matter,
    due,
    may_send_today,
    retake_step,
    subject_of,
    text_of,
    untold,
)
from tests.builders import NOON, World

KEYS = st.sampled_from([f"hours/{number}" for number in range(6)])
MATTERS = st.lists(
    st.builds(
        Matter,
        about=st.sampled_from(About),
        keys=st.lists(KEYS, min_size=1, max_size=4, unique=True).map(tuple),
        text=st.just("Something waits."),
        page=st.just("/papers"),
    ),
    max_size=5,
)
MIDNIGHT = datetime(2026, 10, 16, 4, 0, tzinfo=UTC)


@given(MATTERS, st.sets(KEYS))
def test_what_was_told_is_never_a_reason_to_write_again(matters: list[Matter], told: set[str]) -> None:
    """Each matter of a mail has something new; once the mail is told, there is nothing left to say."""
    fresh = untold(matters, told)
    assert all(set(one.keys) - told for one in fresh)
    digest = Digest("v-001", "Odalys", "v-001@marrowdale.example", fresh)
    assert untold(matters, told | set(digest.keys)) == ()


def test_only_those_get_a_mail_who_want_one_and_have_something_new() -> None:
    """In the order of their codes, each with their own address."""
    matter = Matter(About.PAPER, ("paper/a",), "It ends.", "/papers")
    found = {code: [matter] for code in ("v-003", "v-001", "v-002")}
    people = {"v-003": ("C", "c@x.example"), "v-001": ("A", "a@x.example"), "v-004": ("D", "d@x.example")}
    assert due(found, {"v-003": {"paper/a"}}, people) == (Digest("v-001", "A", "a@x.example", (matter,)),)


def test_there_is_at_most_one_digest_a_day() -> None:
    """The day is the program's own: one begun at its midnight is of today, one a second before is not."""
    assert may_send_today(None, MIDNIGHT)
    assert may_send_today(MIDNIGHT - timedelta(seconds=1), MIDNIGHT)
    assert not may_send_today(MIDNIGHT, MIDNIGHT)


@pytest.mark.parametrize(("left", "step"), [(30, "new"), (8, "new"), (7, "last-week"), (0, "last-week"), (-1, "over")])
def test_a_retake_is_said_when_it_is_new_in_its_last_week_and_when_its_time_is_over(left: int, step: str) -> None:
    """The last day still belongs to the last week."""
    assert retake_step(date(2026, 10, 16) + timedelta(days=left), date(2026, 10, 16)) == step


def test_a_digest_reads_as_a_letter_and_its_subject_says_nothing_of_what_is_in_it() -> None:
    """Lines of 72 characters, addresses whole, where to turn it off; a line break in a title breaks no header."""
    long = "A session of yours: Sat 17 Oct 2026, 09:30 to 11:15, and more words that make the line longer than it is."
    matters = (
        Matter(About.SESSION, ("s",), long, "/sessions"),
        Matter(About.CARDS, ("c",), "1 card waits.", "/pairing"),
    )
    digest = Digest("v-001", "Odalys\nBrannagh", "v-001@marrowdale.example", matters)
    assert subject_of("Small\nprogram", digest) == "Small program: 2 things for you"
    text = text_of("Small program", digest, "Fri 16 Oct 2026", "https://movement-mornings.marrowdale.example")
    assert text.startswith(
        "Hello Odalys Brannagh,\n\nthis is what Small program has for you on Fri 16 Oct 2026:\n\n- A session"
    )
    assert all(len(line) <= 72 for line in text.splitlines())
    assert "- 1 card waits.\n  https://movement-mornings.marrowdale.example/pairing\n" in text
    assert "\nhttps://movement-mornings.marrowdale.example/me\n" in text


def test_every_address_in_a_mail_is_a_page_that_is_there(world: World) -> None:
    """They are written as text in a room that knows no pages."""
    pages = create_app(world.instance, testing=True).url_map.bind("localhost")
    for address in (
        "/sessions",
        "/pairing",
        "/learn/safety",
        "/papers",
        "/sign-offs",
        "/hours/sections/KIN-372-A",
        "/me",
    ):
        assert pages.match(address, method="GET")
    assert NOON > MIDNIGHT
