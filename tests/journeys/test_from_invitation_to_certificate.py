"""One volunteer from invitation to certificate: every step through a page, each by the person whose step it is."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import Flask

from mentor_training.application import create_app
from mentor_training.journal.queries import find_break
from tests.builders import PASSWORD, World, make_world
from tests.sign_in import Visitor

ROSTER = """\
person,name,email,roles,section
v-001,Odalys Brannagh,v-001@marrowdale.example,volunteer,KIN-372-A
o-01,Sunniva Tallis,o-01@marrowdale.example,observer,
o-02,Anders Quell,o-02@marrowdale.example,observer,
i-01,Hadrian Mossop,i-01@marrowdale.example,course-instructor,KIN-372-A
"""
PARTICIPANTS = "participant,first_name,adaptation_level,needs,keep_apart,wishes\np-01,Imre,2,fall-risk,,v-001\n"
CARDS = "participant,version,first_day,review_by,text\np-01,1,2026-09-01,2027-06-30,Stay on his left side.\n"
SESSIONS = """\
session,title,day,starts,ends,blocks,stations,participants,volunteers,observers
s-01,Saturday morning,2026-10-17,09:30,11:15,09:50-10:02;10:05-10:17,balance-lane;target-games,p-01,v-001,o-01;o-02
"""
SATURDAY_MORNING = datetime(2026, 10, 17, 13, 25, tzinfo=UTC)  # 09:25 in New York
MARKS = {f"mark_{number}": "done" for number in range(1, 5)}


@pytest.fixture
def story(tmp_path: Path) -> Iterator[World]:
    """Give an instance in which nothing has happened but that a coordinator has an account."""
    world = make_world(tmp_path / "instance", datetime(2026, 9, 1, 14, 0, tzinfo=UTC))
    world.publish()
    world.add_person("c-01", "coordinator", name="Wilhelmina Quarrie")
    yield world
    world.instance.database.close()


class Cast:
    """Signs people in, once each, on the story's application."""

    def __init__(self, world: World) -> None:
        self.app: Flask = create_app(world.instance, testing=True)
        self.signed_in: dict[str, Visitor] = {}

    def __getitem__(self, code: str) -> Visitor:
        if code not in self.signed_in:
            self.signed_in[code] = self.newcomer().sign_in(code)
        return self.signed_in[code]

    def newcomer(self) -> Visitor:
        """Return somebody who has not signed in."""
        return Visitor(self.app.test_client())


def upload(visitor: Visitor, page: str, action: str, text: str, field: str = "file") -> None:
    """Send a CSV on the page that takes it."""
    sent = visitor.send(page, action, **{field: (io.BytesIO(text.encode()), "file.csv")})
    assert sent.status_code == 303, sent.text


def welcome(cast: Cast, code: str) -> None:
    """Have the coordinator invite somebody, and have them choose the password of all tests."""
    shown = cast["c-01"].send("/people", f"/people/{code}/invite").text
    address = "/welcome/" + shown.split("/welcome/")[1].split("<")[0].strip()
    answer = cast.newcomer().send(address, address, password=PASSWORD, again=PASSWORD)
    assert answer.status_code == 303, answer.text


def move_in(cast: Cast) -> None:
    """Take people, participants, cards and the session in, and make the observers count."""
    coordinator = cast["c-01"]
    upload(coordinator, "/people", "/people/import", ROSTER)
    upload(coordinator, "/participants", "/participants/import", PARTICIPANTS)
    upload(coordinator, "/participants", "/participants/cards/import", CARDS, "cards")
    upload(coordinator, "/sessions", "/sessions/import", SESSIONS)
    for code in ("v-001", "o-01", "o-02", "i-01"):
        welcome(cast, code)
    for observer in ("o-01", "o-02"):
        page = f"/observers/{observer}"
        entry = {"skill": "*", "first_day": "2026-09-01", "reason": "Calibrated at the other site."}
        for kind in ("calibrated", "entitled"):
            answer = coordinator.send(page, f"{page}/standing", kind=kind, **entry)
            assert answer.status_code == 303, answer.text


def learn(cast: Cast) -> None:
    """Read the module, acknowledge its caution, take the quiz and pass."""
    reader = cast["v-001"]
    for section in ("opening", "hands", "exits"):
        reader.send(f"/learn/safety/read/{section}", f"/learn/safety/read/{section}")
    reader.send("/learn/safety/end", "/learn/safety/caution/call")
    first = reader.send("/quiz/safety", "/quiz/safety").location
    assert first is not None
    number = int(first.split("/")[2])
    for place in range(1, 6):
        answer(reader, f"/attempt/{number}/{place}")
    closing = f"/attempt/{number}/close"
    result = reader.send(closing, closing).location
    assert result is not None
    assert "Passed" in reader.get(result).text


def answer(reader: Visitor, page: str) -> None:
    """Answer one scenario rightly, whichever of the five it is, by what stands on its page."""
    text = reader.get(page).text
    if "Put the emergency in order" in text:
        values: dict[str, object] = {"place-shout": "1", "place-send": "2", "place-write": "3"}
    elif "How long do you wash" in text:
        values = {"value": "20", "unit": "s"}
    elif "A door opens" in text:
        for words in ("Offer a job", "Tell the door watch"):
            assert reader.send(page, page, choice=option(reader.get(page).text, words)).status_code == 303
        return
    elif "gray and sweating" in text:
        values = {"pick": option(text, "Stay, call")}
    else:
        values = {"picks": [option(text, "Before the session"), option(text, "After touching")]}
    assert reader.send(page, page, **values).status_code == 303


