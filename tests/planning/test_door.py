"""The list at the door: by a name or by a name tag, once, and what is said of somebody who is not expected."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.journal.queries import entries
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.tags import code_as_written, code_on_tag
from tests.builders import World
from tests.planning.saturday import at
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
DOOR = "/sessions/s-11/check-in"


def came(world: World) -> list[tuple[str, str]]:
    with world.reading() as db:
        return sorted(came_to(db, "s-11"))


@pytest.fixture
def observer(floor: World, visitor: Sign) -> Visitor:
    """Sign the session's observer in, at twenty to ten on the day."""
    floor.clock.moment = at("09:40")
    return visitor("o-01")


def test_a_tag_says_whose_it_is_by_its_address_or_by_the_code_typed() -> None:
    """Any other text is no tag: another site's, another page's, or nothing."""
    begins = "https://gym.example/observe/"
    assert code_on_tag(" v - 014 ", begins) == "v-014"
    assert code_on_tag(f" {begins}v-014\n", begins) == code_on_tag("v-014", begins) == "v-014"
    for text in ("", "https://elsewhere.example/observe/v-014", "https://gym.example/sheets/guarding", "v-1/2"):
        assert code_on_tag(text, begins) is None


def test_a_tag_scanned_twice_counts_once_and_says_so(floor: World, observer: Visitor) -> None:
    """With since when and by whom; one journal entry."""
    tag = f"{floor.instance.settings.address}/observe/v-002"
    answer = observer.send(DOOR, DOOR, tag=tag, scan="on")
    assert (answer.status_code, answer.location) == (303, f"{DOOR}?scan=on&just=v-002")
    assert "Person v-002 is here." in observer.get(answer.location).text
    floor.clock.forward(minutes=1)
    observer.send(DOOR, DOOR, tag="v-002")
    assert "Person v-002 was checked in already, at 09:40 by Person o-01." in observer.get(DOOR).text
    assert "came 09:40; noted by Person o-01" in observer.get(DOOR).text
    assert came(floor) == [("volunteer", "v-002")]
    with floor.reading() as db:
        assert len(entries(db, kind="came")) == 1


def test_a_name_pressed_on_a_list_that_others_have_overtaken_says_since_when(floor: World, observer: Visitor) -> None:
    """Two at one door: the second press changes nothing."""
    stale = observer.get(DOOR).text
    observer.send(DOOR, f"{DOOR}/participant/p-01")
    floor.clock.forward(minutes=2)
    assert observer.fill(stale, f"{DOOR}/participant/p-01").status_code == 303
    assert "Name01 was checked in already, at 09:40" in observer.get(DOOR).text


def test_a_participant_is_checked_in_by_their_code_as_well(floor: World, observer: Visitor) -> None:
    """Participants wear no tag; the code on the list does."""
    observer.send(DOOR, DOOR, tag="p-02")
    assert came(floor) == [("participant", "p-02")]


@pytest.mark.parametrize("typed", ["V-003", " v-003 ", "V - 0 03", "v 003"])
def test_a_code_is_taken_in_any_case_and_with_spaces(floor: World, observer: Visitor, typed: str) -> None:
    """A phone writes a capital of its own accord; somebody not expected is told apart all the same."""
    answer = observer.send(DOOR, DOOR, tag=typed)
    assert answer.status_code == 303
    with floor.reading() as db:
        assert ("volunteer", "v-003") in came_to(db, "s-11")
    floor.add_person("v-031")
    assert observer.send(DOOR, DOOR, tag="V-031").location.endswith("/unexpected/v-031")


def test_a_code_that_is_there_in_both_cases_is_the_one_that_was_typed() -> None:
    """Else the only one that is like it; nobody is guessed, and a code of nobody is itself."""
    assert code_as_written("V-1", ("v-1", "V-1")) == "V-1"
    assert code_as_written("v1", ("V-1", "v-01")) == "V-1"
    assert code_as_written("a12", ("a-12", "a1-2")) == "a12"
    assert code_as_written("x-9", ("v-1",)) == "x-9"


