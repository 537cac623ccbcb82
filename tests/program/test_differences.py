"""How two editions differ in what they mean: each kind of change in words."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import Program
from mentor_training.program.differences import UNRAISED, Difference, differences
from mentor_training.program.reading import read_program
from tests.small_program import COURSES, GUARDING, NEEDS, PAPERS, PROGRAM, QUIZ, SAFETY, STATIONS, small_files


def program(**changed: str) -> Program:
    """Return the small program with some files changed."""
    found, findings = read_program(small_files(**changed))
    assert found is not None, findings
    return found


def after(**changed: str) -> tuple[Difference, ...]:
    """Return how the small program differs with some files changed."""
    return differences(program(), program(**changed))


def test_the_same_program_does_not_differ() -> None:
    """However its files are written."""
    assert after(program__stations_toml="# a comment\n" + STATIONS) == ()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("capacity = 4", "capacity = 5", "capacity: 5, was 4"),
        ('"standing", "stepping"]\ncap', '"standing", "seated"]\ncap', "activities: seated added; stepping removed"),
        ('practices = ["skill/guarding"]', 'practices = ["skill/leading"]',
         "practices: Leading a station added; Guarding a balance task removed"),
        ('caution = "Keep the lane dry."', 'caution = "Keep it dry."', "caution: written anew"),
        ('independent = { all = ["skill/guarding"] }', 'independent = { all = ["skill/guarding", "skill/leading"] }',
         "independent: now asks for Leading a station (skill, signed off)"),
        ('{ all = ["skill/leading", { hours = "direct", at_least = 10 }] }', '{ hours = "direct", at_least = 12 }',
         ("lead: now asks for 12 approved hours of direct, and no longer asks for "
         "Leading a station (skill, signed off); 10 approved hours of direct")),
        ('lead = { all = ["skill/leading", { hours = "direct", at_least = 10 }] }\n', "",
         "lead: there is no such level any more"),
        ('independent = { all = ["skill/guarding"] }', 'independent = { any = ["skill/guarding", "skill/leading"] }',
         ("independent: one of these (Guarding a balance task (skill, signed off); Leading a station (skill, signed "
         "off)); was: Guarding a balance task (skill, signed off)")),
    ],
)  # fmt: skip
def test_what_changed_at_a_station_is_said(old: str, new: str, said: str) -> None:
    """Its numbers, its words, and each rung by what it asks for more and less."""
    assert STATIONS.count(old) == 1
    found = after(program__stations_toml=STATIONS.replace(old, new))
    assert [(one.what, one.name, one.change) for one in found] == [("station", "Balance lane", "changed")]
    assert any(detail.startswith(said) for detail in found[0].details), found[0].details


def test_a_rung_that_is_new_says_what_it_asks_for() -> None:
    """The duty had no lead before."""
    found = after(program__stations_toml=STATIONS + "lead = { sessions = 2 }\n")
    assert found == (
        Difference(
            "duty", "Arrival desk", "changed",
            ("lead: there is such a level now, which asks for 2 sessions attended before the day",),
        ),
    )  # fmt: skip


def test_things_that_come_and_go_are_named() -> None:
    """A paper more, a need less."""
    found = after(
        program__papers_toml=PAPERS + '[[paper]]\nslug = "cpr"\ntitle = "CPR card"\n',
        program__needs_toml=NEEDS.split("\n[[need]]")[0],
    )
    assert found == (Difference("need", "Two mentors", "removed"), Difference("paper", "CPR card", "added"))


def test_the_program_as_a_whole_is_compared() -> None:
    """Entry, never list and policy numbers."""
    text = PROGRAM.replace(', "module/safety"', "").replace('"Lifting a person alone."', '"Driving the bus."')
    found = after(program__program_toml=text.replace("never", "pass_mark = 0.9\nnever"))
    assert found == (
        Difference(
            "program", "Small program", "changed",
            (
                "entry: no longer asks for Safety (module, completed)",
                "on the never list now: Driving the bus.",
                "no longer on the never list: Lifting a person alone.",
                "pass mark: 0.9, was 0.8",
            ),
        ),
        Difference("quiz", "safety", "changed", ("pass mark: 0.9, was 0.8",)),
    )  # fmt: skip


def test_a_module_that_must_be_taken_again_says_so() -> None:
    """Edition, retaking, and which parts of the text are other ones."""
    text = SAFETY.replace("edition: 1", "edition: 2\nmust_retake: true").replace("Walk every", "Walk each")
    found = after(**{"modules/safety.md": text, "quizzes/safety.yaml": QUIZ.replace("edition: 1", "edition: 2")})
    assert Difference(
        "module", "Safety", "changed", ("edition: 2, was 1", "section changed: exits", "must retake: yes, was no")
    ) in found  # fmt: skip


def test_a_module_that_says_something_else_under_its_old_number_is_pointed_out() -> None:
    """Those who completed it are told what changed by its edition number."""
    (found,) = after(**{"modules/safety.md": SAFETY.replace("Walk every", "Walk each")})
    assert found.details == ("section changed: exits", UNRAISED.format(1))


def test_a_skill_says_which_criteria_and_which_numbers_changed() -> None:
    """Criteria by their text."""
    text = GUARDING.replace("  - text: Talks calmly.\n", "  - text: Talks.\n").replace("days: 2", "days: 1")
    found = after(**{"program/skills/guarding.md": text.replace("good_for_months: 12\n", "")})
    assert found[0].details == (
        "criterion added: Talks.",
        "criterion removed: Talks calmly.",
        "sign off: days: 1, was 2",
        "good for months: none, was 12",
    )


def test_a_courses_minutes_are_compared_by_category() -> None:
    """And its cap."""
    text = COURSES.replace("direct = 600", "direct = 900").replace("day_cap_minutes = 240\n", "")
    found = after(program__courses_toml=text)
    assert found == (
        Difference(
            "course", "Practicum", "changed",
            ("required minutes, direct: 900, was 600", "day cap minutes: none, was 240"),
        ),
    )  # fmt: skip


def test_a_change_of_a_quiz_names_its_scenarios() -> None:
    """Those that came, went or changed."""
    found = after(**{"quizzes/safety.yaml": QUIZ.replace("How long do you wash?", "How long is long enough?")})
    assert found == (Difference("quiz", "safety", "changed", ("scenario changed: how-long",)),)
