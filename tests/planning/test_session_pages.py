"""Making, changing, listing and taking in sessions, through HTTP."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.calendar.queries import session_for, sessions
from tests.builders import World
from tests.planning.saturday import at
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
HEAD = "session,title,day,starts,ends,blocks,stations,participants,volunteers,observers\r\n"
ROW = 's-12,"Week 6, Tuesday evening",2026-10-20,17:00,18:15,3,target-games,p-01;p-02,v-001;v-002,o-01\r\n'


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    return visitor("c-01")


def test_a_session_is_made_by_form_and_changed(floor: World, coordinator: Visitor) -> None:
    """A new one begins with what the last one had; its code is its own."""
    made = coordinator.send(
        "/sessions/new", "/sessions/new", code="s-12", title="Week 6, Tuesday", day="2026-10-20", starts="17:00",
        ends="18:15", blocks="3",
    )  # fmt: skip
    assert made.status_code == 303
    with floor.reading() as db:
        found = session_for(db, "s-12")
    assert (len(found.blocks), found.participants, found.observers) == (3, ("p-01", "p-02", "p-03"), ("o-01",))
    changed = coordinator.send("/sessions/s-12/edit", "/sessions/s-12/edit", title="Moved", volunteers=["v-001"])
    assert changed.status_code == 303
    with floor.reading() as db:
        assert (session_for(db, "s-12").title, session_for(db, "s-12").volunteers) == ("Moved", ("v-001",))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"code": "s-11"}, "s-11 is there already"),
        ({"code": "s-12 b"}, "Write letters and digits"),
        ({"code": "s-12/x;y"}, "Write letters and digits"),
        ({"blocks": "09:00-09:10"}, "lies outside the session"),
        ({"blocks": "soon"}, "how many equal blocks"),
        ({"ends": "16:00", "blocks": "17:00-17:10"}, "is not after the start"),
        ({"day": ""}, "Write the day."),
    ],
)
def test_a_session_with_something_wrong_keeps_what_was_typed(
    floor: World, coordinator: Visitor, values: dict[str, str], words: str
) -> None:
    """The error is told in words, the title is still there, nothing is stored."""
    right = {
        "code": "s-12",
        "title": "A title of its own",
        "day": "2026-10-20",
        "starts": "17:00",
        "ends": "18:15",
        "blocks": "3",
    }
    answer = coordinator.send("/sessions/new", "/sessions/new", **right | values)
    assert answer.status_code == 422
    assert words in answer.text
    assert "A title of its own" in answer.text
    with floor.reading() as db:
        assert [one.code for one in sessions(db)] == ["s-11"]


def test_sessions_are_taken_in_whole_or_not_at_all(floor: World, coordinator: Visitor) -> None:
    """A broken row tells everything; the same file again changes nothing; what goes out is what went in."""
    broken = HEAD + ROW + ROW.replace("s-12", "s-13").replace("17:00", "25:00").replace("v-001", "v-077")
    answer = coordinator.send("/sessions", "/sessions/import", file=(io.BytesIO(broken.encode()), "sessions.csv"))
    assert answer.status_code == 422
    assert [one for one in ("row 3, column starts", "row 3, column volunteers") if one not in answer.text] == []
    with floor.reading() as db:
        assert len(sessions(db)) == 1
    for new in ("1 of them", "0 of them"):
        sent = coordinator.send(
            "/sessions", "/sessions/import", file=(io.BytesIO((HEAD + ROW).encode()), "sessions.csv")
        )
        assert sent.status_code == 303
        assert f"1 rows read, {new} new or changed." in coordinator.get("/sessions").text
    assert "s-12" in coordinator.get("/sessions.csv").text


def test_the_list_tells_past_from_coming(floor: World, coordinator: Visitor) -> None:
    """A past session that nobody closed asks to be seen."""
    floor.clock.moment = at("12:00", date(2026, 10, 19))
    assert "Week 6, Saturday morning" not in coordinator.get("/sessions").text
    assert "not closed yet" in coordinator.get("/sessions?show=past").text
    assert "Week 6, Saturday morning" in coordinator.get("/sessions?show=all").text
