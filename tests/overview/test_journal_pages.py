"""The journal as the coordinator reads it, through HTTP."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta

import pytest

from mentor_training.journal.queries import head
from tests.builders import NOON, World
from tests.journal.test_stored import fill, tamper
from tests.overview.test_my_path import words_of
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]


@pytest.fixture
def coordinator(world: World, visitor: Visit) -> Visitor:
    """Give a coordinator with 121 entries: her own account, and 120 more a minute apart from noon on."""
    world.add_person("c-01", "coordinator", name="Wilhelmina Quarrie")
    fill(world, 120)
    world.clock.moment = NOON + timedelta(days=3)
    return visitor("c-01")


def numbers(page: str) -> list[int]:
    """Return the numbers of the entries shown."""
    return [int(one) for one in re.findall(r'id="entry-(\d+)"', page)]


def link(page: str, label: str) -> str:
    """Return where a link with these words leads."""
    found = re.search(rf'href="([^"]+)"[^>]*>{label}</a>', page)
    assert found, label
    return found[1].replace("&amp;", "&")


def test_the_newest_come_first_page_by_page(coordinator: Visitor) -> None:
    """Fifty to a page; older and newer lead on and back."""
    page = coordinator.get("/journal").text
    assert "121 entries." in words_of(page)
    assert numbers(page) == list(range(121, 71, -1))
    second = coordinator.get(link(page, "Older")).text
    assert numbers(second) == list(range(71, 21, -1))
    assert numbers(coordinator.get(link(second, "Older")).text) == list(range(21, 0, -1))
    assert numbers(coordinator.get(link(second, "Newer")).text) == list(range(121, 71, -1))


def test_entries_are_filtered_by_subject_and_kind(coordinator: Visitor) -> None:
    """And the pages beside keep the filter."""
    page = coordinator.get("/journal?subject=v-001&kind=noted").text
    assert "20 entries of the kind noted about v-001" in words_of(page)
    assert len(numbers(page)) == 20
    seen = coordinator.get("/journal?kind=seen").text
    assert "kind=seen" in link(seen, "Older")


def test_a_record_reads_as_words_and_who_as_a_name(coordinator: Visitor) -> None:
    """The canonical JSON is taken apart; codes of people are shown by name."""
    page = words_of(coordinator.get("/journal?kind=person").text)
    assert "console person Wilhelmina Quarrie roles coordinator" in page


def test_the_same_entries_come_as_csv_with_their_hashes(coordinator: Visitor, world: World) -> None:
    """All that fit, not a page of them, so that anybody can prove the chain by other means."""
    answer = coordinator.get("/journal.csv?kind=noted")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert answer.content_type.startswith("text/csv")
    assert len(rows) == 60
    with world.reading() as db:
        assert next(csv.DictReader(io.StringIO(coordinator.get("/journal.csv").text)))["hash"] == head(db)


def test_a_day_looked_at_ends_the_journal_there(coordinator: Visitor) -> None:
    """What was recorded through that day, or by that moment."""
    assert "No entry fits" in coordinator.get("/journal?on=2026-10-15").text
    assert "121 entries up to Fri 16 Oct 2026, 23:59" in words_of(coordinator.get("/journal?on=2026-10-16").text)
    found = coordinator.get("/journal?known_at=2026-10-16T16:09:00Z").text
    assert numbers(found) == list(range(11, 0, -1))


def test_the_chain_is_proved_on_a_page(coordinator: Visitor, world: World) -> None:
    """With its head, and whether a head noted elsewhere is in it."""
    with world.reading() as db:
        newest = head(db)
    page = coordinator.get(f"/journal/proof?head={newest}").text
    assert "The chain holds" in page
    assert newest in page
    assert "It is in the chain" in page
    assert "It is not in the chain" in coordinator.get(f"/journal/proof?head={'a' * 64}").text


def test_a_broken_chain_is_said_on_the_page(coordinator: Visitor, world: World) -> None:
    """With the entry, and what to do."""
    tamper(world, "UPDATE journal_entry SET who = 'v-001' WHERE number = 40")
    page = words_of(coordinator.get("/journal/proof").text)
    assert "The chain is broken" in page
    assert "It breaks at entry 40" in page
    assert "Entries that hold 39" in page


@pytest.mark.parametrize("words", ["x", "-3", "1" * 30, "٣"])
def test_a_page_that_cannot_be_is_answered_with_what_would_be_right(coordinator: Visitor, words: str) -> None:
    """A mistyped address is no crash."""
    answer = coordinator.get(f"/journal?from={words}")
    assert answer.status_code == 400
    assert "is not the number of an entry" in answer.text


@pytest.mark.parametrize("roles", ["volunteer", "observer", "course-instructor"])
def test_the_journal_is_the_coordinators(world: World, visitor: Visit, roles: str) -> None:
    """Nobody else reads what was decided about others."""
    world.add_person("x-01", roles)
    for address in ("/journal", "/journal.csv", "/journal/proof"):
        assert visitor("x-01").get(address).status_code == 403
