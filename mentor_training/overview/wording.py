"""What a volunteer's next step is called, where it is done, and what it opens, in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from mentor_training.learning.rules.holds import Permission
from mentor_training.learning.rules.reading import Progress
from mentor_training.overview.queries.path import Path
from mentor_training.overview.rules import Opened, Step
from mentor_training.program.catalog import Level, Program
from mentor_training.program.requirements import Atom, Hours, Item

MOST_NAMES = 3
LEVELS = {Level.SUPERVISED: "supervised", Level.INDEPENDENT: "independent", Level.LEAD: "lead"}


@dataclass(frozen=True)
class ToDo:
    """One thing to do: its words, the page where it is done (an endpoint and its values), and what the button says.

    `not_now` says that it is not in the volunteer's own hands at the moment; from `later` on it is again, where known.
    """

    text: str
    endpoint: str
    label: str
    values: dict[str, Any] = field(default_factory=dict)
    not_now: bool = False
    later: datetime | None = None


def to_do(path: Path, atom: Atom) -> ToDo:
    """Say what a volunteer does about one missing thing."""
    if isinstance(atom, Item):
        kind, _, slug = atom.name.partition("/")
        makers = {"module": _about_module, "skill": _about_skill, "paper": _about_paper}
        made = makers[kind](path, slug) if kind in makers else None
        if made:
            return made
        return ToDo(f"Get {path.program.title_of(atom.name)}", "clearance.volunteer", "Why", {"code": path.person.code})
    have = path.decisions[0].holdings.have(atom)
    if isinstance(atom, Hours):
        text = f"Serve {atom.at_least:g} approved hours of {atom.category} ({have:g} so far)"
        return ToDo(text, "hours.own", "See your hours")
    return ToDo(f"Come to {atom.at_least} sessions ({have} so far)", "planning.pairing", "See your sessions")


def _about_module(path: Path, slug: str) -> ToDo | None:
    found = next((one for one in path.modules if one.module.slug == slug), None)
    if found is None:
        return None
    title, values = found.module.title, {"slug": slug}
    if found.unread or found.to_acknowledge:
        text = f"Read on in the module {title}" if found.is_begun else f"Read the module {title}"
        return ToDo(text, "learning.module", "Read on" if found.is_begun else "Begin reading", values)
    if found.quiz and not found.passed_at:
        return _about_quiz(found, path.quizzes.get(found.quiz.slug, Permission()))
    return ToDo(f"Complete the module {title}", "learning.module_end", "Go there", values)


def _about_quiz(found: Progress, permission: Permission) -> ToDo:
    title, values = found.module.title, {"slug": found.quiz.slug if found.quiz else ""}
    if permission.open:
        return ToDo(
            f"Finish the quiz on {title}; your answers are kept", "learning.quiz", "Go on with the quiz", values
        )
    if permission.hold:
        text = f"Talk with an observer about the quiz on {title}; then it can be tried again"
        return ToDo(text, "learning.quiz", "See what to talk about", values)
    if permission.from_moment:
        text = f"Read the module {title} again before the next try at its quiz"
        return ToDo(text, "learning.quiz", "See your attempts", values, not_now=True, later=permission.from_moment)
    return ToDo(f"Take the quiz on {title}", "learning.quiz", "Take the quiz", values)


def _about_skill(path: Path, slug: str) -> ToDo | None:
    state = next((one for one in path.skills if one.skill.slug == slug), None)
    if state is None:
        return None
    title, values = state.skill.title, {"slug": slug}
    if state.readiness.is_ready:
        return ToDo(f"Ask an observer to sign you off: {title}", "observing.own_skill", "See what was seen", values)
    if state.readiness.has_begun:
        return ToDo(f"Ask to be observed again: {title}", "observing.own_skill", "See what is missing", values)
    return ToDo(f"Ask to be observed: {title}", "observing.own_skill", "See what is looked at", values)


def _about_paper(path: Path, slug: str) -> ToDo | None:
    line = next((one for one in path.papers if one.paper.slug == slug), None)
    if line is None:
        return None
    if line.waiting:
        text = f"Show it to the coordinator, for it waits to be verified: {line.paper.title}"
        return ToDo(text, "papers.own", "See your papers", not_now=True)
    return ToDo(f"Put on file: {line.paper.title}", "papers.own", "Put it on file", {"paper": slug})


def first_to_do(path: Path) -> tuple[Step, ToDo] | None:
    """Return the one next step: the first that is in the volunteer's own hands now; else the first; None at the top."""
    found = [(step, to_do(path, step.atom)) for step in path.steps]
    return next((one for one in found if not one[1].not_now), next(iter(found), None))


def promise(step: Step, program: Program) -> str:
    """Say in one sentence what a step opens, or else what it brings nearer."""
    if step.helps_at_once:
        return _promise_of_opening(step, program)
    nearest, *rest = [program.stations[slug].title for slug in step.nearer]
    others = "one other thing" if step.beside == 1 else f"{step.beside} other things"
    more = f"; {_wanting(len(rest))} it too" if rest else ""
    return f"With {others} it opens the next level of {nearest}{more}."


def _wanting(many: int) -> str:
    return "one more station or duty wants" if many == 1 else f"{many} more stations and duties want"


def _promise_of_opening(step: Step, program: Program) -> str:
    opens: Sequence[Opened] = step.opens
    new = [program.stations[one.station].title for one in opens if not one.before]
    raised = [
        f"{program.stations[one.station].title} to {LEVELS[one.after]}"
        for one in opens
        if one.before < one.after and one.before
    ]
    parts = [f"opens {_names(new)}"] if new else []
    parts += [f"raises {_names(raised)}"] if raised else []
    parts += [f"lets you work with {_more_people(step.participants)}"] if step.participants else []
    return f"This alone {', and '.join(parts) if len(parts) > 2 else ' and '.join(parts)}."


def _more_people(many: int) -> str:
    return f"{many} more participant{'' if many == 1 else 's'} of the coming sessions"


def _names(names: Sequence[str]) -> str:
    shown = list(names[:MOST_NAMES])
    more = len(names) - len(shown)
    if more:
        return f"{', '.join(shown)} and {more} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"
