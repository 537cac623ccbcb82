"""A worked roster: five mentors at a balance lane, alone and with two participants, all fifteen answers with reasons.

The roster was worked out by hand by an instructor's reading of the rules, apart from this program: common practice, no
source. "Cleared" is independent here; whoever misses only a skill that may be practiced under a lead is supervised.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime

import pytest

from mentor_training.clearance.dossier import CardFrom, Dossier, ParticipantFile, ProfileFrom
from mentor_training.clearance.rules import decide
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import (
    Criterion,
    Ladder,
    Level,
    Module,
    Need,
    Paper,
    Program,
    SignOffRule,
    Skill,
    Station,
)
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import Item, all_of

DAY = date(2026, 3, 14)
JANUARY = date(2026, 1, 20)
MOMENT = datetime(2026, 3, 13, tzinfo=UTC)
RULE = SignOffRule()


def program(form_edition: int) -> Program:
    """Return the roster's program, with the form module at an edition that must be retaken from the second on."""
    modules = {slug: Module(slug, slug, 1, 15, ()) for slug in ("safety", "communication", "spotting", "privacy")}
    modules["form"] = Module("form", "Form", form_edition, 15, (), must_retake=form_edition > 1, grace_days=14)
    skills = ("line-of-sight", "consent", "form-cue", "effort", "guarding", "guide")
    supervised = all_of(
        *(Item(f"module/{slug}") for slug in ("safety", "spotting", "form", "privacy")),
        *(Item(f"skill/{slug}") for slug in skills[:4]),
    )
    return Program(
        name="Worked roster",
        entry=Item("paper/cpr"),
        stations={
            "lane": Station(
                "lane", "Balance lane", Ladder((supervised, Item("skill/guarding"))), activities=("standing",)
            ),
        },
        needs={
            "fall": Need("fall", "Fall risk", Ladder((Item("skill/guarding"), Item("skill/guarding")))),
            "sight": Need("sight", "Low vision", Ladder((Item("skill/guide"), Item("skill/guide")))),
        },
        papers={"cpr": Paper("cpr", "CPR/AED")},
        modules=modules,
        skills={slug: Skill(slug, slug, "high", (Criterion("x"),), RULE) for slug in skills},
    )


EDITIONS = (
    PublishedProgram(1, date(2026, 1, 1), MOMENT, "1", program(1), True),
    PublishedProgram(2, date(2026, 2, 23), MOMENT, "2", program(2)),  # grace days end on 9 March
)

ROSWITHA = ParticipantFile("roswitha", (ProfileFrom(None, (), ()),), ())
IMRE = ParticipantFile(
    "imre",
    (ProfileFrom(None, ("fall", "sight"), ()),),
    (
        CardFrom(2, date(2026, 1, 1), date(2026, 12, 31)),
        CardFrom(3, date(2026, 3, 10), date(2026, 12, 31)),
    ),
)

CPR_THROUGH = {
    "odalys": date(2026, 6, 30),
    "teodor": date(2026, 3, 13),
    "maren": date(2026, 12, 12),
    "quill": date(2027, 2, 2),
    "ansa": date(2026, 9, 9),
}


def dossier(name: str) -> Dossier:
    """Return one mentor's records as the roster gives them."""
    rows: list[tuple[str, str, date | None]] = [("on-file", "paper/cpr", CPR_THROUGH[name])]
    form = "module/form@1" if name == "quill" else "module/form@2"
    modules = ("module/safety@1", "module/communication@1", "module/spotting@1", "module/privacy@1", form)
    rows += [("completed", module, None) for module in modules]
    rows += [("signed-off", f"skill/{skill}", None) for skill in ("line-of-sight", "consent", "form-cue", "effort")]
    if name != "maren":
        through = date(2026, 8, 1) if name in ("odalys", "ansa") else None
        rows.append(("signed-off", "skill/guarding", through))
    if name in ("odalys", "ansa"):
        rows.append(("signed-off", "skill/guide", None))
    rows.append(("read-card", "card/imre@2" if name == "ansa" else "card/imre@3", None))
    facts = [
        Fact(f"r-{place}", name, kind, item, JANUARY, last, MOMENT) for place, (kind, item, last) in enumerate(rows)
    ]
    return Dossier(name, tuple(facts), EDITIONS)


CLEARED, SUPERVISED, NOT = Level.INDEPENDENT, Level.SUPERVISED, Level.NOT_YET

ANSWERS: Mapping[tuple[str, str], tuple[Level, set[str]]] = {
    ("odalys", ""): (CLEARED, set()),
    ("odalys", "roswitha"): (CLEARED, set()),
    ("odalys", "imre"): (CLEARED, set()),
    ("teodor", ""): (NOT, {"paper/cpr"}),
    ("teodor", "roswitha"): (NOT, {"paper/cpr"}),
    ("teodor", "imre"): (NOT, {"paper/cpr", "skill/guide"}),
    ("maren", ""): (SUPERVISED, {"skill/guarding"}),
    ("maren", "roswitha"): (SUPERVISED, {"skill/guarding"}),
    ("maren", "imre"): (NOT, {"skill/guarding", "skill/guide"}),
    ("quill", ""): (NOT, {"module/form"}),
    ("quill", "roswitha"): (NOT, {"module/form"}),
    ("quill", "imre"): (NOT, {"module/form", "skill/guide"}),
    ("ansa", ""): (CLEARED, set()),
    ("ansa", "roswitha"): (CLEARED, set()),
    ("ansa", "imre"): (NOT, {"imre@3"}),
}


@pytest.mark.parametrize(("name", "whom"), ANSWERS)
def test_each_answer_of_the_worked_roster_comes_out_with_its_reasons(name: str, whom: str) -> None:
    """Level and everything that is missing for the next rung, grounds included."""
    participant = {"": None, "roswitha": ROSWITHA, "imre": IMRE}[whom]
    decision = decide(dossier(name), "lane", participant, DAY)
    level, reasons = ANSWERS[(name, whom)]
    assert decision.level == level
    missing = {atom.name for atom in next(iter(decision.missing.values()), ()) if isinstance(atom, Item)}
    for ground in decision.grounds:
        missing |= (
            {ground.about} if isinstance(ground.about, str) else {a.name for a in ground.about if isinstance(a, Item)}
        )
    assert missing == reasons


def test_the_next_change_of_the_first_mentor_is_after_the_card_ends() -> None:
    """Odalys stays cleared through 30 June, the last day of her card, and is at nothing on 1 July."""
    assert decide(dossier("odalys"), "lane", None, DAY).holds_through == date(2026, 6, 30)
    assert decide(dossier("odalys"), "lane", None, date(2026, 7, 1)).level == NOT


def test_an_answer_holds_through_the_day_of_the_session_and_not_the_day_after() -> None:
    """A card that ends on Friday still counts on Friday and blocks Saturday."""
    assert decide(dossier("teodor"), "lane", None, date(2026, 3, 13)).level == CLEARED
    assert decide(dossier("teodor"), "lane", None, date(2026, 3, 13)).holds_through == date(2026, 3, 13)
