"""Terms, when somebody can come, and who is expected block by block, through HTTP."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from mentor_training.calendar.actions import store_term
from mentor_training.calendar.queries import said, sessions, terms
from mentor_training.calendar.terms import TermFact
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.saying import say_when
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, VOLUNTEERS, put
from tests.sign_in import Visitor, forms_of

Sign = Callable[[str], Visitor]
FALL = TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 18), (date(2026, 11, 28),))
SPRING = TermFact("spring", "Spring 2027", date(2027, 1, 11), date(2027, 5, 14))
EXPECTED = "/sessions/s-11/expected"
OWN = "/availability/v-002"


@pytest.fixture
def term(floor: World) -> World:
    """Give the small Saturday with two terms."""
    with floor.writing() as db:
        for one in (FALL, SPRING):
            store_term(db, floor.clock.now(), CONSOLE, one)
    return floor


def answers(world: World) -> list[tuple[str, str, str, str]]:
    with world.reading() as db:
        return [(one.code, one.about, one.answer, one.said_by) for one in said(db, world.clock.now())]


def test_a_term_is_made_and_changed_by_form_and_a_stale_form_shows_both(floor: World, visitor: Sign) -> None:
    """Holidays are written as days or spans; what was typed is kept."""
    first = visitor("c-01")
    made = first.send("/terms/new", "/terms/new", code="fall", title="Fall 2026", first_day="2026-08-24",
                      last_day="2026-12-18", holidays="2026-11-26 to 2026-11-28")  # fmt: skip
    assert made.status_code == 303
    page = first.get("/terms/fall").text
    assert visitor("c-01").send("/terms/fall", "/terms/fall", last_day="2026-12-11").status_code == 303
    answer = first.fill(page, "/terms/fall", title="Autumn 2026")
    assert answer.status_code == 422
    wanted = ("was changed while your page was open", "Fri 11 Dec 2026", 'value="Autumn 2026"', "Thu 26 Nov 2026")
    assert [words for words in wanted if words not in answer.text] == []
    assert first.fill(answer.text, "/terms/fall").status_code == 303
    with floor.reading() as db:
        (stored,) = terms(db)
    assert (stored.title, stored.last_day, len(stored.holidays)) == ("Autumn 2026", date(2026, 12, 18), 3)


def test_a_code_that_another_has_taken_meanwhile_is_refused(floor: World, visitor: Sign) -> None:
    """Two who add the same term do not overwrite each other."""
    who = visitor("c-01")
    values = {"code": "fall", "title": "Fall", "first_day": "2026-08-24", "last_day": "2026-12-18"}
    page = who.get("/terms/new").text
    assert who.fill(page, "/terms/new", **values).status_code == 303
    answer = who.fill(page, "/terms/new", **values | {"title": "Mine"})
    assert answer.status_code == 422
    assert "It is now: Fall," in answer.text


def test_the_sessions_are_listed_by_term_the_current_one_chosen(term: World, visitor: Sign) -> None:
    """Another term, or all, by a link."""
    who = visitor("c-01")
    assert "Week 6, Saturday morning" in who.get("/sessions").text
    assert "Week 6, Saturday morning" not in who.get("/sessions?term=spring").text
    assert "Week 6, Saturday morning" in who.get("/sessions?term=").text
    assert "Fall 2026" in who.get("/terms").text


def test_a_series_leaves_the_holidays_of_the_term_out(term: World, visitor: Sign) -> None:
    """Said apart from what was typed; a holiday that the series would not have met is not mentioned."""
    who = visitor("c-01")
    values = {"day": "2026-11-19", "until": "2026-12-12", "left_out": "2026-12-05", "code": "s-12"}
    shown = who.send("/sessions/series", "/sessions/series", **values)
    assert "Left out as holidays of the term: <time" in shown.text
    assert "Sat 28 Nov 2026" in shown.text
    seal = shown.text.partition('name="shown" value="')[2][:64]
    assert who.fill(shown.text, "/sessions/series", shown=seal).status_code == 303
    with term.reading() as db:
        assert [one.day.day for one in sessions(db)[1:]] == [21, 12]


def test_terms_and_availability_are_taken_in_whole_or_not_at_all(term: World, visitor: Sign) -> None:
    """A broken row tells everything; the same file again changes nothing; what goes out is what went in."""
    who = visitor("c-01")
    head = "kind,code,about,which,answer\r\n"
    row = "person,v-002,session,s-11,blocks 2\r\nparticipant,p-01,day,2026-10-17,cannot\r\n"
    broken = (io.BytesIO((head + row + "person,x,week,1,2\r\n").encode()), "availability.csv")
    answer = who.send("/availability/all", "/availability/import", file=broken)
    assert answer.status_code == 422
    assert "row 4, column about" in answer.text
    assert answers(term) == []
    for new in ("2 of them", "0 of them"):
        file = (io.BytesIO((head + row).encode()), "availability.csv")
        assert who.send("/availability/all", "/availability/import", file=file).status_code == 303
        assert f"2 rows read, {new} new or changed." in who.get("/availability/all").text
    assert sorted(who.get("/availability.csv").text.split("\r\n")) == sorted((head + row).split("\r\n"))
    text = who.get("/terms.csv").text
    assert who.send("/terms", "/terms/import", file=(io.BytesIO(text.encode()), "terms.csv")).status_code == 303
    assert "2 rows read, 0 of them new or changed." in who.get("/terms").text


def test_a_volunteer_says_over_a_term_of_a_day_and_of_a_session(term: World, visitor: Sign) -> None:
    """On their own page; it shows what counts, by whom and since when, and everything that was ever said."""
    who = visitor("v-002")
    page = who.get("/availability").text
    assert "Nothing is said yet of Fall 2026" in page
    data = {"about": "term", "which": "fall", "seen": "0", "answer": "times", "sa": "09:00-10:02;10:30-11:00"}
    assert who.fill(page, OWN, **data).status_code == 303
    page = who.get("/availability").text
    assert "Only in block 1" in page
    assert "Saturday 09:00-10:02, Saturday 10:30-11:00" in page
    assert who.fill(page, OWN, about="day", which="2026-10-17", answer="cannot", seen="1").status_code == 303
    assert who.fill(who.get("/availability").text, OWN, about="session", which="s-11", answer="can").status_code == 303
    page = who.get("/availability").text
    assert "said of this session by themselves" in page
    assert [one[1:3] for one in answers(term)] == [
        ("term", "SA 09:00-10:02;SA 10:30-11:00"), ("day", "cannot"), ("session", "can"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"about": "term", "which": "fall", "answer": "times", "sa": "9 to 12"}, "Write times such as 09:00-12:00"),
        ({"about": "term", "which": "fall", "answer": "times"}, "Write at least one time, or press Not at all"),
        ({"about": "day", "which": "2026-10-17", "answer": "times", "times": "soon"}, "Write times such as"),
        ({"about": "day", "which": "", "answer": "cannot"}, "is no day"),
        ({"about": "day", "which": "2026-10-01", "answer": "cannot"}, "is over; nothing is said about it"),
    ],
)
def test_what_cannot_be_read_is_answered_beside_it_and_kept(
    term: World, visitor: Sign, values: dict[str, str], words: str
) -> None:
    """Nothing is stored."""
    who = visitor("v-002")
    answer = who.fill(who.get("/availability").text, OWN, **values)
    assert answer.status_code == 422
    assert words in answer.text
    assert [one for one in ("9 to 12", "soon") if one in values.values() and f'value="{one}"' not in answer.text] == []
    assert answers(term) == []


def test_a_stale_answer_is_refused_with_what_was_said_meanwhile(term: World, visitor: Sign) -> None:
    """The coordinator has entered it on the telephone; the volunteer's older page does not undo that unseen."""
    volunteer, coordinator = visitor("v-002"), visitor("c-01")
    page = volunteer.get("/availability").text
    told = {"about": "session", "which": "s-11", "answer": "cannot"}
    assert coordinator.fill(coordinator.get(OWN).text, OWN, **told).status_code == 303
    answer = volunteer.fill(page, OWN, **told | {"answer": "can"})
    assert answer.status_code == 422
    assert "It says now: cannot come (by Person c-01" in answer.text
    assert "You wrote: can." in answer.text
    assert volunteer.fill(answer.text, OWN, **told | {"answer": "can"}).status_code == 303
    assert [one[2:] for one in answers(term)] == [("cannot", "c-01"), ("can", "v-002")]


