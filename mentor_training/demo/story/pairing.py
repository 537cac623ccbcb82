"""Planning a session: first those who are to be seen are paired under a lead, then the program proposes the rest."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.demo.cast import SPECIAL, luck
from mentor_training.demo.stage import Stage
from mentor_training.demo.story.observing import FAVORED, Notebook
from mentor_training.planning.actions.placing import accept, place
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import Plan, plan_for
from mentor_training.planning.rules import LEAD, MENTOR, Placed, refusals
from mentor_training.planning.solver.search import best_plan
from mentor_training.program.catalog import Level

TRAINEES = 7
WHERE = {
    "consented-help": ("target-games", "rhythm-floor"),
    "line-of-sight": ("rhythm-floor", "target-games"),
    "inclusive-game": ("target-games", "rhythm-floor"),
    "form-cue-levels": ("rhythm-floor", "resistance-corner", "balance-lane"),
    "effort-and-stop-signs": ("balance-lane", "resistance-corner"),
    "guarding-balance": ("balance-lane",),
    "spotting-resistance": ("resistance-corner",),
    "hand-under-hand": ("rhythm-floor",),
    "board-partner": ("target-games", "rhythm-floor"),
}


@dataclass
class Pairing:
    """One session's plan in the making, as the coordinator thinks it through before anything is stored."""

    plan: Plan
    book: Notebook
    trained: dict[str, int]
    placed: list[Placed] = field(default_factory=list)

    def try_to_place(self, new: Placed) -> bool:
        """Take somebody into the plan if no rule speaks against it."""
        if refusals(self.plan.floor, self.placed, new):
            return False
        self.placed.append(new)
        return True

    def free(self, block: int, codes: tuple[str, ...]) -> list[str]:
        """Return who of some people is nowhere yet in a block."""
        busy = {one.mentor for one in self.placed if one.block == block}
        return [code for code in codes if code not in busy]

    def set_leads(self, block: int) -> None:
        """Put leads where trainees can work under them: two each where games and music are, one at each other place."""
        able_at = {
            slug: [who for who in self.free(block, self.plan.floor.volunteers) if self.level(who, slug) >= Level.LEAD]
            for slug in self.plan.floor.places
        }
        for slug in sorted(able_at, key=lambda slug: len(able_at[slug])):
            wanted = 2 if slug in ("target-games", "rhythm-floor") else 1
            for who in sorted(able_at[slug], key=self._spared):
                if sum((one.block, one.station, one.role) == (block, slug, LEAD) for one in self.placed) < wanted:
                    self.try_to_place(Placed(block, slug, who, LEAD, None, self.level(who, slug)))

    def _spared(self, who: str) -> tuple[bool, int, str]:
        led = sum(one.mentor == who and one.role == LEAD for one in self.placed)
        return (who in SPECIAL["shallow-water"], -led, who)

    def level(self, who: str, station: str, participant: str | None = None) -> int:
        """Return a clearance's level on the session's day."""
        return self.plan.level_of(who, station, participant)

    def train(self, block: int, who: str) -> bool:
        """Place a trainee where the next skill is practiced, with somebody they have not worked with yet today."""
        known = {one.participant for one in self.placed if one.mentor == who}
        for skill in self.book.wanted(who):
            for slug in WHERE[skill]:
                for participant in self.plan.floor.participants:
                    alone = slug in self.plan.floor.stations and self.plan.floor.wanted(participant, slug) == 1
                    level = self.level(who, slug, participant) if alone and participant not in known else 0
                    met = any((one.block, one.participant) == (block, participant) for one in self.placed)
                    if level and not met and self.try_to_place(Placed(block, slug, who, MENTOR, participant, level)):
                        return True
        return False


def plan_session(
    db: Session,
    at: datetime,
    stage: Stage,
    code: str,
    book: Notebook,
    trained: dict[str, int],
    trainees: int,
) -> None:
    """Place trainees and their leads, then what the program proposes."""
    plan = plan_for(db, code, at)
    plan.gate.load_everybody()
    made = Pairing(plan, book, trained)
    blocks = plan.floor.blocks
    for half in (blocks[:2], blocks[2:]) if trainees else ():
        for block in half:
            made.set_leads(block)
        _train_in(made, half, trainees)
    for one in made.placed:
        place(db, at, stage.cast.coordinator, code, one.block, one.station, one.mentor, one.participant, one.role)
    proposed = best_plan(question_of(db, plan_for(db, code, at), at))
    accept(db, at, stage.cast.coordinator, code, proposed.added)


def _train_in(made: Pairing, half: tuple[int, ...], most: int) -> None:
    """Choose whom to train in two blocks: the story's own first, then those who had the fewest chances."""
    newcomers = [who for who in made.plan.floor.volunteers if made.book.wanted(who) and not _trained_today(made, who)]
    newcomers = [who for who in newcomers if not "v-039" <= who <= "v-050"]
    newcomers.sort(key=lambda who: (who not in FAVORED, made.trained.get(who, 0), luck("turn", who).random()))
    chosen = 0
    for who in newcomers:
        if chosen < most and [made.train(block, who) for block in half if made.free(block, (who,))].count(True):
            chosen += 1
            made.trained[who] = made.trained.get(who, 0) + 1


def _trained_today(made: Pairing, who: str) -> bool:
    return who not in FAVORED and any(one.mentor == who for one in made.placed)
