"""Requirements and rules of a program in words that a volunteer can act on; pure."""

from __future__ import annotations

from dataclasses import dataclass

from mentor_training.program.catalog import RUNG_NAMES, Ladder, Level, Program, SignOffRule
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement

_GETTING = {"module": "completed", "skill": "signed off", "paper": "on file"}


@dataclass(frozen=True)
class Words:
    """A requirement in words: one thing, or a group with its parts. `item` names the item it is about, if any."""

    text: str
    parts: tuple[Words, ...] = ()
    item: str = ""

    @property
    def skill(self) -> str:
        """Return the slug of the skill this is about, for a link to it."""
        return self.item.removeprefix("skill/") if self.item.startswith("skill/") else ""


@dataclass(frozen=True)
class RungWords:
    """A rung in words; `as_above` if the file leaves it out, so that it equals the next one above."""

    level: Level
    words: Words
    as_above: bool


def in_words(requirement: Requirement, program: Program) -> Words:
    """Return a requirement in words, nested as it is."""
    if isinstance(requirement, AtLeast):
        parts = tuple(in_words(part, program) for part in requirement.of)
        return Words(_how_many(requirement.count, len(parts)), parts)
    if isinstance(requirement, Item):
        kind = requirement.name.partition("/")[0]
        return Words(f"{program.title_of(requirement.name)} ({kind}, {_GETTING[kind]})", item=requirement.name)
    if isinstance(requirement, Hours):
        return Words(f"{requirement.at_least:g} approved hours of {requirement.category}")
    return Words(f"{requirement.at_least} {_plural(requirement.at_least, 'session')} attended before the day")


def _how_many(count: int, total: int) -> str:
    if count <= 0:
        return "Nothing more"
    if count == total:
        return "All of these" if total > 1 else "This"
    return "One of these" if count == 1 else f"At least {count} of these {total}"


def ladder_in_words(ladder: Ladder, program: Program) -> tuple[RungWords, ...]:
    """Return the rungs in words, from supervised up."""
    rungs = ladder.rungs
    return tuple(
        RungWords(Level(at), in_words(rung, program), as_above=at < len(rungs) and rung == rungs[at])
        for at, rung in enumerate(rungs, 1)
    )


def rung_name(level: Level) -> str:
    """Return what a rung is called."""
    return RUNG_NAMES[level]


def sign_off_in_words(rule: SignOffRule) -> tuple[str, ...]:
    """Return what makes a skill ready for sign-off, one condition after another."""
    conditions = [
        f"{rule.observations} {_plural(rule.observations, 'observation')} met, none older than {rule.fresh_days} days",
        _on(rule.days, "different day", "on {}"),
        _on(rule.observers, "different observer", "by {}"),
        _on(rule.participants, "different participant", "with {}"),
        f"{rule.live_at_least} of them live and not simulated" if rule.live_at_least else "",
        f"the last {rule.met_in_a_row} met in a row" if rule.met_in_a_row > 1 else "",
    ]
    return tuple(one for one in conditions if one)


def _on(count: int, thing: str, frame: str) -> str:
    return frame.format(f"{count} {_plural(count, thing)}") if count > 1 else ""


def _plural(count: float, word: str) -> str:
    return word if count == 1 else f"{word}s"