def test_nobody_sees_or_says_it_for_another_but_the_coordinator(term: World, visitor: Sign) -> None:
    """Neither another volunteer nor an observer."""
    for code in ("v-003", "o-01"):
        who = visitor(code)
        assert who.get(OWN).status_code == 403
        own = forms_of(who.get("/availability").text)
        values = next(values for address, values in own if address == f"/availability/{code}")
        data = {**values, "about": "session", "which": "s-11", "answer": "cannot"}
        assert who.client.post(OWN, data=data).status_code == 403
    assert answers(term) == []


def test_the_session_shows_who_is_placed_and_cannot_come(term: World, visitor: Sign) -> None:
    """By whom it was said, since when, and what can be decided; the list to choose from leaves them out."""
    put(term, 1, "balance-lane", "v-002", "p-01")
    term.clock.moment += timedelta(minutes=10)
    who = visitor("v-002")
    assert (
        who.fill(who.get("/availability").text, OWN, about="session", which="s-11", answer="cannot").status_code == 303
    )
    coordinator = visitor("c-01")
    for address in ("/sessions/s-11", EXPECTED):
        page = coordinator.get(address).text
        wanted = ("Person v-002", "cannot come: said by themselves, Fri 16 Oct 2026", "after they were placed",
                  "Take out", "Who could step in", "Mend the plan without Person v-002")  # fmt: skip
        assert [words for words in wanted if words not in page] == []
    assert "1 who is placed says that they cannot come." in coordinator.get("/sessions/s-11").text
    assert "says that they cannot come" in coordinator.get("/sessions/s-11/blocks/1").text
    page = coordinator.get("/sessions/s-11/blocks/2/place?participant=p-01").text
    assert "|v-002" not in page
    assert "Not offered, since they say that they cannot come: Person v-002." in page
    assert 'value="v-002" checked' in coordinator.get("/sessions/s-11/repair").text


