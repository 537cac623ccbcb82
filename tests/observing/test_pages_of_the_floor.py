"""Whom the pages of observing show, and to whom they open, through HTTP."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.builders import FRIDAY, World
from tests.observing.floor import add_session, see_on
from tests.sign_in import Visitor

THURSDAY = FRIDAY - timedelta(days=1)
MONDAY = FRIDAY - timedelta(days=4)
FORM = "/observe/v-001/guarding"
SIGN = "/observe/v-001/guarding/sign-off"
MARKS = {f"mark_{number}": "done" for number in range(1, 5)}


def test_today_shows_who_is_expected_the_most_urgent_first(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The volunteers of today's session; everybody of one's sessions on request; nobody else."""
    for code, name in (("v-002", "Teodor Vance"), ("v-003", "Maren Oduvane"), ("v-004", "Quill Harrow")):
        floor.add_person(code, name=name)
    add_session(floor, "s-01", FRIDAY, "v-001;v-002", "o-01")
    add_session(floor, "s-02", FRIDAY + timedelta(days=4), "v-003", "o-01")
    add_session(floor, "s-03", FRIDAY + timedelta(days=5), "v-004", "o-02")
    see_on(floor, MONDAY, "o-02", "v-002")
    observer = visitor("o-01")
    page = observer.get("/observe").text
    assert "2 volunteers are expected at Session s-01" in page
    assert "Maren" not in page
    assert page.index("the most urgent first") < page.index("Teodor Vance") < page.index("Odalys Brannagh")
    assert "1 more met observation (1 of 2 so far)" in page
    everybody = observer.get("/observe?everybody=1").text
    assert "Maren Oduvane" in everybody
    assert "Quill Harrow" not in everybody
    assert "1 with “maren” in the name" in observer.get("/observe?everybody=1&name=maren").text
    assert observer.get("/observe/v-004").status_code == 403
    assert observer.get("/observe/v-004/guarding").status_code == 403


def test_each_line_says_why_it_is_urgent(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """What a skill opens by itself, and what goes with one that ends soon, on the list and with a volunteer."""
    floor.add_person("v-002", name="Teodor Vance")
    for code in ("v-001", "v-002"):
        floor.hold(code, "module/safety", "paper/background-check")
    floor.hold("v-002", "skill/guarding", last_day=FRIDAY + timedelta(days=3))
    floor.add_participant("p-01", needs="fall-risk")
    add_session(floor, "s-01", FRIDAY, "v-001;v-002", "o-01", participants="p-01")
    observer = visitor("o-01")
    page = " ".join(observer.get("/observe").text.split())
    ends = "ends Mon 19 Oct 2026, and with it Balance lane and 1 participant."
    opens = "opens 1 participant; raises Balance lane to independent."
    assert f"Guarding a balance task: signed off; {ends}" in page
    assert f"Guarding a balance task: not begun; {opens}" in page
    assert page.index("Teodor Vance") < page.index("Odalys Brannagh")
    assert f"E{ends[1:]}" in observer.get("/observe/v-002").text
    assert f"O{opens[1:]}" in observer.get("/observe/v-001").text


def test_choosing_a_day_in_the_address_opens_no_volunteer_of_others_sessions(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """Whom an observer sees hangs on the present day: not on the day that a page is asked about."""
    floor.add_person("v-002", name="Teodor Vance")
    add_session(floor, "s-01", FRIDAY + timedelta(days=1), "v-001", "o-01")
    add_session(floor, "s-02", MONDAY, "v-002", "o-02")
    observer = visitor("o-01")
    for address in ("/observe/v-002", "/observe/v-002/guarding/sign-off"):
        assert observer.get(f"{address}?on={MONDAY}").status_code == 403
    for address in ("/observe", "/today"):
        assert "Teodor" not in observer.get(f"{address}?on={MONDAY}").text
    assert "expected at Session s-01" in observer.get(f"/observe?on={MONDAY}").text


def test_without_sessions_everybody_can_be_seen(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """A program that keeps no calendar here still observes."""
    assert "Odalys Brannagh" in visitor("o-01").get("/observe").text


def test_an_observer_who_does_not_count_hears_so_before_marking(
    floor: World, visitor: Callable[[str], Visitor]
) -> None:
    """And the saved page says every reason."""
    floor.add_person("o-08", "observer")
    observer = visitor("o-08")
    assert "will be kept and shown, but not counted" in observer.get(FORM).text
    saved = observer.send(FORM, FORM, **MARKS, live="live")
    said = observer.get(saved.location).text
    assert "Not counted: Guarding" in said
    assert "not calibrated on that day" in said
    assert "not entitled to this skill" in said


def test_no_page_ever_says_that_somebody_failed(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """The word is not yet, with what to see again."""
    observer = visitor("o-01")
    saved = observer.send(FORM, FORM, **{**MARKS, "mark_1": "not-done", "mark_3": "stopped"}, live="live")
    pages = [observer.get(address).text for address in (saved.location, SIGN, "/observe", "/observe/v-001")]
    pages.append(visitor("v-001").get("/path/skills/guarding").text)
    assert "Not yet: Guarding" in pages[0]
    assert "To see again" in pages[0]
    assert not any("fail" in page.lower() for page in pages)


@pytest.mark.parametrize("address", ["/observe", "/observe/v-001", FORM, SIGN, "/observers", "/reviews"])
def test_a_volunteer_opens_none_of_these_pages(floor: World, visitor: Callable[[str], Visitor], address: str) -> None:
    """Permissions hold on the page, not only in the menu."""
    assert visitor("v-001").get(address).status_code == 403


def test_the_coordinator_sees_all_and_marks_nothing(floor: World, visitor: Callable[[str], Visitor]) -> None:
    """Only an observer observes and signs off."""
    see_on(floor, MONDAY, "o-01", "v-001")
    see_on(floor, THURSDAY, "o-02", "v-001")
    coordinator = visitor("c-01")
    assert coordinator.get(FORM).status_code == 403
    assert 'name="password"' not in coordinator.get(SIGN).text
    assert "Odalys Brannagh" in coordinator.get("/observe").text
