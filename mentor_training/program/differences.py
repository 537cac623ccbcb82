"""How one edition of the program differs from another in what it means, in words; pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from mentor_training.program.catalog import RUNG_NAMES, Ladder, Level, Module, Policy, Program, SignOffRule
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions
from mentor_training.program.wording import Words, in_words

ADDED, CHANGED, REMOVED = "added", "changed", "removed"
SHELVES = (
    ("station", "stations"),
    ("need", "needs"),
    ("skill", "skills"),
    ("paper", "papers"),
    ("module", "modules"),
    ("quiz", "quizzes"),
    ("course", "courses"),
    ("certificate", "certificates"),
    ("framework", "frameworks"),
    ("standard", "standards"),
)
UNRAISED = "edition: still {}; raise it, or those who completed the module are not told what changed"
# Texts that are too long to be set beside each other in a line.
LONG = ("body", "text", "caution", "deferral", "note")
# Lists of things that have a name of their own.
LISTS = {
    "criteria": ("criterion", "text"),
    "cautions": ("caution", "slug"),
    "sections": ("section", "slug"),
    "sources": ("source", "id"),
    "pictures": ("picture", "slug"),
    "scenarios": ("scenario", "slug"),
}


@dataclass(frozen=True)
class Difference:
    """A thing of the program that was added, changed or removed; of a changed one, in which ways."""

    what: str
    name: str
    change: str
    details: tuple[str, ...] = ()


def differences(before: Program, after: Program) -> tuple[Difference, ...]:
    """Return what differs: the program as a whole, then its things kind by kind, in the order of the later files."""
    found = list(_of_whole(before, after))
    for what, shelf in SHELVES:
        old: Mapping[str, Any] = getattr(before, shelf)
        new: Mapping[str, Any] = getattr(after, shelf)
        for slug in dict.fromkeys((*new, *old)):
            found += _of_thing(what, slug, old.get(slug), new.get(slug), (before, after))
    return tuple(found)


Programs = tuple[Program, Program]


def _of_whole(before: Program, after: Program) -> Iterator[Difference]:
    details = [*_changed_text("name", before.name, after.name)]
    if before.entry != after.entry:
        details.append(_requirement("entry", before.entry, after.entry, (before, after)))
    details += [f"on the never list now: {one}" for one in after.never if one not in before.never]
    details += [f"no longer on the never list: {one}" for one in before.never if one not in after.never]
    if before.deferral != after.deferral:
        details.append("deferral: written anew")
    details += _of_fields(before.policy, after.policy, (before, after))
    if details:
        yield Difference("program", after.name, CHANGED, tuple(details))


def _of_thing(what: str, slug: str, old: Any, new: Any, programs: Programs) -> Iterator[Difference]:
    thing = new if new is not None else old
    kind = "duty" if what == "station" and thing.is_duty else what
    name = getattr(thing, "title", slug)
    if old is None or new is None:
        yield Difference(kind, name, REMOVED if new is None else ADDED)
    elif old != new:
        unraised = [UNRAISED.format(new.edition)] if isinstance(new, Module) and is_unraised(old, new) else []
        yield Difference(kind, name, CHANGED, (*_of_fields(old, new, programs), *unraised))


def is_unraised(old: Module, new: Module) -> bool:
    """Say whether a module says something else under the edition number that it had; then its readers are not told."""
    return old.edition == new.edition and (old.sections, old.cautions) != (new.sections, new.cautions)


def unraised(before: Program, after: Program) -> tuple[Module, ...]:
    """Return the modules that say something else under the edition number that they had."""
    both = [(before.modules[slug], new) for slug, new in after.modules.items() if slug in before.modules]
    return tuple(new for old, new in both if is_unraised(old, new))


def _of_fields(old: Any, new: Any, programs: Programs) -> Iterator[str]:
    for field in fields(new):
        was, now = getattr(old, field.name), getattr(new, field.name)
        if was != now:
            yield from _of_field(field.name, was, now, programs)


def _of_field(name: str, was: Any, now: Any, programs: Programs) -> Iterator[str]:
    label = name.replace("_", " ")
    if isinstance(now, Ladder):
        yield from _rungs(was, now, programs)
    elif isinstance(now, AtLeast | Item | Hours | Sessions):
        yield _requirement(label, was, now, programs)
    elif isinstance(now, SignOffRule | Policy):
        yield from (f"{label}: {one}" for one in _of_fields(was, now, programs))
    elif name in LISTS:
        yield from _named_list(*LISTS[name], was, now)
    elif isinstance(now, Mapping):
        keys = dict.fromkeys((*now, *was))
        yield from (line for key in keys for line in _changed_text(f"{label}, {key}", was.get(key), now.get(key)))
    elif isinstance(now, tuple):
        yield from _words(label, was, now, programs)
    else:
        yield from [f"{label}: written anew"] if name in LONG else _changed_text(label, was, now)


def _changed_text(label: str, was: object, now: object) -> Iterator[str]:
    if was != now:
        yield f"{label}: {_said(now)}, was {_said(was)}"


def _said(value: object) -> str:
    if value is None or value == "":
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _words(label: str, was: Sequence[str], now: Sequence[str], programs: Programs) -> Iterator[str]:
    before, after = programs
    added = [after.title_of(one) for one in now if one not in was]
    removed = [before.title_of(one) for one in was if one not in now]
    parts = [f"{', '.join(some)} {verb}" for some, verb in ((added, ADDED), (removed, REMOVED)) if some]
    yield f"{label}: {'; '.join(parts) or 'in another order'}"


def _named_list(one: str, key: str, was: Sequence[Any], now: Sequence[Any]) -> Iterator[str]:
    old, new = ({getattr(thing, key): thing for thing in things} for things in (was, now))
    yield from (f"{one} {ADDED}: {name}" for name in new if name not in old)
    yield from (f"{one} {REMOVED}: {name}" for name in old if name not in new)
    same = [name for name in new if name in old]
    yield from (f"{one} {CHANGED}: {name}" for name in same if new[name] != old[name])
    if same != [name for name in old if name in new]:
        yield f"each {one} in another order"


def _rungs(was: Ladder, now: Ladder, programs: Programs) -> Iterator[str]:
    for place in range(max(was.top, now.top)):
        name = RUNG_NAMES[Level(place + 1)]
        if place >= now.top:
            yield f"{name}: there is no such level any more"
        elif place >= was.top:
            yield f"{name}: there is such a level now, which asks for {flat(in_words(now.rungs[place], programs[1]))}"
        elif was.rungs[place] != now.rungs[place]:
            yield _requirement(name, was.rungs[place], now.rungs[place], programs)


def _requirement(label: str, was: Requirement, now: Requirement, programs: Programs) -> str:
    """Say what a requirement asks for more and less where it asks for all of some things, else both in full."""
    old, new = _parts(was), _parts(now)
    if old is None or new is None:
        return f"{label}: {flat(in_words(now, programs[1]))}; was: {flat(in_words(was, programs[0]))}"
    more = [flat(in_words(one, programs[1])) for one in new if one not in old]
    less = [flat(in_words(one, programs[0])) for one in old if one not in new]
    said = [f"now asks for {'; '.join(more)}"] if more else []
    said += [f"no longer asks for {'; '.join(less)}"] if less else []
    return f"{label}: {', and '.join(said) or 'the same in another order'}"


def _parts(requirement: Requirement) -> tuple[Requirement, ...] | None:
    """Return the things that a requirement asks for all of; None where it leaves a choice."""
    if not isinstance(requirement, AtLeast):
        return (requirement,)
    return requirement.of if requirement.count == len(requirement.of) else None


def flat(words: Words) -> str:
    """Write a requirement's words in one line."""
    if not words.parts:
        return words.text
    return f"{words.text[0].lower()}{words.text[1:]} ({'; '.join(flat(part) for part in words.parts)})"
