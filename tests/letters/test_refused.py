"""An address that a server refuses for good: set aside, shown to the coordinator, tried again once put right."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.application import create_app
from mentor_training.letters.digests import (
    Ended,
    Outcome,
    is_about_the_address,
    refusals_in_a_row,
)
from mentor_training.people.queries import person_for
from tests.builders import NOON, World
from tests.letters.friday import ask, served
from tests.letters.mail_server import Kept
from tests.sign_in import Visitor

WRONG = "v-002@marrowdale.example"


def refuse(world: World, times: int) -> None:
    """Have one address refused so often, a day apart."""
    kept = Kept(refused={WRONG})
    with served(world, kept) as sending:
        for _ in range(times):
            assert "v-002: the address is refused by the server (550)" in ask(sending).output
            world.clock.forward(hours=1)


def test_after_three_refusals_an_address_is_set_aside_and_said(friday: World) -> None:
    """Nothing is begun for it any more; the run says who it is and what puts it right, and ends well."""
    friday.add_person("c-01", "coordinator")
    refuse(friday, 3)
    with served(friday, kept := Kept()) as world:
        again = ask(world)
        assert "v-002: set aside, this address was refused 3 times" in again.output
        assert again.exit_code == 0
        assert kept.people == ["c-01"]
    said = {to.partition("@")[0]: " ".join(mail.get_content().split()) for to, mail, _ in kept.mails}
    assert "1 address is refused by the mail server, so that nothing is sent there any more." in said["c-01"]
    assert "v-002" not in said


def test_another_address_is_tried_by_itself(friday: World) -> None:
    """As soon as it is on file; what was never told is told then."""
    refuse(friday, 3)
    with friday.writing() as db:
        person_for(db, "v-002").email = "right@marrowdale.example"
    with served(friday, kept := Kept()) as world:
        assert ask(world).output == "v-002: sent\n"
    assert kept.people == ["right"]


def test_the_coordinator_has_the_same_address_tried_again(friday: World) -> None:
    """A full mailbox that was emptied: on the page, with a journal entry; nobody else sees the page."""
    refuse(friday, 3)
    friday.add_person("c-01", "coordinator")
    app = create_app(friday.instance, testing=True)
    coordinator = Visitor(app.test_client()).sign_in("c-01")
    assert "put that right" in coordinator.get("/letters").text
    page = coordinator.get("/letters/addresses").text
    assert "1 address is set aside" in page
    assert WRONG in page
    again = "/letters/addresses/v-002/again"
    assert coordinator.send("/letters/addresses", again).status_code == 303
    assert "has refused no address" in coordinator.get("/letters/addresses").text
    assert Visitor(app.test_client()).sign_in("i-01").get("/letters/addresses").status_code == 403
    with served(friday, kept := Kept()) as world:
        assert "v-002: sent" in ask(world).output
    assert "v-002" in kept.people


def test_a_refusal_of_the_sender_sets_nobody_aside(friday: World) -> None:
    """A server that does not take mail from us says nothing of the address."""
    kept = Kept(refused={WRONG}, refusal="550 5.7.1 Relaying denied")
    with served(friday, kept) as world:
        for _ in range(4):
            assert "v-002: refused by the server (550)" in ask(world).output
    with served(friday, kept := Kept()) as world:
        assert ask(world).output == "v-002: sent\n"


def test_an_address_that_no_mail_can_have_is_refused_as_well(friday: World) -> None:
    """Letters beyond ASCII before the @ need an extension that is not asked for; nothing is sent."""
    with friday.writing() as db:
        person_for(db, "v-002").email = "łęcki@marrowdale.example"
    with served(friday, kept := Kept()) as world:
        assert "v-002: the address is refused" in ask(world).output
    assert "łęcki" not in kept.people


@pytest.mark.parametrize(
    ("code", "words", "about"),
    [
        (550, "5.1.1 nobody here", True),
        (551, "not local", True),
        (553, "5.1.3 no such form", True),
        (550, "", True),
        (550, "5.7.1 relaying denied", False),
        (530, "5.7.0 sign in first", False),
        (552, "5.2.2 the mailbox is full", False),
        (450, "4.2.1 later", False),
        (250, "fine", False),
    ],
)
def test_what_a_server_says_of_an_address(code: int, words: str, about: bool) -> None:
    """RFC 5321, 4.2.3, and the classes of RFC 3463."""
    assert is_about_the_address(code, words) is about


ENDS = st.lists(
    st.tuples(st.booleans(), st.sampled_from(("", *(str(one) for one in Outcome)))), max_size=12
)  # fmt: skip


@given(ends=ENDS, after=st.integers(0, 12))
def test_refusals_in_a_row_are_those_since_anything_spoke_for_the_address(
    ends: list[tuple[bool, str]], after: int
) -> None:
    """A naive model: cut at the newest that was accepted, went elsewhere or was forgiven; count the refusals."""
    mails = [Ended(number, here, outcome, 550, NOON) for number, (here, outcome) in enumerate(ends, 1)]
    good = [one.number for one in mails if not one.to_this_address or one.outcome == "accepted"]
    since = max([0, after, *good])
    wanted = [one.number for one in mails if one.number > since and one.outcome == "address-refused"]
    assert [one.number for one in refusals_in_a_row(reversed(mails), after)] == wanted[::-1]
