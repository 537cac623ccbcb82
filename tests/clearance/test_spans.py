"""Spans: how long papers, modules and skills are held, and what corrections do, in the words of the register."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from mentor_training.clearance.spans import practice_spans, read_history
from mentor_training.evidence.facts import Fact
from mentor_training.program.catalog import Criterion, Module, Paper, Program, SignOffRule, Skill
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import ALWAYS

MOMENT = datetime(2026, 1, 1, tzinfo=UTC)


def program(**module: object) -> Program:
    """Return a program with one paper, one skill that wants practice, and one module."""
    return Program(
        name="Spans",
        entry=ALWAYS,
        papers={"card": Paper("card", "Card", good_for_months=24), "choice": Paper("choice", "Choice", waivable=True)},
        skills={
            "guard": Skill("guard", "Guard", "high", (Criterion("x"),), SignOffRule(), good_for_months=6),
        },
        modules={"safety": replace(Module("safety", "Safety", 1, 20, (), good_for_months=12, grace_days=14), **module)},  # type: ignore[arg-type]
    )


FIRST = PublishedProgram(1, date(2026, 1, 1), MOMENT, "1", program(), True)


def spans(register: str, item: str, *later: PublishedProgram) -> list[tuple[str, str]]:
    """Return the spans of an item from rows `record kind item first_day last_day refers_to`, a dot for nothing."""
    facts = []
    for line in register.strip().splitlines():
        code, kind, what, first, last, about = line.split()
        facts.append(
            Fact(
                code, "v", kind, "" if what == "." else what, date.fromisoformat(first),
                None if last == "." else date.fromisoformat(last), MOMENT, "", None if about == "." else about,
            )
        )  # fmt: skip
    history = read_history(facts, FIRST.program, (FIRST, *later))
    return [(str(span.first), str(span.last or "")) for span in history.spans.get(item, ())]


def test_a_paper_is_held_through_its_stated_day_cut_at_its_months() -> None:
    """The earlier of the two ends it; with neither it would stay open."""
    assert spans("r-1 on-file paper/card 2024-02-29 . .", "paper/card") == [("2024-02-29", "2026-02-28")]
    assert spans("r-1 on-file paper/card 2026-01-05 2026-12-31 .", "paper/card") == [("2026-01-05", "2026-12-31")]
    assert spans("r-1 on-file paper/choice 2026-01-05 . .", "paper/choice") == [("2026-01-05", "")]


def test_a_withdrawal_ends_the_day_before_and_a_void_leaves_nothing() -> None:
    """The last day of a record withdrawn from the tenth is the ninth; a voided one was never held."""
    paper = "r-1 on-file paper/card 2026-01-05 2026-12-31 .\n"
    assert spans(paper + "r-2 withdrawn paper/card 2026-03-10 . r-1", "paper/card") == [("2026-01-05", "2026-03-09")]
    assert spans(paper + "r-2 voided paper/card 2026-03-10 . r-1", "paper/card") == []


def test_a_voided_withdrawal_does_nothing() -> None:
    """Each correction is reversible only by another record."""
    rows = """
    r-1 on-file paper/card 2026-01-05 2026-12-31 .
    r-2 withdrawn paper/card 2026-03-10 . r-1
    r-3 voided paper/card 2026-03-11 . r-2
    """
    assert spans(rows, "paper/card") == [("2026-01-05", "2026-12-31")]


def test_a_later_edition_that_must_be_retaken_ends_earlier_completions_with_its_grace_days() -> None:
    """Edition 2 takes effect on 1 March with 14 grace days: edition 1 counts through 15 March."""
    second = PublishedProgram(2, date(2026, 3, 1), MOMENT, "2", program(edition=2, must_retake=True))
    assert spans("r-1 completed module/safety@1 2026-01-10 . .", "module/safety", second) == [
        ("2026-01-10", "2026-03-15")
    ]
    assert spans("r-1 completed module/safety@2 2026-03-02 . .", "module/safety", second) == [
        ("2026-03-02", "2027-03-02")
    ]


def test_a_completion_without_edition_is_of_the_one_in_force_that_day() -> None:
    """In the register the edition may be left out."""
    second = PublishedProgram(2, date(2026, 3, 1), MOMENT, "2", program(edition=2, must_retake=True))
    assert spans("r-1 completed module/safety 2026-02-28 . .", "module/safety", second)[0][1] == "2026-03-15"
    assert spans("r-1 completed module/safety 2026-03-01 . .", "module/safety", second)[0][1] == "2027-03-01"


def test_only_what_its_file_marks_can_be_waived() -> None:
    """A waiver of anything else holds nothing, however it came in."""
    assert spans("r-1 waived paper/choice 2026-01-05 2026-02-05 .", "paper/choice") == [("2026-01-05", "2026-02-05")]
    assert spans("r-1 waived paper/card 2026-01-05 2026-02-05 .", "paper/card") == []


@pytest.mark.parametrize(
    ("practiced", "met", "expected"),
    [
        ("", "", "01-31"),
        ("20", "", "02-19"),
        ("31", "", "03-02"),
        ("32", "", "01-31"),  # the day after it ended: practice does not bring it back
        ("", "40", "01-31 40:03-11"),  # a met observation does, for thirty days
        ("60", "40", "01-31 40:03-31"),  # and practice moves that end
        ("", "20", "01-31"),  # while it is held, an observation moves nothing
        ("20 50", "", "03-21"),
    ],
)
def test_practice_keeps_a_skill_and_only_an_observation_brings_it_back(practiced: str, met: str, expected: str) -> None:
    """Days are counted within January and on; signed off on the first, practice wanted within thirty days."""

    def day(number: str) -> date:
        return date.fromordinal(date(2026, 1, 1).toordinal() + int(number) - 1)

    found = practice_spans(
        date(2026, 1, 1), None, 30, [day(n) for n in practiced.split()], [day(n) for n in met.split()]
    )
    wanted = []
    for part in expected.split():
        start, _, end = part.rpartition(":")
        wanted.append((day(start or "1"), date.fromisoformat(f"2026-{end}")))
    assert found == wanted


def test_practice_never_moves_the_end_past_the_sign_offs_own_last_day() -> None:
    """Six months are six months."""
    found = practice_spans(date(2026, 1, 1), date(2026, 2, 10), 30, [date(2026, 1, 30)], [date(2026, 2, 11)])
    assert found == [(date(2026, 1, 1), date(2026, 2, 10))]
