"""Whatever is done to two floors at the same time of the same day, in any order, no act breaks a rule.

By the program's own acts, through the database: placing and taking out, plans and repairs accepted late, after others
have changed the floor, sessions changed and moved to another hour, and under it all clearances and places that fall.
The rules are those of the checker that was written apart, over facts gathered here from the sessions and the program.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, initialize, rule
from sqlalchemy.orm import Session

from mentor_training.calendar.actions import store_session
from mentor_training.calendar.queries import session_for
from mentor_training.clearance.actions import pause
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.planning.actions.changing import move, swap, undo
from mentor_training.planning.actions.placing import accept, place, remove
from mentor_training.planning.actions.repairing import accept_repair
from mentor_training.planning.actions.sessions import save_session
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.changes import last_change
from mentor_training.planning.queries.plan import plan_for, standing_in
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed
from mentor_training.planning.solver.aims import COVERED
from mentor_training.planning.solver.repairing import Missing, Repair, repair
from mentor_training.planning.solver.search import best_plan
from mentor_training.program.catalog import Station
from tests.builders import make_world
from tests.planning.plan_checker import LevelOf, broken, lonely, newly_broken
from tests.planning.saturday import COORDINATES, PARTICIPANTS, SATURDAY, VOLUNTEERS, saturday, session
from tests.small_program import small_files

STATIONS = ("balance-lane", "target-games", "arrival-desk")
EVERYBODY = (*PARTICIPANTS, "p-04")
SESSIONS = ("s-11", "s-12")
# The second session's blocks: at the first one's time, across its edge, and after it.
HOURS = ("09:50-10:02;10:05-10:17", "10:00-10:12;10:15-10:27", "10:30-10:42;10:45-10:57")
Broken = Mapping[str, int]


@dataclass(frozen=True)
class Gym:
    """What the checker is told of a session."""

    blocks: Sequence[int]
    stations: Mapping[str, Station]
    participants: Sequence[str]
    volunteers: Sequence[str]
    supervised_per_lead: int
    keep_apart: Mapping[str, Sequence[str]]
    mentors: Mapping[tuple[str, str], int]
    elsewhere: Mapping[tuple[int, str], str]


def with_room(lane: int, games: int, leads: int) -> dict[str, str]:
    """Return the small program with other room, and leads that the target games ask for."""
    files = small_files()
    files["program/stations.toml"] = (
        files["program/stations.toml"]
        .replace("capacity = 4", f"capacity = {lane}")
        .replace("capacity = 6\nleads = 0", f"capacity = {games}\nleads = {leads}")
    )
    return files


class TwoFloors(RuleBasedStateMachine):
    """Two sessions with the same volunteers, and whatever is done to them."""

    plans: Bundle[tuple[str, tuple[Placed, ...]]] = Bundle("plans")
    repairs: Bundle[tuple[str, Repair]] = Bundle("repairs")

    @initialize()
    def begin(self) -> None:
        self.folder = TemporaryDirectory()
        self.world = make_world(Path(self.folder.name) / "instance")
        self.world.publish(with_room(lane=2, games=2, leads=1))
        self.editions = 1
        saturday(self.world)
        self.world.add_participant("p-04", keep_apart="v-002")
        for code in VOLUNTEERS:
            self.world.hold(code, "card/p-04@1")
        with self.world.writing() as db:
            for code in SESSIONS:
                store_session(db, self.world.clock.now(), COORDINATES, replace(session(code), participants=EVERYBODY))

    def teardown(self) -> None:
        self.world.instance.database.close()
        self.folder.cleanup()

    @contextmanager
    def act(self) -> Iterator[Session]:
        """Do something that may be refused, and hold what it leaves to the checker; refused, it has changed nothing."""
        before, stood, refused = self.broken(), self.placed(), False
        try:
            with self.world.writing() as db:
                yield db
        except (Refused, NotFound):
            refused = True
        assert not refused or self.placed() == stood
        assert newly_broken(before, self.broken()) == {}

    def placed(self) -> dict[str, list[Placed]]:
        with self.world.reading() as db:
            return {code: [one.placed for one in standing_in(db, code)] for code in SESSIONS}

    def broken(self) -> Broken:
        """Return every rule that either floor breaks now."""
        placed = self.placed()
        found: dict[str, int] = {}
        with self.world.reading() as db:
            for code in SESSIONS:
                gym, level_of = self.facts(db, code, placed)
                told = broken(gym, placed[code], level_of)
                found |= {f"{code}: {words}": much for words, much in told.items()}
        return found

    def facts(self, db: Session, code: str, placed: Mapping[str, Sequence[Placed]]) -> tuple[Gym, LevelOf]:
        """Gather what the checker is told: from the session, the program and the other session's plan."""
        here, plan = session_for(db, code), plan_for(db, code, self.world.clock.now())
        stations = {slug: plan.program.stations[slug] for slug in here.stations}
        needs = {one: [plan.program.needs[slug] for slug in profile.needs] for one, profile in plan.profiles.items()}
        mentors = {
            (one, slug): max([need.mentors for need in those
                              if not need.activities or set(need.activities) & set(station.activities)] or [1])
            for one, those in needs.items()
            for slug, station in stations.items()
        }  # fmt: skip
        elsewhere: dict[tuple[int, str], str] = {}
        for other in (session_for(db, name) for name in SESSIONS if name != code):
            times = {block.number: block for block in other.blocks}
            for one in placed[other.code]:
                at = times[one.block]
                for block in here.blocks:
                    if block.starts < at.ends and at.starts < block.ends:
                        elsewhere |= {(block.number, who): other.code for who in (one.mentor, one.participant) if who}
        apart = {"p-04": ("v-002",)}
        blocks = [block.number for block in here.blocks]
        per_lead = plan.program.policy.supervised_per_lead
        gym = Gym(blocks, stations, here.participants, here.volunteers, per_lead, apart, mentors, elsewhere)
        return gym, plan.level_of

    @rule(
        code=st.sampled_from(SESSIONS), block=st.integers(1, 3), station=st.sampled_from(STATIONS),
        mentor=st.sampled_from(VOLUNTEERS), participant=st.sampled_from((None, *EVERYBODY)),
        role=st.sampled_from(("", "", "", LEAD, DUTY, MENTOR)),
    )  # fmt: skip
    def places(self, code: str, block: int, station: str, mentor: str, participant: str | None, role: str) -> None:
        with self.act() as db:
            place(db, self.world.clock.now(), COORDINATES, code, block, station, mentor, participant, role)

    @rule(code=st.sampled_from(SESSIONS), number=st.integers(0, 12))
    def takes_out(self, code: str, number: int) -> None:
        with self.act() as db:
            rows = standing_in(db, code)
            if rows:
                remove(db, self.world.clock.now(), COORDINATES, code, rows[number % len(rows)].id)

    @rule(
        code=st.sampled_from(SESSIONS), number=st.integers(0, 12), station=st.sampled_from(STATIONS),
        participant=st.sampled_from((None, *EVERYBODY)), role=st.sampled_from(("", LEAD, DUTY)),
    )  # fmt: skip
    def moves(self, code: str, number: int, station: str, participant: str | None, role: str) -> None:
        with self.act() as db:
            if rows := standing_in(db, code):
                one = rows[number % len(rows)].id
                move(db, self.world.clock.now(), COORDINATES, code, one, station, participant, role)

    @rule(code=st.sampled_from(SESSIONS), first=st.integers(0, 12), second=st.integers(0, 12))
    def swaps(self, code: str, first: int, second: int) -> None:
        with self.act() as db:
            if rows := standing_in(db, code):
                ids = [rows[number % len(rows)].id for number in (first, second)]
                swap(db, self.world.clock.now(), COORDINATES, code, *ids)

    @rule(code=st.sampled_from(SESSIONS))
    def undoes(self, code: str) -> None:
        """Whatever was last: also undone after a clearance or a place has fallen."""
        with self.act() as db:
            if last := last_change(db, code):
                undo(db, self.world.clock.now(), COORDINATES, code, last.number)

    @rule(target=plans, code=st.sampled_from(SESSIONS))
    def proposes(self, code: str) -> tuple[str, tuple[Placed, ...]]:
        """Nobody free could cover anybody whom a proven plan leaves out."""
        placed, now = self.placed(), self.world.clock.now()
        with self.world.reading() as db:
            found = best_plan(question_of(db, plan_for(db, code, now), now))
            gym, level_of = self.facts(db, code, placed)
            before = broken(gym, placed[code], level_of)
            whole = [*placed[code], *found.added]
            assert newly_broken(before, broken(gym, whole, level_of)) == {}
            assert before or not found.aim(COVERED).proven or list(lonely(gym, whole, level_of)) == []
        return code, found.added

    @rule(plan=consumes(plans))
    def accepts(self, plan: tuple[str, tuple[Placed, ...]]) -> None:
        """At once or late: all of it, or nothing."""
        code, added = plan
        count = len(self.placed()[code])
        with self.act() as db:
            accept(db, self.world.clock.now(), COORDINATES, code, added)
        assert len(self.placed()[code]) in (count, count + len(added))

    @rule(
        target=repairs, code=st.sampled_from(SESSIONS), first=st.integers(1, 2),
        gone=st.sets(st.sampled_from((*VOLUNTEERS, *EVERYBODY)), max_size=3), closed=st.sampled_from((None, *STATIONS)),
    )  # fmt: skip
    def mends(self, code: str, first: int, gone: set[str], closed: str | None) -> tuple[str, Repair]:
        now = self.world.clock.now()
        with self.world.reading() as db:
            asked = question_of(db, plan_for(db, code, now), now)
        missing = Missing(frozenset(gone), frozenset({closed} if closed else ()))
        return code, repair(asked, missing, [block for block in asked.floor.blocks if block >= first])

    @rule(mended=consumes(repairs))
    def accepts_a_repair(self, mended: tuple[str, Repair]) -> None:
        code, found = mended
        with self.act() as db:
            accept_repair(db, self.world.clock.now(), COORDINATES, code, found.removed, found.added)

    @rule(
        code=st.sampled_from(SESSIONS), station=st.sampled_from((None, *STATIONS)),
        gone=st.sets(st.sampled_from((*VOLUNTEERS, *EVERYBODY)), max_size=2), hours=st.sampled_from(HOURS),
    )  # fmt: skip
    def changes_the_session(self, code: str, station: str | None, gone: set[str], hours: str) -> None:
        """A station closed, somebody not expected, another hour; what is not named is back again."""
        new = session(code, blocks=hours)
        new = replace(
            new,
            stations=tuple(slug for slug in STATIONS if slug != station),
            participants=tuple(one for one in EVERYBODY if one not in gone),
            volunteers=tuple(one for one in VOLUNTEERS if one not in gone),
        )
        with self.act() as db:
            save_session(db, self.world.clock.now(), COORDINATES, new)

    @rule(code=st.sampled_from(SESSIONS))
    def leaves_out_the_last_block(self, code: str) -> None:
        new = session(code, blocks=HOURS[0].split(";")[0])
        with self.act() as db:
            save_session(db, self.world.clock.now(), COORDINATES, replace(new, participants=EVERYBODY))

    @rule(who=st.sampled_from(VOLUNTEERS), scope=st.sampled_from(("", *STATIONS)))
    def stands_down(self, who: str, scope: str) -> None:
        """What stood may be broken by it, and nothing that is done afterwards may break more."""
        with self.world.writing() as db:
            now = self.world.clock.now()
            pause(db, now, COORDINATES, who, STOOD_DOWN, scope, SATURDAY, None, "A doubt; talk first.")

    @rule(lane=st.integers(0, 3), games=st.integers(0, 3), leads=st.integers(0, 2))
    def publishes(self, lane: int, games: int, leads: int) -> None:
        """The same: less room, or more leads asked for, under those who stand."""
        self.editions += 1
        self.world.publish(with_room(lane, games, leads), date(2026, 8, 1), self.editions)


TestTwoFloors = TwoFloors.TestCase
TestTwoFloors.settings = settings(max_examples=25, stateful_step_count=16)
