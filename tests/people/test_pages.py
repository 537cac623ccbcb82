"""Signing in, invitations and the roster, through HTTP."""

from __future__ import annotations

import io
from collections.abc import Callable

import pytest

from mentor_training.application import create_app
from mentor_training.journal.queries import entries
from mentor_training.people.queries import person_for
from tests.builders import PASSWORD, World
from tests.sign_in import Visitor

ROSTER = "person,name,email,roles,section\r\nv-001,Odalys Brannagh,odalys@marrowdale.example,volunteer,KIN-372-A\r\n"


def test_an_invited_person_chooses_a_password_and_is_in(world: World, visitor: Callable[[str], Visitor]) -> None:
    """The coordinator takes a roster in, invites, and the invitation leads to a password and works once."""
    world.add_person("c-01", "coordinator")
    coordinator = visitor("c-01")
    sent = coordinator.send("/people", "/people/import", file=(io.BytesIO(ROSTER.encode()), "people.csv"))
    assert sent.status_code == 303
    shown = coordinator.send("/people", "/people/v-001/invite").text
    token = shown.split("/welcome/")[1].split("<")[0].strip()
    newcomer = Visitor(create_app(world.instance, testing=True).test_client())
    words = "copper finches at the pond"
    welcome = newcomer.send(f"/welcome/{token}", f"/welcome/{token}", password=words, again=words)
    assert welcome.status_code == 303
    assert newcomer.get("/path").status_code == 200
    assert newcomer.get(f"/welcome/{token}").status_code == 404


