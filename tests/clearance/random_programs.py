"""Random small programs, registers and participants, for holding the rules to the naive model."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import strategies as st

from mentor_training.clearance.dossier import CardFrom, ParticipantFile, ProfileFrom
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Criterion, Ladder, Module, Need, Paper, Program, SignOffRule, Skill, Station
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions

START = date(2026, 1, 30)
MOMENT = datetime(2026, 1, 1, tzinfo=UTC)
ITEMS = ("module/a", "module/b", "skill/c", "skill/d", "paper/e", "paper/f")
days = st.integers(0, 120).map(lambda n: START + timedelta(days=n))

atoms: st.SearchStrategy[Requirement] = st.one_of(
    st.sampled_from(ITEMS).map(Item),
    st.sampled_from([Hours("direct", 1), Hours("direct", 2.5), Sessions(1), Sessions(2)]),
)
requirements: st.SearchStrategy[Requirement] = st.recursive(
    atoms,
    lambda parts: st.lists(parts, min_size=1, max_size=3).flatmap(
        lambda some: st.integers(0, len(some)).map(lambda n: AtLeast(n, tuple(some)))
    ),
    max_leaves=5,
)


@st.composite
def programs(draw: st.DrawFn) -> Program:
    """Draw a program with two stations, two needs and six items."""
    ladders = st.lists(requirements, min_size=1, max_size=3).map(lambda rungs: Ladder(tuple(rungs)))
    need_ladders = st.lists(requirements, min_size=2, max_size=2).map(lambda rungs: Ladder(tuple(rungs)))
    months = st.one_of(st.none(), st.integers(1, 3))
    modules = {
        slug: Module(
            slug, slug, draw(st.integers(1, 3)), 10, (), draw(months), draw(st.booleans()), draw(st.integers(0, 10))
        )
        for slug in "ab"
    }
    practice = st.one_of(st.none(), st.integers(1, 30))
    skills = {
        slug: Skill(slug, slug, "high", (Criterion("x"),), SignOffRule(), draw(months), draw(practice)) for slug in "cd"
    }
    return Program(
        name="Random",
        entry=draw(st.one_of(st.just(AtLeast(0, ())), requirements)),
        stations={
            "one": Station("one", "One", draw(ladders), activities=("x", "y")),
            "two": Station("two", "Two", draw(ladders), activities=("z",)),
        },
        needs={
            "n": Need("n", "N", draw(need_ladders), activities=draw(st.sampled_from([(), ("x",), ("z",)]))),
            "m": Need("m", "M", draw(need_ladders), activities=("y",)),
        },
        papers={slug: Paper(slug, slug, draw(months), draw(st.booleans())) for slug in "ef"},
        modules=modules,
        skills=skills,
    )


@st.composite
def editions(draw: st.DrawFn) -> tuple[PublishedProgram, ...]:
    """Draw one to three published editions."""
    first = PublishedProgram(1, START - timedelta(days=draw(st.integers(0, 5))), MOMENT, "1", draw(programs()), True)
    later = [
        PublishedProgram(number, draw(days), MOMENT, str(number), draw(programs()))
        for number in range(2, draw(st.integers(1, 3)) + 1)
    ]
    return (first, *later)


@st.composite
def histories(draw: st.DrawFn) -> tuple[Fact, ...]:
    """Draw up to fourteen records of one volunteer, some of them correcting earlier ones."""
    facts: list[Fact] = []
    for place in range(draw(st.integers(0, 14))):
        facts.append(draw(records(f"r-{place}", tuple(facts))))
    return tuple(facts)


@st.composite
def records(draw: st.DrawFn, code: str, earlier: tuple[Fact, ...]) -> Fact:
    """Draw one record."""
    kind = draw(
        st.sampled_from(
            ["completed", "signed-off", "met", "on-file", "waived", "practiced", "stood-down", "restricted"]
            + ["hours", "attended", "read-card"]
            + (["withdrawn", "voided", "lifted"] if earlier else [])
        )
    )
    fact = Fact(code, "v", kind, "", draw(days), None, MOMENT)
    if kind in ("withdrawn", "voided", "lifted"):
        pauses = [one for one in earlier if one.kind in ("stood-down", "restricted")]
        about = pauses if kind == "lifted" else list(earlier)
        if not about:
            return replace(fact, kind="hours", item="direct", note="60")
        chosen = draw(st.sampled_from(about))
        return replace(fact, item=chosen.item, refers_to=chosen.code)
    last = draw(st.one_of(st.none(), st.integers(0, 60).map(lambda n: fact.first_day + timedelta(days=n))))
    return {
        "completed": lambda: replace(fact, item=f"module/{draw(st.sampled_from('ab'))}@{draw(st.integers(1, 3))}"),
        "signed-off": lambda: replace(fact, item=f"skill/{draw(st.sampled_from('cd'))}"),
        "met": lambda: replace(fact, item=f"skill/{draw(st.sampled_from('cd'))}"),
        "practiced": lambda: replace(fact, item=f"skill/{draw(st.sampled_from('cd'))}"),
        "on-file": lambda: replace(fact, item=f"paper/{draw(st.sampled_from('ef'))}", last_day=last),
        "waived": lambda: replace(fact, item=draw(st.sampled_from(ITEMS)), last_day=last or fact.first_day),
        "stood-down": lambda: replace(fact, item=draw(scopes), last_day=last),
        "restricted": lambda: replace(fact, item=draw(scopes), last_day=last),
        "hours": lambda: replace(fact, item="direct", note=str(draw(st.sampled_from([-30, 30, 60, 149])))),
        "attended": lambda: replace(fact, item=f"s-{draw(st.integers(1, 3))}"),
        "read-card": lambda: replace(fact, item=f"card/p-1@{draw(st.integers(1, 3))}"),
    }[kind]()


scopes = st.sampled_from(["", "one", "two", "activity/x", "activity/z"])


@st.composite
def participants(draw: st.DrawFn) -> ParticipantFile:
    """Draw a participant with one or two profiles and up to three card versions."""
    needs = st.sampled_from([(), ("n",), ("m",), ("n", "m")])
    apart = st.sampled_from([(), (), ("v",)])
    profiles = [ProfileFrom(None, draw(needs), draw(apart))]
    if draw(st.booleans()):
        profiles.append(ProfileFrom(draw(days), draw(needs), draw(apart)))
    cards = tuple(CardFrom(version, draw(days), draw(days)) for version in range(1, draw(st.integers(0, 3)) + 1))
    return ParticipantFile("p-1", tuple(profiles), cards)


PEOPLE = ("v", "w", "x", "y")
odd_scopes = st.sampled_from(["gone", "activity/gone", "activity/y"])


@st.composite
def registers(draw: st.DrawFn) -> dict[str, tuple[Fact, ...]]:
    """Draw the records of up to four volunteers; some say the same of several, some pause somebody for a scope that no
    edition knows.
    """
    shared = draw(histories())
    register = {}
    for person in PEOPLE[: draw(st.integers(1, len(PEOPLE)))]:
        facts = shared if draw(st.booleans()) else draw(histories())
        if draw(st.integers(0, 9)) == 0:
            facts = (*facts, Fact("r-odd", person, "restricted", draw(odd_scopes), draw(days), None, MOMENT))
        register[person] = tuple(replace(fact, person=person) for fact in facts)
    return register


@st.composite
def odd_participants(draw: st.DrawFn) -> ParticipantFile:
    """Draw a participant who may have a need that some edition does not define, be kept apart from several, or be known
    only from a later day on.
    """
    needs = st.sampled_from([(), ("n",), ("m", "n"), ("n", "q"), ("q",)])
    apart = st.sampled_from([(), ("w",), ("v", "x"), ("somebody-else",)])
    first = draw(st.one_of(st.none(), days))
    profiles = [ProfileFrom(first, draw(needs), draw(apart))]
    profiles += [ProfileFrom(draw(days), draw(needs), draw(apart)) for _ in range(draw(st.integers(0, 2)))]
    cards = tuple(CardFrom(version, draw(days), draw(days)) for version in range(1, draw(st.integers(0, 2)) + 1))
    return ParticipantFile("p-1", tuple(profiles), cards)
