"""Where what is missing is done: for the volunteer themself, and for those who look after them; pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from mentor_training.clearance.decision import Ground
from mentor_training.program.requirements import Atom, Hours, Item

SELF, OBSERVER, COORDINATOR = "self", "observer", "coordinator"


@dataclass(frozen=True)
class Way:
    """A page where something is done: its endpoint with its values, the place on it, and what the link says."""

    endpoint: str
    label: str
    values: Mapping[str, str] = field(default_factory=dict)
    anchor: str = ""


def way_to(atom: Atom, person: str, viewer: str) -> Way | None:
    """Return where a viewer does something about one thing that a volunteer lacks; None where they cannot."""
    if isinstance(atom, Item):
        kind, _, slug = atom.name.partition("/")
        found = _ITEMS.get((kind, viewer))
        return found(person, slug) if found else None
    if isinstance(atom, Hours):
        hours = {SELF: Way("hours.own", "See your hours"), COORDINATOR: Way("hours.sections", "See the hours")}
        return hours.get(viewer)
    sessions = {SELF: Way("planning.pairing", "See your sessions")}
    return sessions.get(viewer, Way("planning.listing", "See the sessions"))


def way_out(ground: Ground, viewer: str) -> Way | None:
    """Return where a viewer does something about a ground of a zero other than the entry."""
    if not isinstance(ground.about, str):
        return None
    if ground.kind == "read_card" and viewer == SELF:
        participant, _, version = ground.about.rpartition("@")
        return Way("planning.card", "Read the card", {"participant": participant, "version": version})
    if viewer != COORDINATOR:
        return None
    found = _GROUNDS.get(ground.kind)
    return found(ground.about) if found else None


def _card_of(label: str, endpoint: str, anchor: str = "") -> Callable[[str], Way]:
    return lambda about: Way(endpoint, label, {"code": about.rpartition("@")[0] or about}, anchor)


_SEEN = "What has been seen"
_ITEMS: Mapping[tuple[str, str], Callable[[str, str], Way]] = {
    ("module", SELF): lambda _, slug: Way("learning.module", "Go to the module", {"slug": slug}),
    ("module", OBSERVER): lambda _, slug: Way("learning.whole_module", "Read the module", {"slug": slug}),
    ("module", COORDINATOR): lambda _, slug: Way("learning.whole_module", "Read the module", {"slug": slug}),
    ("skill", SELF): lambda _, slug: Way("observing.own_skill", "See what is looked at", {"slug": slug}),
    ("skill", OBSERVER): lambda code, slug: Way("observing.evidence", _SEEN, {"code": code, "slug": slug}),
    ("skill", COORDINATOR): lambda code, slug: Way("observing.evidence", _SEEN, {"code": code, "slug": slug}),
    ("paper", SELF): lambda _, slug: Way("papers.own", "Put it on file", {"paper": slug}, "put"),
    ("paper", COORDINATOR): lambda code, slug: Way(
        "papers.volunteer", "Put it on file", {"code": code, "paper": slug}, "put"
    ),
}

_GROUNDS: Mapping[str, Callable[[str], Way]] = {
    "stand_down": lambda record: Way("clearance.correct", "Lift it", {"record": record}),
    "restriction": lambda record: Way("clearance.correct", "Lift it", {"record": record}),
    "keep_apart": _card_of("See the participant", "participants.participant"),
    "not_begun": _card_of("See the participant", "participants.participant"),
    "read_card": _card_of("See the card", "participants.participant", "card"),
    "review_overdue": _card_of("Review the card", "participants.card"),
    "unknown_need": lambda _: Way("program.files", "See the program's files"),
}
