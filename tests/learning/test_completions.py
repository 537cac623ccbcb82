"""From when to when a completion counts, and when a module may be done again; as clearance counts it, too."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.clearance.spans import read_history
from mentor_training.evidence.facts import COMPLETED, VOIDED, WITHDRAWN, Fact
from mentor_training.learning.rules.completions import Round, completions, counting, current_round
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.reading import read_program
from tests.small_program import QUIZ, SAFETY, small_files

ZONE = ZoneInfo("America/New_York")
MORNING = datetime(2024, 1, 1, 12, tzinfo=UTC)


@cache
def program(edition: int, must_retake: bool, months: int | None = 12) -> Program:
    """Read the small program with its module in an edition."""
    head = f"edition: {edition}\nmust_retake: {str(must_retake).lower()}\n"
    good = f"good_for_months: {months}\n" if months else ""
    text = SAFETY.replace("edition: 1\n", head).replace("good_for_months: 12\n", good)
    files = {"modules/safety.md": text, "quizzes/safety.yaml": QUIZ.replace("edition: 1", f"edition: {edition}")}
    found, findings = read_program(small_files() | files)
    assert found, findings
    return found


def published(number: int, effective: date, edition: int, must_retake: bool = False) -> PublishedProgram:
    """Make a published edition of the program with a module's edition."""
    return PublishedProgram(number, effective, MORNING, str(number), program(edition, must_retake), number == 1)


def done(code: str, first: date, item: str = "module/safety@1", last: date | None = None) -> Fact:
    """Make a completion."""
    return Fact(code, "v-001", COMPLETED, item, first, last, MORNING)


def against(code: str, kind: str, of: str, first: date, at: datetime = MORNING) -> Fact:
    """Make a withdrawal or a void."""
    return Fact(code, "v-001", kind, "", first, None, at, refers_to=of)


FIRST = published(1, date(2023, 1, 1), 1)
D = date


@pytest.mark.parametrize(
    ("facts", "editions", "last"),
    [
        ([done("r-1", D(2024, 2, 29))], [FIRST], D(2025, 2, 28)),
        ([done("r-1", D(2024, 3, 1), last=D(2024, 6, 1))], [FIRST], D(2024, 6, 1)),
        ([done("r-1", D(2024, 3, 1)), against("r-2", WITHDRAWN, "r-1", D(2024, 5, 1))], [FIRST], D(2024, 4, 30)),
        ([done("r-1", D(2024, 3, 1))], [FIRST, published(2, D(2024, 4, 1), 2, must_retake=True)], D(2024, 4, 15)),
        ([done("r-1", D(2024, 3, 1))], [FIRST, published(2, D(2024, 4, 1), 2)], D(2025, 3, 1)),
        ([done("r-1", D(2024, 3, 1), "module/safety")], [FIRST], D(2025, 3, 1)),
        ([done("r-1", D(2024, 5, 1), "module/safety")], [FIRST, published(2, D(2024, 4, 1), 2, True)], D(2025, 5, 1)),
    ],
)
def test_a_completion_counts_through_the_first_of_its_ends(
    facts: list[Fact], editions: list[PublishedProgram], last: date
) -> None:
    """Months are calendar months, clamped: 29 Feb 2024 + 12 months is 28 Feb 2025 (Regulation (EEC, Euratom) 1182/71,
    Art. 3(2)(c)); a stated end, a withdrawal and an edition that must be retaken come before. Rules of this program.
    """
    (found,) = completions(editions[-1].program.modules["safety"], facts, editions, ZONE)
    assert found.last_day == last


def test_a_void_completion_never_counted() -> None:
    """And leaves the module open from the moment it was voided."""
    at = datetime(2024, 6, 1, 15, tzinfo=UTC)
    facts = [done("r-1", D(2024, 3, 1)), against("r-2", VOIDED, "r-1", D(2024, 6, 1), at)]
    found = completions(FIRST.program.modules["safety"], facts, [FIRST], ZONE)
    assert counting(found, D(2024, 4, 1)) is None
    assert current_round(found, 1, at) == Round(is_open=True, since=at)


def test_a_completion_that_ends_can_be_renewed_from_thirty_days_before() -> None:
    """From midnight in the program's zone on; before that the module is done, and another edition is open at once."""
    found = completions(FIRST.program.modules["safety"], [done("r-1", D(2024, 3, 1))], [FIRST], ZONE)
    opens = datetime(2025, 1, 30, 5, tzinfo=UTC)
    assert current_round(found, 1, datetime(2025, 1, 30, 4, 59, tzinfo=UTC)) == Round(is_open=False)
    assert current_round(found, 1, opens) == Round(is_open=True, since=opens)
    assert current_round(found, 2, MORNING) == Round(is_open=True)
    assert current_round((), 1, MORNING) == Round(is_open=True)


days = st.dates(D(2024, 1, 1), D(2027, 12, 31))


@given(
    st.lists(st.tuples(days, st.sampled_from(["@1", "@2", ""]), st.none() | days), max_size=3),
    st.lists(st.tuples(st.sampled_from([WITHDRAWN, VOIDED]), st.integers(0, 5), days), max_size=4),
    days,
    st.booleans(),
    days,
)
def test_it_counts_exactly_when_clearance_says_that_the_module_is_held(
    earned: list[tuple[date, str, date | None]],
    corrected: list[tuple[str, int, date]],
    second: date,
    must_retake: bool,
    day: date,
) -> None:
    """What a reader is told of a module and what opens a station rest on the same days."""
    facts = [
        done(f"r-{at}", first, f"module/safety{edition}", last) for at, (first, edition, last) in enumerate(earned)
    ]
    facts += [
        against(f"r-{len(earned) + at}", kind, f"r-{of}", first)
        for at, (kind, of, first) in enumerate(corrected)
        if of < len(earned) + at
    ]
    editions = [FIRST, published(2, second, 2, must_retake)]
    for now in editions:
        found = counting(completions(now.program.modules["safety"], facts, editions, ZONE), day)
        held = read_history(facts, now.program, editions).span_on("module/safety", day)
        assert (found and (found.record, found.last_day)) == (held and (held.record, held.last))
