"""Mid-term notes by mail: asked for by the instructor, sent in the background, once each, against a real server."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import select

from mentor_training.application import create_app
from mentor_training.jobs.rules import DONE, REFUSED
from mentor_training.jobs.tables import Job
from mentor_training.journal.queries import entries
from mentor_training.letters.commands import letters
from mentor_training.letters.tables import Mail
from mentor_training.people.queries import person_for
from tests.builders import World, make_world
from tests.jobs.working import work_off
from tests.letters.friday import served, with_mail
from tests.letters.mail_server import Kept, free_port
from tests.letters.midterm import SECTION, STUDENTS, middle
from tests.sign_in import Visitor

PAGE = f"/letters/midterm/sections/{SECTION}"
WRONG = "v-002@marrowdale.example"


@pytest.fixture
def term(tmp_path: Path) -> World:
    """Give a section in the middle of its term."""
    world = make_world(tmp_path / "instance")
    world.publish()
    return middle(world)


def send(world: World) -> Visitor:
    """Ask for the notes as the section's instructor, and have a worker send them."""
    visitor = Visitor(create_app(world.instance, testing=True).test_client()).sign_in("i-01")
    assert visitor.send(PAGE, f"{PAGE}/send").status_code == 303
    assert work_off(world) == 1
    return visitor


def newest(world: World) -> Job:
    with world.reading() as db:
        return db.scalars(select(Job).order_by(Job.number.desc())).first() or Job()


def test_each_student_of_the_section_gets_one_mail_and_a_second_time_none(term: World) -> None:
    """It says their own hours; the page says when it went, and offers nothing more to send that day."""
    with served(term, kept := Kept()) as world:
        visitor = send(world)
        assert kept.people == STUDENTS
        page = visitor.get(PAGE).text
        assert "No notes are to be sent" in page
        assert "2 went out today" in page
        assert f'action="{PAGE}/send"' not in page
    one = kept.mails[0][1]
    assert "where you stand on Fri 16 Oct 2026" in one["Subject"]
    assert "3.00 h of" in " ".join(one.get_content().split())
    assert newest(term).state == DONE
    with term.reading() as db:
        asked = entries(db, kind="midterm-notes")
        assert [(one.who, one.subject) for one in asked] == [("i-01", SECTION)]
        written = "".join(one.record for one in (*asked, *entries(db, kind="mail")))
    assert "Odalys" not in written
    assert "@" not in written


def test_on_another_day_the_section_gets_a_note_of_that_day(term: World) -> None:
    """The page says when the last one went."""
    with served(term, kept := Kept()) as world:
        send(world)
        world.clock.forward(days=21)
        assert "last sent Fri 16 Oct 2026" in send_page(world)
        send(world)
    assert kept.people == [*STUDENTS, *STUDENTS]
    assert "where you stand on Fri 6 Nov 2026" in kept.mails[-1][1]["Subject"]


def send_page(world: World) -> str:
    return Visitor(create_app(world.instance, testing=True).test_client()).sign_in("i-01").get(PAGE).text


def test_who_turned_digests_off_gets_their_note_all_the_same(term: World) -> None:
    """It is no digest: the instructor sends it, once."""
    app = create_app(term.instance, testing=True)
    Visitor(app.test_client()).sign_in("v-001").send("/me", "/me/digests")
    with served(term, kept := Kept()) as world:
        send(world)
    assert kept.people == STUDENTS


def test_an_address_that_is_refused_is_named_and_tried_again_until_it_is_set_aside(term: World) -> None:
    """Then the page says to print that one; another address goes out."""
    with served(term, kept := Kept(refused={WRONG})) as world:
        for _ in range(3):
            visitor = send(world)
        page = visitor.get(PAGE).text
        assert "address set aside, print it" in page
        assert "1 cannot be sent by mail" in page
        assert kept.people == ["v-001"]
        with world.writing() as db:
            person_for(db, "v-002").email = "teodor@marrowdale.example"
        send(world)
    assert kept.people == ["v-001", "teodor"]


def test_when_the_server_is_down_nothing_is_begun_and_the_job_says_why(term: World) -> None:
    """What did not go out goes out when it is asked for again."""
    world = with_mail(term, "127.0.0.1", free_port())
    send(world)
    job = newest(world)
    assert job.state == REFUSED
    assert "cannot be reached" in str(job.result)
    with world.reading() as db:
        assert db.scalars(select(Mail)).all() == []
    with served(term, kept := Kept()) as again:
        send(again)
    assert kept.people == STUDENTS


def test_the_command_sends_them_too_and_none_twice(term: World) -> None:
    """Beside the page: whatever asked first, each goes out once."""
    with served(term, kept := Kept()) as world:
        sent = CliRunner().invoke(letters, ["send-midterm", SECTION], obj=world.instance)
        assert sent.output == "v-001: sent\nv-002: sent\n"
        again = CliRunner().invoke(letters, ["send-midterm", SECTION], obj=world.instance)
        assert again.output == "every note of today went out already, or its address is set aside\n"
    assert kept.people == STUDENTS
