"""Requirements and ladders as authors write them, and what is said about their slips."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import Ladder, Level
from mentor_training.program.requirements import AtLeast, Hours, Item, Requirement, Sessions, all_of, any_of
from tests.program.definitions import SAFETY, found, program_of

STATION = '[[station]]\nslug = "lane"\ntitle = "Lane"\ncapacity = 4\n'
PAPERS = '[[paper]]\nslug = "check"\ntitle = "Check"\n\n[[paper]]\nslug = "card"\ntitle = "Card"\n'
FILES = {"program/papers.toml": PAPERS, "modules/safety.md": SAFETY}
CHECK, CARD, MODULE = Item("paper/check"), Item("paper/card"), Item("module/safety")


def ladder(rungs: str) -> Ladder:
    """Return the ladder of a station with some rungs."""
    return program_of({**FILES, "program/stations.toml": STATION + rungs}).stations["lane"].ladder


def slips(rungs: str) -> list[str]:
    """Return what is said about a station's rungs; the first of them stands on line 5."""
    findings = found({**FILES, "program/stations.toml": STATION + rungs})
    return [one.replace("program/stations.toml:", "") for one in findings]


@pytest.mark.parametrize(
    ("text", "requirement"),
    [
        ('"paper/check"', CHECK),
        ('{ all = ["paper/check", "module/safety"] }', all_of(CHECK, MODULE)),
        ('{ any = ["paper/check", "module/safety"] }', any_of(CHECK, MODULE)),
        ('{ at_least = 2, of = ["paper/check", "paper/card", "module/safety"] }', AtLeast(2, (CHECK, CARD, MODULE))),
        ('{ hours = "direct", at_least = 10 }', Hours("direct", 10)),
        ('{ hours = "training", at_least = 1.5 }', Hours("training", 1.5)),
        ("{ sessions = 3 }", Sessions(3)),
        (
            (
                '{ all = [\n  "paper/check",  # first\n  { any = ["paper/card",\n'
                "{ at_least = 1, of = [{ sessions = 2 }] }] },\n] }"
            ),
            all_of(CHECK, any_of(CARD, AtLeast(1, (Sessions(2),)))),
        ),
    ],
)
def test_each_form_of_a_requirement_is_read(text: str, requirement: Requirement) -> None:
    """The six forms, nested to any depth."""
    assert ladder(f"lead = {text}").rungs[-1] == requirement


@pytest.mark.parametrize(
    ("rungs", "expected", "top"),
    [
        ({"supervised": CHECK, "independent": CARD, "lead": MODULE}, (CHECK, CARD, MODULE), Level.LEAD),
        ({"supervised": CHECK, "independent": CARD}, (CHECK, CARD), Level.INDEPENDENT),
        ({"independent": CARD}, (CARD, CARD), Level.INDEPENDENT),
        ({"independent": CARD, "lead": MODULE}, (CARD, CARD, MODULE), Level.LEAD),
        ({"supervised": CHECK, "lead": MODULE}, (CHECK, MODULE, MODULE), Level.LEAD),
        ({"lead": MODULE}, (MODULE, MODULE, MODULE), Level.LEAD),
    ],
)
def test_a_rung_left_out_equals_the_next_one_above(
    rungs: dict[str, Item], expected: tuple[Item, ...], top: Level
) -> None:
    """With no `supervised` nobody works there supervised who is not independent; with no `lead` nobody leads."""
    read = ladder("\n".join(f'{rung} = "{item.name}"' for rung, item in rungs.items()))
    assert read.rungs == expected
    assert read.top == top


def test_a_ladder_without_a_rung_is_a_fault() -> None:
    """Anybody at all could work there, or nobody; the file does not say which."""
    assert slips("") == ["1: a station has no rung; add `independent` or `lead`"]


def test_a_ladder_that_ends_at_supervised_is_read_and_advised_against() -> None:
    """It is what the file says: nobody is ever more there."""
    rung = 'supervised = "paper/check"\n'
    assert ladder(rung) == Ladder((CHECK,))
    assert ladder(rung).top == Level.SUPERVISED
    what = "the ladder of a station ends at `supervised`: nobody is ever more than supervised here"
    alone = "nobody can lead here, and supervised mentors work only under a lead"
    assert slips(rung) == [f"advice: 5: {what}; add `independent` or `lead`", f"advice: 5: {alone}; add `lead`"]
    assert slips(f'kind = "duty"\n{rung}') == [f"advice: 6: {what}; add `independent` or `lead`"]