def test_every_page_of_a_session_opens_when_nobody_can_come(term: World, visitor: Sign) -> None:
    """A reason of its own, which each sheet, picture and view has words for."""
    with term.writing() as db:
        for person in VOLUNTEERS:
            say_when(db, term.clock.now(), COORDINATES, person, "session", "s-11", "cannot", FRIDAY)
    put(term, 1, "balance-lane", "v-002", "p-01")
    who = visitor("c-01")
    pages = (
        "",
        "/print",
        "/briefing",
        "/now",
        "/wall",
        "/expected",
        "/repair",
        "/blocks/1",
        "/blocks/1/cover",
        "/close",
    )
    for page in (
        *(f"/sessions/s-11{page}" for page in pages),
        "/sessions/coverage",
        "/sessions/coverage.svg",
        "/today",
    ):
        assert who.get(page).status_code == 200, page


def test_who_comes_to_all_blocks_is_decided_and_folded(term: World, visitor: Sign) -> None:
    """Whoever misses one stands above, and what is folded is sent with the form as well."""
    coordinator = visitor("c-01")
    page = coordinator.get(EXPECTED).text
    for words in ("3 attend all blocks", "6 come to all blocks", "1 comes to all blocks"):
        assert words in page
    assert coordinator.fill(page, EXPECTED).status_code == 303
    assert answers(term) == []
    assert coordinator.send(EXPECTED, EXPECTED, **{"attends-p-01": ["2"]}).status_code == 303
    page = coordinator.get(EXPECTED).text
    assert page.index("attends-p-01") < page.index("2 attend all blocks") < page.index("attends-p-02")


def test_the_coordinator_ticks_who_attends_which_block_and_a_stale_page_shows_both(term: World, visitor: Sign) -> None:
    """What is ticked on the older page is kept, and may be stored deliberately."""
    first, second = visitor("c-01"), visitor("c-01")
    page = second.get(EXPECTED).text
    assert first.send(EXPECTED, EXPECTED, **{"attends-p-01": ["2"]}).status_code == 303
    assert "In all blocks: 2 of 3 participants" in first.get(EXPECTED).text
    assert "does not attend this block" not in first.get("/sessions/s-11/blocks/1").text
    assert "0 of 5 participant-blocks" in first.get("/sessions/s-11").text
    answer = second.fill(page, EXPECTED, **{"attends-p-01": ["1"]})
    assert answer.status_code == 422
    assert "attends now: 2. You wrote: 1." in answer.text
    assert second.fill(answer.text, EXPECTED).status_code == 303
    assert [one[2] for one in answers(term)] == ["blocks 2", "blocks 1"]