def test_a_roster_with_a_broken_row_takes_nothing_in_and_names_row_and_column(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """All findings at once, nothing stored."""
    world.add_person("c-01", "coordinator")
    broken = ROSTER + "v-002,,nobody,helper,\r\n"
    answer = visitor("c-01").send("/people", "/people/import", file=(io.BytesIO(broken.encode()), "people.csv"))
    assert answer.status_code == 422
    for finding in ("row 3, column name", "row 3, column email", "row 3, column roles"):
        assert finding in answer.text
    assert visitor("c-01").get("/people").text.count("v-001") == 0


def test_five_wrong_passwords_make_the_sixth_wait(world: World) -> None:
    """Guessing is slowed down, and the right password waits too."""
    world.add_person("v-001")
    guest = Visitor(create_app(world.instance, testing=True).test_client())
    for _ in range(5):
        answer = guest.send(
            "/sign-in", "/sign-in", email="v-001@marrowdale.example", password="wrong words all of them"
        )
        assert answer.status_code == 422
    assert guest.send("/sign-in", "/sign-in", email="v-001@marrowdale.example", password="x").status_code == 429
    world.clock.forward(minutes=16)
    guest.sign_in("v-001")


def test_no_file_is_said_as_such_and_a_forgotten_password_is_helped(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """Not as a file that is empty; and whoever has a password already is invited again."""
    world.add_person("c-01", "coordinator", "Wilhelmina Quarrie")
    coordinator = visitor("c-01")
    answer = coordinator.send("/people", "/people/import")
    assert answer.status_code == 422
    assert "No file was chosen; choose one" in answer.text
    assert "Invite Wilhelmina Quarrie again" in coordinator.get("/people").text


def test_a_form_sent_twice_counts_once(world: World, visitor: Callable[[str], Visitor]) -> None:
    """The same page sent again leads to where it led the first time, and does nothing."""
    world.add_person("c-01", "coordinator")
    coordinator = visitor("c-01")
    page = coordinator.get("/people").text
    for _ in range(2):
        sent = coordinator.fill(page, "/people/import", file=(io.BytesIO(ROSTER.encode()), "people.csv"))
        assert sent.status_code == 303
    with world.reading() as db:
        assert person_for(db, "v-001").name == "Odalys Brannagh"
        assert len(entries(db, subject="v-001")) == 1


def test_a_form_without_its_token_is_not_taken(world: World, visitor: Callable[[str], Visitor]) -> None:
    """CSRF protection stands on every form."""
    world.add_person("c-01", "coordinator")
    assert visitor("c-01").client.post("/people/v-001/invite").status_code == 400


def test_a_volunteer_may_not_open_the_list_of_people(world: World, visitor: Callable[[str], Visitor]) -> None:
    """Permissions hold on the page, not only in the menu."""
    world.add_person("v-001")
    assert visitor("v-001").get("/people").status_code == 403


def test_signing_in_leads_only_within_the_site(world: World) -> None:
    """An address elsewhere is not followed."""
    world.add_person("v-001")
    guest = Visitor(create_app(world.instance, testing=True).test_client())
    page = guest.get("/sign-in?then=//elsewhere.example/x").text
    answer = guest.fill(page, "/sign-in", email="v-001@marrowdale.example", password="seven quiet herons stand")
    assert answer.location == "/"


def test_a_new_password_ends_every_session_begun_with_the_old_one(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """An invitation accepted elsewhere signs the old browser out."""
    world.add_person("c-01", "coordinator")
    world.add_person("v-001")
    old = visitor("v-001")
    shown = visitor("c-01").send("/people", "/people/v-001/invite").text
    token = shown.split("/welcome/")[1].split("<")[0].strip()
    words = "copper finches at the pond"
    newcomer = Visitor(create_app(world.instance, testing=True).test_client())
    assert newcomer.send(f"/welcome/{token}", f"/welcome/{token}", password=words, again=words).status_code == 303
    assert old.get("/path").status_code == 302


def test_a_form_left_open_is_not_taken_under_the_next_persons_name(
    world: World, visitor: Callable[[str], Visitor]
) -> None:
    """On a shared tablet the second person's session knows nothing of the first one's pages."""
    for code in ("c-01", "c-02"):
        world.add_person(code, "coordinator")
    shared = visitor("c-01")
    left_open = shared.get("/people").text
    shared.fill(left_open, "/sign-out")
    shared.sign_in("c-02")
    answer = shared.fill(left_open, "/people/import", file=(io.BytesIO(ROSTER.encode()), "people.csv"))
    assert answer.status_code == 400


def test_the_same_page_with_other_content_is_another_act(world: World, visitor: Callable[[str], Visitor]) -> None:
    """Going back, changing what was typed and sending again loses nothing."""
    world.add_person("c-01", "coordinator")
    coordinator = visitor("c-01")
    page = coordinator.get("/people").text
    for name in ("Odalys Brannagh", "Odalys Brannagh-Tay"):
        changed = ROSTER.replace("Odalys Brannagh", name)
        coordinator.fill(page, "/people/import", file=(io.BytesIO(changed.encode()), "people.csv"))
    with world.reading() as db:
        assert person_for(db, "v-001").name == "Odalys Brannagh-Tay"


def test_somebody_elsewhere_cannot_keep_a_person_out_with_five_tries(world: World) -> None:
    """Five from one place stop that place; fifty from everywhere stop the address."""
    world.add_person("v-001")
    app = create_app(world.instance, testing=True)
    stranger = app.test_client()
    stranger.environ_base["REMOTE_ADDR"] = "192.0.2.7"
    for _ in range(6):
        Visitor(stranger).send("/sign-in", "/sign-in", email="v-001@marrowdale.example", password="guess")
    Visitor(app.test_client()).sign_in("v-001")


@pytest.mark.parametrize(
    "elsewhere", ["//e.example/x", "/\t/e.example/x", "/\\e.example", "https://e.example", "/\n/e"]
)
def test_no_address_elsewhere_is_followed_however_it_is_written(world: World, elsewhere: str) -> None:
    """Browsers drop control characters and turn backslashes, so neither is let through."""
    world.add_person("v-001")
    guest = Visitor(create_app(world.instance, testing=True).test_client())
    page = guest.get("/sign-in").text
    answer = guest.fill(page, "/sign-in", email="v-001@marrowdale.example", password=PASSWORD, then=elsewhere)
    assert answer.location == "/"
