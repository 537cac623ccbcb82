"""The coordinator's pages about participants, through HTTP."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.journal.queries import entries
from mentor_training.participants.queries import cards_known
from tests.builders import World
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
FILE = "participant,first_name,adaptation_level,needs,keep_apart,wishes\r\np-01,Imre,2,fall-risk,,\r\n"
CARDS = "participant,version,first_day,review_by,text\r\np-01,1,2026-09-10,2026-10-15,Stay within reach.\r\n"


@pytest.fixture
def coordinator(world: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    world.add_person("c-01", "coordinator")
    return visitor("c-01")


def upload(who: Visitor, action: str, field: str, text: str) -> tuple[int, str]:
    answer = who.send("/participants", action, **{field: (io.BytesIO(text.encode()), "in.csv")})
    return answer.status_code, answer.text


def looks(world: World) -> list[tuple[str, str]]:
    with world.reading() as db:
        return [(entry.who, entry.subject) for entry in entries(db, kind="looked")]


def test_both_files_are_taken_in_by_the_page(coordinator: Visitor) -> None:
    """Participants first, then their cards; the list says whose review is overdue and shows no needs."""
    assert upload(coordinator, "/participants/import", "file", FILE)[0] == 303
    assert upload(coordinator, "/participants/cards/import", "cards", CARDS)[0] == 303
    page = coordinator.get("/participants").text
    assert "overdue" in page
    assert "Imre" in page
    assert "fall-risk" not in page


def test_a_broken_file_takes_nothing_in_and_says_everything(coordinator: Visitor) -> None:
    """Findings of one file stand at its own form."""
    status, page = upload(coordinator, "/participants/import", "file", FILE + "p-02,,0,rain,,\r\n")
    assert status == 422
    for finding in ("row 3, column first_name", "row 3, column adaptation_level", "row 3, column needs"):
        assert finding in page
    assert "No participants yet" in page
    assert upload(coordinator, "/participants/import", "file", "")[0] == 422


def test_each_look_at_a_participants_needs_is_journaled(world: World, coordinator: Visitor) -> None:
    """The list is no look; the page is one, each time it is opened."""
    world.add_participant("p-01", needs="fall-risk")
    coordinator.get("/participants")
    assert looks(world) == []
    page = coordinator.get("/participants/p-01").text
    assert "within arm&#39;s reach" in page
    coordinator.get("/participants/p-01")
    assert looks(world) == [("c-01", "p-01")] * 2


def test_nobody_but_the_coordinator_opens_participants(world: World, visitor: Sign) -> None:
    """Least is the rule, on every page of this room; nothing is journaled as a look."""
    world.add_participant("p-01", needs="fall-risk")
    for code, role in (("v-001", "volunteer"), ("o-01", "observer"), ("i-01", "course-instructor")):
        world.add_person(code, role)
        who = visitor(code)
        pages = ("/participants", "/participants/p-01", "/participants/p-01/card")
        assert [who.get(page).status_code for page in pages] == [403, 403, 403]
    assert looks(world) == []


def test_an_overdue_review_is_said_plainly_and_blames_nobody(world: World, coordinator: Visitor) -> None:
    """The page says what waits, and leads to the form that ends it."""
    world.add_participant("p-01", review_by=date(2026, 10, 15))
    page = coordinator.get("/participants/p-01").text
    assert "nobody is cleared to work with Name01" in page
    assert "No volunteer is to blame" in page
    assert "/participants/p-01/card" in page


def test_a_new_card_version_is_stored_beside_the_old(world: World, coordinator: Visitor) -> None:
    """The earlier version stays as it was."""
    world.add_participant("p-01")
    address = "/participants/p-01/card"
    answer = coordinator.send(
        address, address, text="Stand on the left.", first_day="2026-10-16", review_by="2027-01-31"
    )
    assert answer.status_code == 303
    with world.reading() as db:
        known = cards_known(db, world.clock.now(), "p-01")
    assert [(card.version, card.text) for card in known] == [(1, "Walk beside."), (2, "Stand on the left.")]


def test_a_card_with_something_wrong_keeps_what_was_typed(world: World, coordinator: Visitor) -> None:
    """A review before the first day is told in words, the words of the card are still there, nothing is stored."""
    world.add_participant("p-01")
    address = "/participants/p-01/card"
    answer = coordinator.send(address, address, text="Left side.", first_day="2026-10-16", review_by="2026-10-01")
    assert answer.status_code == 422
    assert "comes before the card begins" in answer.text
    assert "Left side." in answer.text
    assert coordinator.send(address, address, text="", first_day="", review_by="x").status_code == 422
    with world.reading() as db:
        assert len(cards_known(db, world.clock.now(), "p-01")) == 1


def test_of_two_cards_written_at_once_the_second_is_told_of_the_first(world: World, coordinator: Visitor) -> None:
    """Both pages showed version 1 as the newest; only one may follow it."""
    world.add_participant("p-01")
    address = "/participants/p-01/card"
    first, second = coordinator.get(address).text, coordinator.get(address).text
    values = {"text": "Stand on the left.", "first_day": "2026-10-16", "review_by": "2027-01-31"}
    assert coordinator.fill(first, address, **values).status_code == 303
    answer = coordinator.fill(second, address, **values | {"text": "Stand on the right."})
    assert answer.status_code == 422
    assert "Version 2 has been written meanwhile" in answer.text
    assert "Stand on the right." in answer.text
    with world.reading() as db:
        assert len(cards_known(db, world.clock.now(), "p-01")) == 2


def test_a_participant_that_is_not_there_is_not_found(coordinator: Visitor) -> None:
    """A mistyped code is answered in words."""
    assert coordinator.get("/participants/p-99").status_code == 404
