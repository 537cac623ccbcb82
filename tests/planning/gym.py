"""A full gym: sixty participants, each with a mentor in each of four blocks at six stations, with leads.

Three tenths of the mentors work supervised; some volunteers have a first name in common, and some participants do.
"""

from __future__ import annotations

from datetime import date, datetime

from mentor_training.calendar.actions import store_session
from mentor_training.calendar.rules import SessionFact, read_blocks
from mentor_training.evidence.actions import record
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.people.tables import Person
from mentor_training.planning.rules import DUTY, LEAD, MENTOR
from mentor_training.planning.tables import Placement
from tests.builders import World
from tests.planning.saturday import COORDINATES, SATURDAY, at
from tests.small_program import small_files

FIRST = (
    "Odalys", "Teodor", "Maren", "Quill", "Ansa", "Bexley", "Chidera", "Danique", "Eluned", "Faraz", "Guadalupe",
    "Hyun-ae", "Ikaika", "Juniper", "Kwabena", "Leocadia", "Mirembe", "Niamh", "Oisin", "Ann-Sophie", "Priyanka",
    "Roswitha", "Casimir", "Paloma", "Joachim", "Ferrin", "Marnix", "Lotte", "Nele", "Gerold", "Solveig", "Aurel",
    "Ivo", "Theda", "Anselm", "Wendeline", "Beck", "Oriel", "Tavish", "Zephira", "Koji", "Amadou", "Linnea", "Bram",
    "Yesenia", "Osku", "Thandeka", "Farid", "Perpetua", "Ngaio", "Dariel", "Milou", "Ishaan", "Greer", "Maximiliana",
)  # fmt: skip
LAST = ("Brannagh", "Wickensfell", "Oduvane", "Harrowmere", "Lindqvarne", "Tornbrook", "Okonwell", "Mooskevaart")
TITLES = (
    "Balance lane", "Target games", "Resistance corner", "Aerobic loop", "Pool deck", "Rhythm circle",
)  # fmt: skip
CAUTION = (
    "Dry floor and proper shoes, or it stays closed. A chair or rail within one step of every task. One mentor to one "
    "participant whenever a weight is overhead or could fall. The lead sets every load; mentors never raise them. "
    "The participant's own plan and licensed staff come first."
)
STATION = """
[[station]]
slug = "station-{number}"
title = "{title}"
activities = ["a-{number}"]
capacity = {room}
leads = 1
caution = "{caution}"
supervised = "module/safety"
independent = "skill/guarding"
lead = "skill/leading"
"""
DUTY_TEXT = """
[[station]]
slug = "arrival-desk"
title = "Arrival desk"
kind = "duty"
independent = "module/safety"
"""


def gym(world: World, participants: int = 60, blocks: int = 4, stations: int = 6) -> World:
    """Put the full gym into a world, its session being s-11."""
    files = small_files()
    room = -(-participants // stations) + 4
    texts = (
        STATION.format(number=at, title=TITLES[at % len(TITLES)], room=room, caution=CAUTION) for at in range(stations)
    )
    world.publish(files | {"program/stations.toml": "".join(texts) + DUTY_TEXT}, number=2)
    world.add_person("c-01", "coordinator", "Wilhelmina")
    world.add_person("o-01", "observer", "Sunniva")
    leads = stations * 2
    mentors = [f"v-{number:03}" for number in range(participants)]
    leading = [f"v-{participants + number:03}" for number in range(leads + 2)]
    people = [f"p-{number:03}" for number in range(participants)]
    _people(world, mentors, leading, people)
    slugs = tuple(f"station-{number}" for number in range(stations))
    _session(world, (*slugs, "arrival-desk"), people, [*mentors, *leading], blocks)
    with world.writing() as db:
        for block in range(1, blocks + 1):
            db.add_all(_block(block, slugs, mentors, leading, people))
    return world


def _people(world: World, mentors: list[str], leading: list[str], people: list[str]) -> None:
    now, day = world.clock.now(), date(2026, 9, 1)
    with world.writing() as db:
        for place, code in enumerate([*mentors, *leading]):
            name = f"{FIRST[place % len(FIRST)]} {LAST[place % len(LAST)]}"
            db.add(Person(**_person(code, name, now)))
        for place, code in enumerate(people):
            db.add(Participant(code=code, first_name=FIRST[(place * 7) % len(FIRST)]))
        db.flush()
        for place, code in enumerate(people):
            db.add(Profile(**_profile(code, now)))
            db.add(Card(**_card(code, now)))
            record(db, now, "console", mentors[place], "read-card", f"card/{code}@1", day)
        for place, code in enumerate([*mentors, *leading]):
            record(db, now, "console", code, "on-file", "paper/background-check", day)
            record(db, now, "console", code, "completed", "module/safety", day)
            if place % 10 > 2 or code in leading:
                record(db, now, "console", code, "signed-off", "skill/guarding", day)
            if code in leading:
                record(db, now, "console", code, "signed-off", "skill/leading", day)


def _person(code: str, name: str, now: datetime) -> dict[str, object]:
    return {
        "code": code, "name": name, "email": f"{code}@marrowdale.example", "roles": ("volunteer",), "sections": (),
        "conflicts": (), "recorded_at": now, "from_start": True,
    }  # fmt: skip


def _block(
    block: int, slugs: tuple[str, ...], mentors: list[str], leading: list[str], people: list[str]
) -> list[Placement]:  # fmt: skip
    """Return who is where in a block: everybody moves on by one station, and two lead each."""
    found = [_placed(block, "arrival-desk", leading[-1], DUTY, None, 2)]
    for place, code in enumerate(people):
        level = 2 if place % 10 > 2 else 1
        found.append(_placed(block, slugs[(place + block) % len(slugs)], mentors[place], MENTOR, code, level))
    for place, slug in enumerate(slugs):
        found += [_placed(block, slug, leading[place * 2 + more], LEAD, None, 3) for more in (0, 1)]
    return found


def _placed(block: int, station: str, mentor: str, role: str, participant: str | None, level: int) -> Placement:
    return Placement(
        session="s-11", block=block, station=station, mentor=mentor, role=role, participant=participant, level=level,
        placed_at=at("08:00"), placed_by="c-01",
    )  # fmt: skip


def _profile(code: str, now: datetime) -> dict[str, object]:
    return {
        "participant": code, "adaptation_level": 1, "needs": (), "keep_apart": (), "wishes": (), "first_day": None,
        "recorded_at": now, "recorded_by": "console", "from_start": True,
    }  # fmt: skip


def _card(code: str, now: datetime) -> dict[str, object]:
    return {
        "participant": code, "version": 1, "first_day": date(2026, 8, 1), "review_by": date(2027, 6, 30),
        "text": "Walk beside.", "recorded_at": now, "recorded_by": "console", "from_start": True,
    }  # fmt: skip


def _session(world: World, stations: tuple[str, ...], people: list[str], volunteers: list[str], blocks: int) -> None:
    starts, ends = at("09:30").time(), at("12:15").time()
    spans = read_blocks(str(blocks), starts, ends) or ()
    session = SessionFact(
        "s-11", "Week 6, Saturday morning", SATURDAY, starts, ends, spans, stations, tuple(people), tuple(volunteers),
        ("o-01",),
    )  # fmt: skip
    with world.writing() as db:
        store_session(db, world.clock.now(), COORDINATES, session)
