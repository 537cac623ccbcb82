"""Where a quiz's pass mark comes from: read from its file, asked for by `check`, told apart between editions."""

from __future__ import annotations

import pytest

from mentor_training.program.differences import differences
from tests.program.definitions import found, program_of
from tests.small_program import QUIZ, small_files

SOURCE = 'pass_mark_source: "Angoff 1971, set on 2026-10-03 by 1 judge: Dana"'
AT = "quizzes/safety.yaml:4: "
NO_SOURCE = (
    "the quiz has a `pass_mark` of its own and does not say who set it; "
    "add `pass_mark_source`: how it was set, on which day, by whom"
)
NO_MARK = (
    "`pass_mark_source` speaks of a `pass_mark` that is not here; the program's counts; "
    "add `pass_mark`, or leave its source out"
)


def with_lines(*lines: str) -> dict[str, str]:
    """Return the small program with lines of its quiz after `edition`."""
    return small_files() | {"quizzes/safety.yaml": QUIZ.replace("edition: 1\n", "\n".join(("edition: 1", *lines, "")))}


def about_pass_marks(files: dict[str, str]) -> list[str]:
    return [one for one in found(files) if "pass_mark" in one]


def test_a_quiz_says_who_set_its_pass_mark() -> None:
    """Beside the pass mark; without either it has the program's, of no source."""
    read = program_of(with_lines("pass_mark: 0.84", SOURCE)).quizzes["safety"]
    assert (read.pass_mark, read.pass_mark_source) == (0.84, "Angoff 1971, set on 2026-10-03 by 1 judge: Dana")
    assert program_of(small_files()).quizzes["safety"].pass_mark_source == ""


@pytest.mark.parametrize(
    ("lines", "findings"),
    [
        (("pass_mark: 0.84", SOURCE), []),
        ((), []),
        (
            ("pass_mark: 0.84",),
            [f"advice: {AT}{NO_SOURCE}"],
        ),
        (
            (SOURCE,),
            [f"advice: {AT}{NO_MARK}"],
        ),
        (("pass_mark: 84",), [f"{AT}`pass_mark` is 84; it must be a number from 0 to 1"]),
        (
            ("pass_mark_source: 1971", "pass_mark: 0.84"),
            [
                f"{AT}`pass_mark_source` is 1971; it must be a text in quotes",
                f"advice: quizzes/safety.yaml:5: {NO_SOURCE}",
            ],
        ),
    ],
)
def test_what_check_says_of_a_pass_mark(lines: tuple[str, ...], findings: list[str]) -> None:
    """A pass mark of the quiz's own has a source; one that is faulty is spoken of once."""
    assert about_pass_marks(with_lines(*lines)) == findings


def test_a_comparison_says_the_new_source() -> None:
    """As it says the new pass mark."""
    (found_once,) = differences(program_of(small_files()), program_of(with_lines("pass_mark: 0.84", SOURCE)))
    assert found_once.details == (
        "pass mark: 0.84, was 0.8",
        "pass mark source: Angoff 1971, set on 2026-10-03 by 1 judge: Dana, was none",
    )
