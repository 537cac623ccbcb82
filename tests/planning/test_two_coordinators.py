"""Two coordinators, or one with two windows, at the same form: nobody overwrites what they have not seen."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.calendar.queries import session_for
from mentor_training.journal.queries import entries
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import standing_in
from tests.builders import World
from tests.planning.saturday import at, put
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
EDIT = "/sessions/s-11/edit"
PLACE = "/sessions/s-11/blocks/1/place"
DOOR = "/sessions/s-11/check-in"


@pytest.fixture(params=["c-01", "c-02"], ids=["one in two windows", "two coordinators"])
def both(floor: World, visitor: Sign, request: pytest.FixtureRequest) -> tuple[Visitor, Visitor]:
    """Sign two coordinators in, or one twice."""
    floor.add_person("c-02", "coordinator")
    return visitor("c-01"), visitor(request.param)


def test_a_stale_form_of_a_session_is_refused_with_both_versions(floor: World, both: tuple[Visitor, Visitor]) -> None:
    """The first is stored; the second sees who was quicker and what differs, and has lost nothing that was typed."""
    first, second = both
    page = second.get(EDIT).text
    assert first.send(EDIT, EDIT, title="Moved to the pool", volunteers=["v-001", "v-002"]).status_code == 303
    answer = second.fill(page, EDIT, title="Moved to the hall", participants=["p-01"])
    assert answer.status_code == 422
    wanted = ("was changed while your page was open", "Person c-01 stored this session", "Moved to the pool",
              "Moved to the hall", "Name02, Name03")  # fmt: skip
    assert [words for words in wanted if words not in answer.text] == []
    assert 'value="Moved to the hall"' in answer.text
    with floor.reading() as db:
        assert session_for(db, "s-11").title == "Moved to the pool"
    assert second.fill(answer.text, EDIT).status_code == 303
    with floor.reading() as db:
        assert session_for(db, "s-11").title == "Moved to the hall"
        assert session_for(db, "s-11").volunteers == tuple(f"v-00{number}" for number in range(1, 7))


def test_a_stale_form_with_another_mistake_stays_stale(floor: World, both: tuple[Visitor, Visitor]) -> None:
    """A missing day is asked for first; putting it right does not slip past what the other has stored."""
    first, second = both
    page = second.get(EDIT).text
    assert first.send(EDIT, EDIT, title="Moved to the pool").status_code == 303
    asked = second.fill(page, EDIT, title="Moved to the hall", day="")
    assert "Write the day." in asked.text
    assert second.fill(asked.text, EDIT, day="2026-10-17").status_code == 422
    with floor.reading() as db:
        assert session_for(db, "s-11").title == "Moved to the pool"


def test_both_writing_the_same_is_no_conflict(floor: World, both: tuple[Visitor, Visitor]) -> None:
    """Nothing would be overwritten; the session is stored once."""
    first, second = both
    page = second.get(EDIT).text
    assert first.send(EDIT, EDIT, title="Moved to the pool").status_code == 303
    assert second.fill(page, EDIT, title="Moved to the pool").status_code == 303
    with floor.reading() as db:
        assert len(entries(db, "s-11", "session")) == 2


def test_a_form_that_does_not_say_what_it_showed_is_refused(floor: World, visitor: Sign) -> None:
    """It cannot have come from this program's page, and may know nothing of what is there."""
    who = visitor("c-01")
    assert who.fill(who.get(EDIT).text, EDIT, title="Moved", seen="").status_code == 422


def test_two_who_place_somebody_with_the_same_participant_do_not_double_them(
    floor: World, both: tuple[Visitor, Visitor]
) -> None:
    """No rule forbids a second mentor; the second is told who is there now, keeps the choice, and may still send it."""
    first, second = both
    page = second.get(f"{PLACE}?participant=p-02").text
    assert first.send(f"{PLACE}?participant=p-02", PLACE, who="target-games|v-003").status_code == 303
    answer = second.fill(page, PLACE, who="target-games|v-005")
    assert answer.status_code == 422
    assert "This place was changed while your page was open" in answer.text
    assert "With them already: Person v-003, Target games." in answer.text
    with floor.reading() as db:
        assert [one.placed.mentor for one in standing_in(db, "s-11")] == ["v-003"]
    assert second.fill(answer.text, PLACE).status_code == 303
    with floor.reading() as db:
        assert [one.placed.mentor for one in standing_in(db, "s-11")] == ["v-003", "v-005"]


def test_a_change_elsewhere_in_the_block_is_no_conflict(floor: World, both: tuple[Visitor, Visitor]) -> None:
    """On the day several people place at once; only the same place asks for a second look."""
    _, second = both
    page = second.get(f"{PLACE}?participant=p-02").text
    put(floor, 1, "target-games", "v-003", "p-01")
    assert second.fill(page, PLACE, who="target-games|v-005").status_code == 303


def test_two_leads_for_one_block_ask_for_a_second_look(floor: World, both: tuple[Visitor, Visitor]) -> None:
    """Leads are a place as well."""
    first, second = both
    page = second.get(f"{PLACE}?role=lead").text
    assert first.send(f"{PLACE}?role=lead", PLACE, who="balance-lane|v-001").status_code == 303
    answer = second.fill(page, PLACE, who="target-games|v-006")
    assert answer.status_code == 422
    assert "Leading already: Person v-001, Balance lane." in answer.text


def test_taking_back_what_is_no_longer_the_last_thing_noted_is_refused(
    floor: World, both: tuple[Visitor, Visitor]
) -> None:
    """The coming is on the page, and somebody else has noted the leaving since: neither is lost."""
    first, second = both
    floor.clock.moment = at("09:40")
    check_in, out, back = (f"/sessions/s-11/{act}/volunteer/v-001" for act in ("check-in", "check-out", "take-back"))
    assert first.send(DOOR, check_in).status_code == 303
    page = second.get(DOOR).text
    assert first.send(DOOR, out).status_code == 303
    answer = second.fill(page, back)
    assert answer.status_code == 422
    assert "Your page showed the coming of v-001 as noted last; now it is: came 09:40, left 09:40." in answer.text
    with floor.reading() as db:
        assert came_to(db, "s-11")["volunteer", "v-001"].left_at is not None
    assert second.send(DOOR, back).status_code == 303
