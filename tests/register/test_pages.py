"""The coordinator's page of the register, through HTTP."""

from __future__ import annotations

import io
from collections.abc import Callable

import pytest
from werkzeug.test import TestResponse

from mentor_training.journal.queries import entries
from mentor_training.register.pages import MOST_SHOWN
from tests.builders import World
from tests.register.files import BINDER, HEAD, rows, settle, written_out
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]


@pytest.fixture
def coordinator(world: World, visitor: Sign) -> Visitor:
    """Sign the coordinator of a settled instance with an empty register in."""
    settle(world)
    return visitor("c-01")


def send(who: Visitor, text: str | bytes, **more: str) -> TestResponse:
    content = text.encode() if isinstance(text, str) else text
    return who.send("/register", "/register", file=(io.BytesIO(content), "register.csv"), **more)


def test_a_file_goes_in_by_the_page_and_comes_out_to_the_byte(world: World, coordinator: Visitor) -> None:
    """The download is the file that the command would write, with a name and its type."""
    assert "It is empty" in coordinator.get("/register").text
    answer = send(coordinator, BINDER)
    assert (answer.status_code, answer.location) == (303, "/register")
    page = coordinator.get("/register").text
    assert "15 rows read, 15 of them new." in page
    assert "15 records are in it" in page
    out = coordinator.get("/register.csv")
    assert (out.status_code, out.mimetype, out.data) == (200, "text/csv", written_out(world).encode())
    assert out.headers["Content-Disposition"] == "attachment; filename=register-2026-10-16.csv"


def test_the_journal_says_who_moved_it_in(world: World, coordinator: Visitor) -> None:
    """The person, not the console."""
    send(coordinator, BINDER)
    with world.reading() as db:
        assert [one.who for one in entries(db, kind="register-moved-in")] == ["c-01"]


def test_a_file_with_faults_is_not_taken_in_and_every_finding_is_shown(world: World, coordinator: Visitor) -> None:
    """By row and column, with the form to send it again."""
    answer = send(coordinator, BINDER + "b-16,v-01,met,skill/gaurding,2026-02-30,,,,,\r\n")
    assert answer.status_code == 422
    for said in ("row 17, column person", "did you mean `v-001`?", "row 17, column item", "row 17, column first_day"):
        assert said.replace("'", "&#39;") in answer.text
    assert "Nothing was stored" in answer.text
    assert written_out(world) == HEAD
    assert coordinator.fill(answer.text, "/register", file=(io.BytesIO(BINDER.encode()), "r.csv")).status_code == 303


def test_a_page_of_findings_has_an_end_and_says_how_many_more_there_are(coordinator: Visitor) -> None:
    """The command prints them all."""
    lines = (f"b-{number},v-009,met,skill/guarding,2026-01-05,,,,," for number in range(MOST_SHOWN + 7))
    page = send(coordinator, rows(*lines)).text
    assert page.count("column person") == MOST_SHOWN
    assert "And 7 more." in page


def test_one_can_see_first_what_a_file_would_do(world: World, coordinator: Visitor) -> None:
    """How many of which kind about how many people; nothing is stored, and the same file can then be taken in."""
    answer = send(coordinator, BINDER, then="look")
    assert answer.status_code == 200
    assert "15 records about 2 people would be new" in answer.text
    assert "<dt>completed</dt><dd>2</dd>" in answer.text
    assert "this would be a move-in" in answer.text
    assert written_out(world) == HEAD
    assert send(coordinator, BINDER).status_code == 303
    again = send(coordinator, BINDER, then="look")
    assert "Nothing would be new; 15 are there already" in again.text
    wrong = send(coordinator, BINDER + "b-16,v-001,met,,2026-01-05,,,,,\r\n", then="look")
    assert wrong.status_code == 422
    assert "row 17, column item" in wrong.text


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"caf\xe9", "save it as CSV UTF-8"), (b"", "the file is empty"), (b"a\0b", "column is unknown")],
)
def test_what_cannot_be_read_at_all_is_said_at_the_form(coordinator: Visitor, content: bytes, said: str) -> None:
    """Other encodings, an empty file, a character that no text has."""
    answer = send(coordinator, content)
    assert answer.status_code == 422
    assert said in answer.text


def test_no_file_chosen_is_said_at_the_field(coordinator: Visitor) -> None:
    """And not as a fault of a file."""
    answer = coordinator.send("/register", "/register")
    assert answer.status_code == 422
    assert "Choose a file." in answer.text


def test_what_the_file_says_is_shown_as_text_and_never_as_markup(coordinator: Visitor) -> None:
    """A name that looks like a tag stays what it is."""
    answer = send(coordinator, rows("<script>alert(1)</script>,v-001,met,skill/guarding,2026-01-05,,,,,"))
    assert "<script>alert" not in answer.text
    assert "&lt;script&gt;alert" in answer.text


@pytest.mark.parametrize("role", ["volunteer", "observer", "course-instructor"])
def test_nobody_but_the_coordinator_gets_the_register(world: World, visitor: Sign, role: str) -> None:
    """Neither the page nor the file: it holds everybody's records."""
    settle(world).add_person("x-01", role)
    somebody = visitor("x-01")
    assert [somebody.get(address).status_code for address in ("/register", "/register.csv")] == [403, 403]


def test_a_form_sent_twice_counts_once(world: World, coordinator: Visitor) -> None:
    """The same page with the same file again, as after a lost answer."""
    line = rows("a,v-001,attended,s-1,2026-02-14,,,,,")
    send(coordinator, line)
    page = coordinator.get("/register").text
    more = rows(",v-001,hours,direct,2026-02-14,,,,,60", ",v-001,hours,direct,2026-02-14,,,,,60")
    answers = [coordinator.fill(page, "/register", file=(io.BytesIO(more.encode()), "r.csv")) for _ in (1, 2)]
    assert [one.status_code for one in answers] == [303, 303]
    assert written_out(world).count("hours") == 2
