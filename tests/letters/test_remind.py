"""Reminders by mail, against a real mail server: once each, to who wants them, with nothing of a participant."""

from __future__ import annotations

from datetime import date
from email.utils import parsedate_to_datetime

from sqlalchemy import select

from mentor_training.application import create_app
from mentor_training.letters.tables import Mail
from tests.builders import World
from tests.hours.term import serve
from tests.letters.friday import EVERYBODY, ask, served
from tests.letters.mail_server import Kept
from tests.sign_in import Visitor


def test_each_person_gets_one_mail_of_all_that_is_new_and_the_next_run_sends_nothing(friday: World) -> None:
    """Session, card, paper and hours, each to whom it concerns; whoever has nothing new gets no mail."""
    with served(friday, kept := Kept()) as world:
        first = ask(world)
        assert first.exit_code == 0, first.output
        assert kept.people == EVERYBODY
        text = {to.partition("@")[0]: mail.get_content() for to, mail, _ in kept.mails}
        assert "A session of yours: Sat 17 Oct 2026, 09:30 to 11:15." in text["v-001"]
        assert "1 card waits to be read before the session on Sat 17 Oct 2026." in text["v-001"]
        assert "card" not in text["v-002"]
        assert "Background check ends on Sun 25 Oct 2026" in text["v-004"]
        assert "In section KIN-372-A 1 entry of hours waits for your approval." in text["i-01"]
        assert ask(world).output == "nothing new to tell anybody\n"
        assert len(kept.mails) == len(EVERYBODY)


def test_no_mail_says_anything_of_a_participant(friday: World) -> None:
    """No first name, no code, no need, nothing of a card, and no text of a placement; nor is anybody else named."""
    with served(friday, kept := Kept()) as world:
        ask(world)
    for to, mail, content in kept.mails:
        said = f"{mail['Subject']} {mail.get_content()} {content.decode()}".lower()
        for secret in (
            "p-01",
            "p-02",
            "p-03",
            "name01",
            "name02",
            "name03",
            "fall",
            "two mentors",
            "harbor",
            "balance",
            "maren",
        ):
            assert secret not in said, f"{secret} in the mail to {to}"


def test_a_mail_has_the_headers_that_the_standards_ask_for(friday: World) -> None:
    """RFC 5322: one date with its offset, one Message-ID of its own; RFC 3834: Auto-Submitted; plain text in 7 bits."""
    with served(friday, kept := Kept()) as world:
        ask(world)
    names = set()
    for to, mail, content in kept.mails:
        assert (mail["To"], mail["From"]) == (to, "Small program <movement@marrowdale.example>")
        assert parsedate_to_datetime(mail["Date"]) == friday.clock.now()
        assert mail["Date"].endswith("-0400")
        assert mail["Auto-Submitted"] == "auto-generated"
        assert mail.get_content_type() == "text/plain"
        assert "List-Unsubscribe" not in mail
        assert content.isascii()
        assert max(len(line) for line in content.split(b"\r\n")) <= 998
        assert max(len(line) for line in mail.get_content().splitlines()) <= 78
        names.add(mail["Message-ID"])
    assert len(names) == len(kept.mails)
    assert all(one.startswith("<") and one.endswith("@marrowdale.example>") for one in names)


def test_a_dry_run_shows_all_of_it_and_sends_and_stores_nothing(friday: World) -> None:
    """It needs no server."""
    shown = ask(friday, "--dry-run")
    assert shown.exit_code == 0, shown.output
    assert "v-001 <v-001@marrowdale.example>" in shown.output
    assert "1 card waits to be read" in shown.output
    assert shown.output.endswith("8 mails; nothing was sent or stored\n")
    with friday.reading() as db:
        assert db.scalars(select(Mail)).all() == []


def test_what_is_new_the_next_day_is_said_then_and_nothing_else(friday: World) -> None:
    """A second entry of hours: one mail, to the instructor, and it says how many wait in all; on the same day, none."""
    with served(friday, kept := Kept()) as world:
        ask(world)
        serve(friday, "v-020", 60, date(2026, 10, 14))
        assert ask(world).output == "nothing new to tell anybody\n"
        friday.clock.forward(days=1)
        assert ask(world).exit_code == 0
    assert kept.people[len(EVERYBODY) :] == ["i-01"]
    assert "2 entries of hours wait" in kept.mails[-1][1].get_content()


def test_whoever_has_turned_digests_off_gets_none_until_they_turn_them_on(friday: World) -> None:
    """On their own page, and nobody else's."""
    visitor = Visitor(create_app(friday.instance, testing=True).test_client()).sign_in("v-001")
    assert "You get digests by mail" in visitor.get("/me").text
    assert visitor.send("/me", "/me/digests").status_code == 303
    assert "You get no digests" in visitor.get("/me").text
    with served(friday, kept := Kept()) as world:
        ask(world)
        assert kept.people == [one for one in EVERYBODY if one != "v-001"]
        visitor.send("/me", "/me/digests")
        ask(world)
        assert kept.people[-1] == "v-001"
