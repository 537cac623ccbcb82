"""Certificates through HTTP: own ones, issuing and revoking, verification by anybody."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from mentor_training.application import create_app
from mentor_training.certificates.actions import issue
from mentor_training.certificates.queries import certificate_for
from mentor_training.people.tables import SignInTry
from tests.builders import FRIDAY, NOON, SETTINGS, World, make_world
from tests.certificates.holders import INSTRUCTOR, KIND, add_people, issued, void
from tests.sign_in import Visitor
from tests.small_program import small_files

Visit = Callable[[str], Visitor]
ISSUING = "/certificates/issuing"


@pytest.fixture
def class_of(world: World) -> World:
    return add_people(world)


@pytest.fixture
def anybody(class_of: World) -> Visitor:
    """Give somebody without an account."""
    return Visitor(create_app(class_of.instance, testing=True).test_client())


def main_of(page: str) -> str:
    """Return what a page says, without the moment at which it was made and without tokens."""
    inner = page[page.index("<main") : page.index("</main>")]
    return re.sub(r"Asked [^.]*\.", "", inner)


def test_a_certificate_is_issued_and_the_volunteer_takes_it_away(class_of: World, visitor: Visit) -> None:
    """Who is ready is offered; who is not stands below with the reasons."""
    teacher = visitor("i-01")
    page = teacher.get(ISSUING).text
    assert "1 can be issued now; 0 are valid" in page
    assert "Guarding a balance task (skill)" in page
    assert teacher.fill(page, f"{ISSUING}/v-001/{KIND}").status_code == 303
    assert "C-2026-0001 is issued to Odalys Brannagh" in teacher.get(ISSUING).text
    mine = visitor("v-001")
    assert "Balance lane mentor" in mine.get("/certificates").text
    paper = mine.get("/certificates/C-2026-0001.pdf")
    assert (paper.status_code, paper.content_type) == (200, "application/pdf")
    assert teacher.get("/certificates/issued/C-2026-0001.pdf").data == paper.data


def test_a_volunteer_reads_what_is_missing(class_of: World, visitor: Visit) -> None:
    """Every no says what would make it a yes."""
    page = visitor("v-002").get("/certificates").text
    assert "Still missing" in page
    assert "Guarding a balance task (skill)" in page


def test_somebody_elses_certificate_is_not_open(class_of: World, visitor: Visit) -> None:
    """Not to another volunteer, not to the instructor of another section; an observer has no such page."""
    number, _ = issued(class_of)
    assert visitor("v-002").get(f"/certificates/{number}.pdf").status_code == 403
    other = visitor("i-02")
    assert other.get(f"/certificates/issued/{number}.pdf").status_code == 403
    assert other.get(f"/certificates/issued/{number}/revoke").status_code == 403
    assert "Odalys" not in other.get(ISSUING).text
    assert visitor("v-001").get(ISSUING).status_code == 403


def test_a_form_that_issues_what_is_not_earned_is_refused(class_of: World, visitor: Visit) -> None:
    """A page with the reasons, and nothing stored."""
    teacher = visitor("i-01")
    page = teacher.get(ISSUING).text.replace(f"{ISSUING}/v-001/{KIND}", f"{ISSUING}/v-002/{KIND}")
    answer = teacher.fill(page, f"{ISSUING}/v-002/{KIND}")
    assert answer.status_code == 422
    assert "Missing: Guarding a balance task (skill)." in answer.text
    assert "0 are valid" in teacher.get(ISSUING).text


def test_revoking_says_first_what_will_happen_to_whom(class_of: World, visitor: Visit, anybody: Visitor) -> None:
    """Without a reason nothing happens; afterwards the PDF is not handed out, and verification says withdrawn."""
    number, code = issued(class_of)
    teacher, address = visitor("i-01"), f"/certificates/issued/{number}/revoke"
    assert "Odalys Brannagh loses this certificate for good" in teacher.get(address).text
    assert teacher.send(address, address).status_code == 422
    assert teacher.send(address, address, reason="Shown by mistake.").status_code == 303
    mine = visitor("v-001")
    assert "Shown by mistake." in mine.get("/certificates").text
    assert mine.get(f"/certificates/{number}.pdf").status_code == 422
    asked = anybody.get(f"/verify/{number}/{code}")
    assert asked.status_code == 200
    assert "withdrawn" in main_of(asked.text)
    assert "mistake" not in asked.text


def test_anybody_can_verify_and_learns_nothing_else_about_the_person(class_of: World, anybody: Visitor) -> None:
    """Number and code typed in lead to the address that the QR code carries."""
    number, code = issued(class_of)
    form = anybody.get("/verify")
    assert form.status_code == 200
    typed = f"{code[:4]} {code[4:].lower()}"
    led = anybody.get(f"/verify?number=%20{number.lower()}&code={typed.replace(' ', '%20')}")
    assert led.status_code == 303
    assert led.location == f"/verify/{number}/{code[:4]}-{code[4:8]}-{code[8:12]}-{code[12:]}"
    answer = anybody.get(led.location)
    assert answer.status_code == 200
    assert f"Certificate {number}: valid" in answer.text
    for secret in ("Odalys", "Brannagh", "v-001", "Balance lane", "KIN-372", "2026-10-16", KIND):
        assert secret not in main_of(answer.text)
    assert answer.headers["Cache-Control"] == "no-store"


def test_an_unknown_number_and_a_wrong_code_are_answered_alike(class_of: World, anybody: Visitor) -> None:
    """Nobody can find out which numbers there are, revoked ones included."""
    number, code = issued(class_of)
    wrong = anybody.get(f"/verify/{number}/{'2' * len(code)}")
    unknown = anybody.get(f"/verify/C-2026-9999/{code}")
    assert wrong.status_code == unknown.status_code == 404
    assert main_of(wrong.text).replace(number, "N") == main_of(unknown.text).replace("C-2026-9999", "N")
    assert "unknown" in wrong.text


def test_a_form_left_empty_says_what_to_write(anybody: Visitor) -> None:
    """Beside the fields; what cannot be a code is answered unknown and breaks nothing."""
    answer = anybody.get("/verify?number=&code=")
    assert answer.status_code == 422
    assert "Write the number" in answer.text
    assert anybody.get("/verify/x/y").status_code == 404
    led = anybody.get("/verify?number=a/b&code=%C3%84%C3%96")
    assert led.status_code == 303
    assert anybody.get(led.location).status_code == 404


def test_a_lapsed_certificate_is_answered_so_and_another_can_be_issued(class_of: World, anybody: Visitor) -> None:
    """Through its last day it is valid; the day after it has lapsed, and does not stand in the way of a new one."""
    files = small_files()
    files["program/certificates.toml"] += "good_for_months = 6\n"
    class_of.publish(files, date(2026, 10, 1), 2)
    number, code = issued(class_of)
    class_of.clock.moment = NOON + timedelta(days=182)
    assert f"Certificate {number}: valid" in anybody.get(f"/verify/{number}/{code}").text
    class_of.clock.moment += timedelta(days=1)
    answer = anybody.get(f"/verify/{number}/{code}")
    assert answer.status_code == 200
    assert f"Certificate {number}: lapsed" in answer.text
    with class_of.writing() as db:
        assert issue(db, class_of.clock.now(), INSTRUCTOR, "v-001", KIND, date(2027, 4, 17)).number == "C-2027-0001"


def test_whoever_tries_numbers_out_has_to_wait_and_nobody_else(class_of: World, anybody: Visitor) -> None:
    """After twenty unknown answers even the right code is not answered to that client, for a quarter of an hour."""
    number, code = issued(class_of)
    for _ in range(25):
        assert anybody.get(f"/verify/{number}/{code}").status_code == 200
    for _ in range(20):
        assert anybody.get(f"/verify/{number}/{'2' * len(code)}").status_code == 404
    assert anybody.get(f"/verify/{number}/{code}").status_code == 429
    elsewhere = {"REMOTE_ADDR": "192.0.2.7"}
    assert anybody.client.get(f"/verify/{number}/{code}", environ_base=elsewhere).status_code == 200
    class_of.clock.moment += timedelta(minutes=15)
    assert anybody.get(f"/verify/{number}/{code}").status_code == 200
    anybody.get(f"/verify/{number}/X")
    with class_of.reading() as db:
        assert len(db.scalars(select(SignInTry).where(SignInTry.email == "verify:unknown")).all()) == 1


def test_behind_a_proxy_each_client_waits_for_itself(tmp_path: Path) -> None:
    """`proxies` says how many are believed about who asks; with none, what a client writes itself is not."""
    for proxies, mine, other in (("proxies = 1\n", 429, 404), ("", 429, 429)):
        world = make_world(tmp_path / f"instance{proxies[-2:-1]}", settings=SETTINGS + proxies)
        world.publish()
        client = create_app(world.instance, testing=True).test_client()

        def ask(forwarded: str, client: Any = client) -> int:
            return int(client.get("/verify/C-2026-0001/X", headers={"X-Forwarded-For": forwarded}).status_code)

        # What stands before the last address a client may have written, and lets nobody wait in another's place.
        assert {ask(f"203.0.113.{number}, 192.0.2.7") for number in range(20)} == {404}
        assert (ask("192.0.2.7"), ask("192.0.2.8")) == (mine, other)
        world.instance.database.close()


def test_evidence_voided_later_is_said_and_revoking_is_offered(class_of: World, visitor: Visit) -> None:
    """Nothing is revoked by itself; the form says what has changed."""
    number, _ = issued(class_of)
    teacher = visitor("i-01")
    assert "in doubt" not in teacher.get(ISSUING).text
    void(class_of, "r-0002")
    assert "1 certificate is in doubt" in visitor("c-01").get("/today").text
    page = teacher.get(ISSUING).text
    assert "1 of them in doubt" in page
    assert "record r-0002 was voided or withdrawn since" in page
    assert f"Revoke it: {number}, which is in doubt" in page
    assert f"Issue it anew: {number}, which is in doubt" not in page
    assert "record r-0002 was voided" in teacher.get(f"/certificates/issued/{number}/revoke").text
    refused = teacher.send(
        f"/certificates/issued/{number}/reissue", f"/certificates/issued/{number}/reissue", reason="x"
    )
    assert refused.status_code == 422
    assert "Missing on its day, by what is known now: Guarding a balance task (skill)" in refused.text
    assert "1 are valid" in page or "1 is valid" in page


def test_a_certificate_with_a_wrong_name_is_issued_anew_for_its_day(
    class_of: World, visitor: Visit, anybody: Visitor
) -> None:
    """Day and last day stay; the old one is withdrawn, and says which one stands for it."""
    number, code = issued(class_of)
    class_of.add_person("v-001", name="Odalys Brannagh-Quill", sections="KIN-372-A")
    class_of.clock.moment = NOON + timedelta(days=3)
    teacher, address = visitor("i-01"), f"/certificates/issued/{number}/reissue"
    assert "gets another certificate for the same day" in teacher.get(address).text
    assert teacher.send(address, address).status_code == 422
    assert teacher.send(address, address, reason="The name was written wrong.").status_code == 303
    page = teacher.get(ISSUING).text
    assert "C-2026-0002 is issued for it" in page
    assert f"for {number}" in page
    with class_of.reading() as db:
        new = certificate_for(db, INSTRUCTOR, "C-2026-0002").certificate
        assert (new.content["name"], new.content["replaces"]) == ("Odalys Brannagh-Quill", number)
        assert new.day == FRIDAY
    assert "withdrawn" in anybody.get(f"/verify/{number}/{code}").text
    assert teacher.send(address, address, reason="Again.").status_code == 422