def option(page: str, words: str) -> str:
    """Return the value of the option that begins with some words, as a person finds it by reading."""
    before = page[: page.index(words)]
    found: list[str] = re.findall(r'<input[^>]*value="(\d+)"', before)
    return found[-1]


def bring_papers(cast: Cast) -> None:
    """Put the background check on file, and have it verified."""
    sent = cast["v-001"].send("/papers", "/papers", paper="background-check", issued="2026-08-20")
    assert sent.status_code == 303, sent.text
    waiting = cast["c-01"].get("/papers/waiting").text
    verify = next(iter(re.findall(r'href="(/papers/\d+/verify)"', waiting)))
    assert cast["c-01"].send(verify, verify).status_code == 303


def be_seen(world: World, cast: Cast) -> None:
    """Be seen guarding by two observers on two days, and be signed off by the second."""
    for observer, days in (("o-01", 20), ("o-02", 7)):
        world.clock.forward(days=days)
        cast.signed_in.clear()
        sent = cast[observer].send("/observe/v-001/guarding", "/observe/v-001/guarding", **MARKS, live="live")
        assert sent.status_code == 303, sent.text
    page = "/observe/v-001/guarding/sign-off"
    signed = cast["o-02"].send(page, page, password=PASSWORD)
    assert signed.status_code == 303, signed.text


def serve(world: World, cast: Cast) -> None:
    """Read the card, be placed with Imre, come and go, and have the session closed."""
    world.clock.moment = SATURDAY_MORNING
    cast.signed_in.clear()
    coordinator, volunteer = cast["c-01"], cast["v-001"]
    place = "/sessions/s-01/blocks/1/place"
    refused = coordinator.send(f"{place}?participant=p-01", "/sessions/s-01/hand/p-01/v-001")
    assert refused.status_code == 303
    volunteer.send("/pairing/cards/p-01/1", "/pairing/cards/p-01/1")
    for block in (1, 2):
        page = f"/sessions/s-01/blocks/{block}/place?participant=p-01"
        placed = coordinator.send(page, page.split("?")[0], who="balance-lane|v-001")
        assert placed.status_code == 303, placed.text
    assert "Imre" in volunteer.get("/pairing").text
    arrivals = "/sessions/s-01/check-in"
    for kind, who in (("participant", "p-01"), ("volunteer", "v-001")):
        assert coordinator.send(arrivals, f"{arrivals}/{kind}/{who}").status_code == 303
    world.clock.forward(minutes=97)
    assert coordinator.send(arrivals, "/sessions/s-01/check-out/volunteer/v-001").status_code == 303
    world.clock.forward(minutes=20)
    closed = coordinator.send("/sessions/s-01/close", "/sessions/s-01/close")
    assert closed.status_code == 303, closed.text


def state_hours(world: World, cast: Cast) -> str:
    """Have the instructor approve the hours and make a statement, and return it as CSV."""
    world.clock.forward(days=1)
    cast.signed_in.clear()
    instructor, section = cast["i-01"], "/hours/sections/KIN-372-A"
    page = instructor.get(section).text
    entries = re.findall(r'name="entry"[^>]*value="(\d+)"', page) or re.findall(r'value="(\d+)"[^>]*name="entry"', page)
    assert instructor.fill(page, f"{section}/approve", entry=entries).status_code == 303
    made = instructor.send(f"{section}/statement?through=2026-10-18", f"{section}/statement")
    assert made.location == "/hours/statements/ST-2026-0001", made.text
    return instructor.get("/hours/statements/ST-2026-0001.csv").text


def test_one_volunteer_goes_from_invitation_to_certificate(story: World) -> None:
    """The whole way, each step by the person whose step it is; and in the end the journal holds."""
    cast = Cast(story)
    move_in(cast)
    assert "Not yet" in cast["v-001"].get("/clearance/people/v-001").text
    learn(cast)
    bring_papers(cast)
    be_seen(story, cast)
    assert "Independent" in cast["v-001"].get("/clearance/people/v-001/at/balance-lane").text
    serve(story, cast)
    statement = state_hours(story, cast)
    assert '"direct"' in statement
    assert "97" in statement
    number, code = certify(cast)
    anybody = cast.newcomer()
    assert "valid" in anybody.get(f"/verify/{number}/{code}").text.lower()
    assert "Odalys" not in anybody.get(f"/verify/{number}/{code}").text
    assert "unknown" in anybody.get(f"/verify/{number}/nothing").text.lower()
    revoke = f"/certificates/issued/{number}/revoke"
    assert cast["i-01"].send(revoke, revoke, reason="Issued under the wrong name.").status_code == 303
    assert "withdrawn" in anybody.get(f"/verify/{number}/{code}").text.lower()
    with story.reading() as db:
        assert find_break(db) is None


def certify(cast: Cast) -> tuple[str, str]:
    """Have the instructor issue the certificate, and return its number and code as they stand on it."""
    issued = cast["i-01"].send("/certificates/issuing", "/certificates/issuing/v-001/lane-mentor")
    assert issued.status_code == 303, issued.text
    paper = cast["v-001"].get("/certificates/C-2026-0001.pdf")
    assert paper.data.startswith(b"%PDF-")
    found = re.search(r"/verify/(C-2026-0001)/([^\"\s<]+)", cast["v-001"].get("/certificates").text)
    assert found is not None
    return found[1], found[2]
