"""Coverage of the coming sessions: what counts as covered, the picture with its words, and the table."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.actions import store_session
from mentor_training.planning.coverage import NO_PLAN, PLANNED, coverage_of, in_words, not_covered
from mentor_training.planning.pictures import TITLE, draw_coverage
from mentor_training.planning.queries.coverage import MOST_SESSIONS, coming_coverage
from mentor_training.planning.queries.plan import gaps_of, plan_for
from mentor_training.web.charts import BY_NIGHT
from tests.builders import World
from tests.planning.saturday import COORDINATES, SATURDAY, accept_best, at, put, session
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE, PICTURE = "/sessions/coverage", "/sessions/coverage.svg"


def further(world: World, count: int = 1) -> None:
    """Store sessions on the following days, without a plan."""
    with world.writing() as db:
        for number in range(1, count + 1):
            day = SATURDAY + timedelta(days=number)
            store_session(db, world.clock.now(), COORDINATES, session(f"s-2{number}", day))


def test_what_is_covered_and_open_is_as_the_floor_says(floor: World) -> None:
    """Covered by station and not covered by reason add up to everybody expected, in every block."""
    accept_best(floor)
    with floor.reading() as db:
        plan = plan_for(db, "s-11", floor.clock.now())
        gaps = gaps_of(plan)
        found = coverage_of(plan.session, plan.floor, plan.placed, gaps)
    assert found.state == PLANNED
    assert (found.expected, found.covered) == (6, 6 - len(gaps))
    for block in found.blocks:
        assert block.lacking == sum(count for _, count in block.open)
        assert sum(block.at.values()) + block.lacking == block.expected == 3


def test_a_participant_with_one_of_two_mentors_counts_as_not_covered(floor: World) -> None:
    """Where they are placed does not cover them."""
    put(floor, 1, "target-games", "v-006", role="lead")
    put(floor, 1, "target-games", "v-002", "p-03")
    with floor.reading() as db:
        (one,) = coming_coverage(db, [session()], floor.clock.now()).sessions
    assert one.covered == 0


def test_without_a_plan_it_says_so_and_gives_no_reasons(floor: World) -> None:
    """Every reason would be that nobody has planned yet."""
    further(floor)
    with floor.reading() as db:
        (one,) = coming_coverage(db, [session("s-21", SATURDAY + timedelta(days=1))], floor.clock.now()).sessions
    assert (one.state, one.covered, one.expected) == (NO_PLAN, 0, 6)
    assert [block.open for block in one.blocks] == [(), ()]


def test_a_session_before_the_program_takes_effect_is_told_apart(floor: World, visitor: Sign) -> None:
    """It has no floor that could be covered, and the page opens."""
    early = session("s-00", date(2026, 7, 4))
    with floor.reading() as db:
        found = coming_coverage(db, [early], floor.clock.now())
    assert found.sessions[0].state == "no_program"
    assert visitor("c-01").get(PAGE).status_code == 200


def test_the_page_says_how_many_are_covered_where_and_why_not(floor: World, visitor: Sign) -> None:
    """In words and figures beside the picture; what has no plan is not mixed in."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    further(floor)
    page = visitor("c-01").get(PAGE).text
    assert "1 of 6 participant-blocks have their mentors where there is a plan." in page
    assert "1 of the next 2 sessions has no plan yet." in page
    assert "somebody could be placed" in page
    assert "no plan yet</span>" in page
    assert f'src="{PICTURE}"' in page
    assert "fall-risk" not in page
    assert "Name0" not in page


def test_only_the_next_sessions_are_shown_and_the_others_counted(floor: World, visitor: Sign) -> None:
    """Not those that are over."""
    further(floor, MOST_SESSIONS + 1)
    assert "2 later sessions come here" in visitor("c-01").get(PAGE).text
    floor.clock.moment = at("09:00", SATURDAY + timedelta(days=1))
    assert "1 later session comes here" in visitor("c-01").get(PAGE).text
    floor.clock.moment = at("09:00", SATURDAY + timedelta(days=90))
    assert "No session is coming." in visitor("c-01").get(PAGE).text


@pytest.mark.parametrize("query", ["", "?night=1", "?phone=1", "?phone=1&night=1"])
def test_the_picture_has_a_title_a_description_and_nothing_that_the_policy_forbids(
    floor: World, visitor: Sign, query: str
) -> None:
    """Well-formed SVG, the same bytes again, without style or script."""
    put(floor, 1, "balance-lane", "v-002", "p-01")
    further(floor)
    coordinator = visitor("c-01")
    answer = coordinator.get(f"{PICTURE}{query}")
    assert answer.content_type.startswith("image/svg+xml")
    root = ET.fromstring(answer.text)  # noqa: S314 - our own picture
    spaced = "{http://www.w3.org/2000/svg}"
    assert root.findtext(f"{spaced}title") == TITLE
    assert "1 of 6 participant-blocks" in (root.findtext(f"{spaced}desc") or "")
    assert not re.search(r"<style|<script| style=", answer.text)
    assert coordinator.get(f"{PICTURE}{query}").text == answer.text


@given(st.integers(0, 3))
def test_the_words_count_sessions_and_name_those_without_a_plan(count: int) -> None:
    """For those who do not see the picture."""
    found = [not_covered(session(f"s-{number}"), NO_PLAN) for number in range(count)]
    said = in_words(found)
    assert said.startswith(f"{count} session")
    assert [one.session.code for one in found if one.session.code not in said] == []
    assert draw_coverage(found, ["balance-lane"], BY_NIGHT).startswith(b"<svg")


def test_observers_see_their_own_sessions_and_volunteers_none(floor: World, visitor: Sign) -> None:
    """The picture stands on the sessions' page of those who may see floors."""
    assert "0 of 6" in visitor("o-01").get(PAGE).text
    assert "No session is coming." in visitor("o-02").get(PAGE).text
    assert [visitor("v-002").get(path).status_code for path in (PAGE, PICTURE)] == [403, 403]
    assert PICTURE in visitor("o-01").get("/sessions").text
    assert PICTURE not in visitor("v-002").get("/sessions").text