SLIPS = [
    ('"paper/chekc"', "5: unknown item `paper/chekc`; did you mean `paper/check`?"),
    ('"skill/check"', "5: unknown item `skill/check`; did you mean `paper/check`?"),
    ('"check"', "5: unknown item `check`; did you mean `paper/check`?"),
    ('"swimming"', "5: unknown item `swimming`; an item is written module/SLUG, skill/SLUG or paper/SLUG: known are"),
    ('"modul/safety"', "5: unknown item `modul/safety`; did you mean `module/safety`?"),
    ('"module/safety@2"', "5: unknown item `module/safety@2`; did you mean `module/safety`?"),
    ('["paper/check"]', "5: a requirement cannot be a list; write { all = [ ... ] } around the list"),
    ("3", '5: a requirement cannot be 3; write "skill/SLUG", { all = [...] }'),
    ("{}", '5: a requirement is empty; write "skill/SLUG", { all = [...] }'),
    ('{ al = ["paper/check"] }', "5: unknown key `al` in a requirement; did you mean `all`?"),
    ('{ all = "paper/check" }', '5: `all` is the text "paper/check"; it must be a list in brackets'),
    ("{ any = [] }", "5: nothing can meet an empty `any`; name what would do"),
    ('{ all = ["paper/check"], any = ["paper/card"] }', "5: a requirement cannot be `all` and `any` at once; nest one"),
    ('{ all = ["paper/check"], at_least = 1 }', "5: unknown key `at_least` in a requirement; there is only `all`"),
    ('{ at_least = 3, of = ["paper/check", "paper/card"] }', "5: at least 3 of 2 can never be met; ask for at most 2"),
    ('{ at_least = 0, of = ["paper/check"] }', "5: `at_least` is 0; it must be a whole number, 1 or more"),
    ('{ at_least = 2.0, of = ["paper/check"] }', "5: `at_least` is 2.0; it must be a whole number, 1 or more"),
    ('{ at_least = true, of = ["paper/check"] }', "5: `at_least` is true; it must be a whole number, 1 or more"),
    ('{ of = ["paper/check"] }', "5: `of` does not say how many; add `at_least = 2`, or write `all` or `any`"),
    ("{ at_least = 2 }", "5: `at_least` does not say of what; add `of = [ ... ]` or `hours = CATEGORY`"),
    ('{ hours = "direct" }', "5: `hours` does not say how many; add `at_least = 10`"),
    ('{ hours = "dirct", at_least = 1 }', "5: unknown hours `dirct`; did you mean `direct`?"),
    ("{ hours = 10, at_least = 1 }", "5: `hours` is 10; name one of training, orientation, direct, preparation"),
    ('{ hours = "direct", at_least = -1 }', "5: `at_least` is -1; it must be a number above 0"),
    ('{ hours = "direct", at_least = inf }', "5: `at_least` is inf; it must be a number above 0"),
    ("{ sessions = 1.5 }", "5: `sessions` is 1.5; it must be a whole number, 1 or more"),
]


@pytest.mark.parametrize(("text", "finding"), SLIPS)
def test_a_slip_in_a_requirement_is_a_fault_with_what_would_be_right(text: str, finding: str) -> None:
    """No requirement is read as something else than it says."""
    findings = slips(f"independent = {text}\n")
    assert len(findings) == 1
    assert findings[0].startswith(finding)


def test_every_slip_of_a_nested_requirement_is_said_at_its_own_line() -> None:
    """All of them at once, inside a list that runs over several lines."""
    lines = ["independent = { all = [", *(f"  {text}," for text, _ in SLIPS), "] }"]
    expected = [f"{at}{finding[1:]}" for at, (_, finding) in enumerate(SLIPS, 6)]
    findings = slips("\n".join(lines))
    assert len(findings) == len(expected)
    for told, wanted in zip(findings, expected, strict=True):
        assert told.startswith(wanted)


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("{ all = [] }", "advice: 5: this asks for nothing; name what has to be held"),
        (
            '{ at_least = 2, of = ["paper/check", "paper/check"] }',
            (
                'advice: 5: the text "paper/check" stands twice in `of`, so that holding it once counts as two; '
                "name it once"
            ),
        ),
        (
            '{ all = ["paper/check",\n"paper/check"] }',
            'advice: 6: the text "paper/check" stands twice in `all`; name it once',
        ),
    ],
)
def test_what_is_odd_but_clear_is_advice(text: str, finding: str) -> None:
    """It means what it says, and can be published."""
    assert slips(f"independent = {text}\n") == [finding]


def test_a_requirement_nested_beyond_reading_is_refused() -> None:
    """Neither the reading nor anything after it runs out of stack."""
    deep = "{ all = [" * 30 + '"paper/check"' + "] }" * 30
    assert slips(f"independent = {deep}\n") == ["5: this requirement is nested too deep; say it with fewer brackets"]
