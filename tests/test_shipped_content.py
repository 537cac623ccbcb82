"""The program that is shipped: the files that people copy and start from."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from mentor_training.program.catalog import Program
from mentor_training.program.lint.modules import word_count
from mentor_training.program.quiz_values import SCENARIO_KINDS
from mentor_training.program.reading import Finding, collect_files, read_program
from mentor_training.program.requirements import Item, atoms_of

ROOT = Path(__file__).resolve().parent.parent
STATIONS = ["pool-deck", "resistance-corner", "balance-lane", "target-games", "rhythm-floor", "quiet-room"]
DUTIES = ["arrival-desk", "screening-bay", "transfer-team", "guiding"]
MODULES = [
    "behavior", "communication", "conduct", "confidentiality", "form-cues", "games", "safety", "screening", "seizures",
    "spotting", "transfers",
]  # fmt: skip


@cache
def shipped() -> tuple[Program | None, tuple[Finding, ...]]:
    """Read the shipped definition, once."""
    folders = (ROOT / "instance_example" / "program", ROOT / "modules", ROOT / "quizzes")
    files, unreadable = collect_files(*folders)
    program, findings = read_program(files)
    return program, (*unreadable, *findings)


def program() -> Program:
    """Return the shipped program."""
    found = shipped()[0]
    assert found is not None
    return found


def test_the_shipped_program_has_no_fault_and_nothing_to_advise_on() -> None:
    """It can be published as it is, and its authors keep to every piece of advice that `check` gives."""
    assert [str(one) for one in shipped()[1]] == []


def test_six_stations_and_four_duties() -> None:
    """The places and the gated tasks of the scenario."""
    stations = program().stations.values()
    assert [one.slug for one in stations if not one.is_duty] == STATIONS
    assert [one.slug for one in stations if one.is_duty] == DUTIES


def test_twenty_skills_and_fourteen_needs() -> None:
    """Each skill has something critical to see, each need says what to do."""
    assert len(program().skills) == 20
    assert len(program().needs) == 14
    assert [slug for slug, skill in program().skills.items() if not any(one.critical for one in skill.criteria)] == []
    assert [slug for slug, need in program().needs.items() if not need.caution] == []


def test_the_rest_of_the_definition_is_there() -> None:
    """Entry requirement, never list, papers, course, certificates, standards."""
    assert program().never
    assert program().papers
    assert set(program().course_of_section("KIN-372-A").sections) == {"KIN-372-A", "KIN-372-B"}  # type: ignore[union-attr]
    assert set(program().certificates) == {"supervised-practicum", "balance-lane-mentor"}
    assert set(program().frameworks) == {"apens", "shape-2017", "cec-2020"}


def test_eleven_modules_each_with_its_quiz() -> None:
    """And every quiz gives the passage to read again for every scenario."""
    assert sorted(program().modules) == MODULES
    assert sorted(program().quiz_of_module) == MODULES
    for quiz in program().quizzes.values():
        assert [one.slug for one in quiz.scenarios if not one.read_again or not one.why] == []


@pytest.mark.parametrize("slug", MODULES)
def test_a_module_can_be_read_in_one_sitting(slug: str) -> None:
    """800 to 2,000 words, with cautions and sources."""
    module = program().modules[slug]
    assert 800 <= sum(word_count(f"{section.title} {section.body}") for section in module.sections) <= 2000
    assert module.cautions
    assert module.sources
    assert module.minutes > 0


def test_every_module_is_asked_for_somewhere() -> None:
    """By a station, a duty or a need: what opens nothing would not be read."""
    ladders = [one.ladder for one in program().stations.values()] + [one.ladder for one in program().needs.values()]
    asked = {atom for ladder in ladders for rung in ladder.rungs for atom in atoms_of(rung)}
    assert [slug for slug in MODULES if Item(f"module/{slug}") not in asked] == []


def test_every_fact_in_memory_or_at_second_hand_says_check_it() -> None:
    """Where a source marked S2 or M is cited, the section says: check against the current original."""
    for module in program().modules.values():
        unsure = {source.id for source in module.sources if source.mark in ("S2", "M")}
        for section in module.sections:
            if any(f"[source: {one}]" in section.body for one in unsure):
                assert "current original" in " ".join(section.body.split()), (module.slug, section.slug)


def test_at_least_ten_drawings_each_with_an_alternative_and_all_it_shows_in_words() -> None:
    """Where a picture teaches faster than words."""
    drawings = [one for module in program().modules.values() for one in module.pictures]
    assert len(drawings) >= 10
    assert [one.slug for one in drawings if not one.title or len(one.words.split()) < 15] == []


def test_at_least_75_scenarios_and_two_versions_of_every_item_with_something_unsafe() -> None:
    """So that the next attempt asks for the same in other words."""
    scenarios = [one for quiz in program().quizzes.values() for one in quiz.scenarios]
    assert len(scenarios) >= 75
    versions = Counter((quiz.slug, one.item) for quiz in program().quizzes.values() for one in quiz.scenarios)
    unsafe = {(quiz.slug, one.item) for quiz in program().quizzes.values() for one in quiz.scenarios if one.has_unsafe}
    assert [item for item in unsafe if versions[item] < 2] == []


def test_every_kind_of_scenario_is_used() -> None:
    """All five, over the quizzes together."""
    kinds = {one.kind for quiz in program().quizzes.values() for one in quiz.scenarios}
    assert kinds == set(SCENARIO_KINDS)


def test_some_choice_in_every_quiz_is_unsafe() -> None:
    """Every module is about something that can hurt."""
    for quiz in program().quizzes.values():
        standings = {option.standing for one in quiz.scenarios for option in one.options}
        standings |= {choice.standing for one in quiz.scenarios for scene in one.scenes for choice in scene.choices}
        assert "unsafe" in standings or any(pair.must for one in quiz.scenarios for pair in one.pairs), quiz.slug


def test_every_option_and_choice_says_why() -> None:
    """What was chosen is explained by itself, and not only the scenario as a whole."""
    for quiz in program().quizzes.values():
        for one in quiz.scenarios:
            said = [(option.text, option.why) for option in one.options]
            said += [(choice.text, choice.why) for scene in one.scenes for choice in scene.choices]
            assert [text for text, why in said if not why] == [], (quiz.slug, one.slug)