def test_another_code_is_no_tag_and_checks_nobody_in(floor: World, observer: Visitor) -> None:
    """Refused with what to do."""
    answer = observer.send(DOOR, DOOR, tag="https://elsewhere.example/observe/v-002")
    assert answer.status_code == 422
    assert "This is no name tag of this program." in answer.text
    assert came(floor) == []


def test_who_is_not_expected_is_named_to_the_coordinator_alone_who_can_put_them_on_the_list(
    floor: World, observer: Visitor, visitor: Sign
) -> None:
    """An observer sees the code that they scanned, and that the coordinator can help."""
    floor.add_person("v-031", name="Hadrian Lisle")
    shown = observer.get(observer.send(DOOR, DOOR, tag="v-031", scan="on").location).text
    assert "v-031 is not on the list" in shown.replace("\n", " ")
    assert "Hadrian" not in shown
    assert "The coordinator can put them on the list." in shown
    offer = f"{DOOR}/unexpected/v-031"
    assert observer.client.post(offer).status_code in (400, 403)
    coordinator = visitor("c-01")
    assert "Hadrian Lisle" in coordinator.get(offer).text
    assert coordinator.send(offer, offer).status_code == 303
    assert "Expected from now on. Hadrian Lisle is here." in coordinator.get(DOOR).text
    assert came(floor) == [("volunteer", "v-031")]


def test_nobody_is_put_on_the_list_who_is_no_volunteer(floor: World, observer: Visitor, visitor: Sign) -> None:
    """An observer's own tag, or a code of nobody."""
    coordinator = visitor("c-01")
    offer = f"{DOOR}/unexpected/o-02"
    answer = coordinator.send(offer, offer)
    assert answer.status_code == 422
    assert "no volunteer of this program" in answer.text
    assert "There is nobody with this code" in coordinator.get(f"{DOOR}/unexpected/v-999").text


def test_late_and_early_are_said_with_the_blocks_that_they_cost(floor: World, observer: Visitor) -> None:
    """Block 1 is 9:50 to 10:02, block 2 10:05 to 10:17; who is missing is said once the first has begun."""
    assert "not here yet" not in observer.get(DOOR).text
    observer.send(DOOR, f"{DOOR}/volunteer/v-001")
    floor.clock.moment = at("10:03")
    observer.send(DOOR, f"{DOOR}/volunteer/v-002")
    observer.send(DOOR, "/sessions/s-11/check-out/volunteer/v-001")
    page = " ".join(observer.get(DOOR).text.split())
    assert "not here yet" in page
    late, early = (page.partition(f'id="{who}"')[2].partition("</li>")[0] for who in ("v-002", "v-001"))
    assert ">late<" in late
    assert "not here in block 1<" in late
    assert ">gone early<" in early
    assert "not here in block 2<" in early


def test_who_left_and_scans_again_is_told_how_to_go_on(floor: World, observer: Visitor) -> None:
    """The leaving stays until it is taken back."""
    observer.send(DOOR, DOOR, tag="v-001")
    observer.send(DOOR, "/sessions/s-11/check-out/volunteer/v-001")
    observer.send(DOOR, DOOR, tag="v-001")
    assert "Person v-001 left at 09:40; take that back if they are here still." in observer.get(DOOR).text


def test_only_the_list_at_the_door_and_the_kept_floor_may_use_the_camera(floor: World, observer: Visitor) -> None:
    """By the header that browsers obey."""
    pages = (DOOR, "/observe/floor", "/sessions/s-11", "/observe", f"{DOOR}/unexpected/v-031")
    may = [page for page in pages if "camera=(self)" in observer.get(page).headers["Permissions-Policy"]]
    assert may == [DOOR, "/observe/floor"]


def test_another_sessions_observer_has_no_door_here(floor: World, observer: Visitor, visitor: Sign) -> None:
    """Neither the list nor what a tag says."""
    other = visitor("o-02")
    assert other.get(DOOR).status_code == 403
    assert other.get(f"{DOOR}/unexpected/v-031").status_code == 403
