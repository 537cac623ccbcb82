"""Skill files: criteria and sign-off rules, and each seeded slip at its line."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import SIGN_OFF_DEFAULTS, USUAL_REMARKS, Criterion
from mentor_training.program.lint.words import word_remarks
from mentor_training.program.reading.skills import LONGEST_REMARK, MOST_REMARKS
from tests.program.definitions import found, program_of
from tests.small_program import GUARDING, small_files

SKILL_WITH_SLIPS = """\
---
slug: guard
title: Guarding
risk: hihg
criteria:
  - text: Stands close.
    critical: "yes"
  - Steps along.
  - tekst: Talks.
sign_off:
  observations: 3
  dayz: 3
  participants: 9
good_for_months: 0
practice_within_days: 30
standards: [x]
---
How to do it.
"""


def test_a_skill_is_read_whole() -> None:
    """The body is how to do it."""
    skill = program_of(small_files()).skills["guarding"]
    assert (skill.title, skill.risk, skill.good_for_months) == ("Guarding a balance task", "elevated", 12)
    assert skill.criteria[0] == Criterion("Lane clear and dry.", critical=True)
    assert skill.criteria[-1] == Criterion("Talks calmly.")
    assert skill.standards == ("apens-10",)
    assert skill.body == "Stand close and do not hold."


def test_the_front_matter_of_a_skill_may_be_toml() -> None:
    """Between lines of three plus signs; each line is the line of the file."""
    text = (
        '+++\nslug = "s"\ntitle = "S"\nrisk = "high"\ncriteria = [\n'
        '  "Asks.",\n  { text = "Stops.", critical = true },\n]\n'
        "[sign_off]\nobservations = 5\n+++\nAsk first.\n"
    )
    skill = program_of({"program/skills/s.md": text}).skills["s"]
    assert skill.criteria == (Criterion("Asks."), Criterion("Stops.", critical=True))
    assert (skill.sign_off.observations, skill.body) == (5, "Ask first.")
    slips = text.replace('"Asks."', "3").replace("[sign_off]\n", '[sign_off]\ndayz = "3"\n')
    assert found({"program/skills/s.md": slips}) == [
        "program/skills/s.md:6: 3 stands in `criteria`; write a text in quotes, or the keys of a criterion",
        "program/skills/s.md:10: unknown key `dayz` in a sign-off rule; did you mean `days`?",
    ]


def test_every_slip_in_a_skill_is_said_at_its_line() -> None:
    """Deep inside the criteria and the sign-off rule too."""
    at = "program/skills/guarding.md"
    assert found({at: SKILL_WITH_SLIPS}) == [
        f"advice: {at}:2: the slug is `guard`, the file is named differently; name the file guard.md",
        f"{at}:4: unknown risk `hihg`; did you mean `high`?",
        f'{at}:7: `critical` is the text "yes"; it must be true or false',
        (
            f"advice: {at}:8: a criterion is a text alone, and not critical; "
            "write `text` and `critical: true` for what has to be done unprompted"
        ),
        f"{at}:9: a criterion has no `text`; add `text`",
        f"{at}:9: unknown key `tekst` in a criterion; did you mean `text`?",
        f"{at}:12: unknown key `dayz` in a sign-off rule; did you mean `days`?",
        (
            f"{at}:13: `participants` asks for 9 where `observations` is 3; "
            "set `observations` to 9 or more, or `participants` to 3 or fewer"
        ),
        f"{at}:14: `good_for_months` is 0; it must be a whole number from 1 to 1200",
        (
            f"advice: {at}:15: no station practices this skill, so that it always lapses; "
            "list the skill in `practices` of a station, or leave this out"
        ),
        f"{at}:16: unknown standard `x`; none is defined yet",
    ]


def test_a_rule_that_contradicts_a_default_is_advised_against() -> None:
    """Fewer observations than the risk's usual days: the days win, which the file does not say."""
    text = "---\nslug: s\ntitle: S\nrisk: ordinary\ncriteria:\n  - text: Done.\nsign_off:\n  observations: 1\n---\n"
    assert found({"program/skills/s.md": text}) == [
        (
            "advice: program/skills/s.md:8: `days` asks for 2 where `observations` is 1; "
            "set `observations` to 2 or more, or `days` to 1 or fewer"
        )
    ]


def test_a_high_risk_that_one_observer_alone_may_sign_off_is_advised_against() -> None:
    """In the skill's own rule and in the defaults of the risk; at a lower risk one observer may do."""
    text = "---\nslug: s\ntitle: S\nrisk: high\ncriteria:\n  - text: Done.\nsign_off:\n  observers: 1\n---\n"
    words = "a skill of high risk would be signed off on what one observer alone has seen; set `observers` to 2 or more"
    assert found({"program/skills/s.md": text}) == [f"advice: program/skills/s.md:8: {words}"]
    assert found({"program/skills/s.md": text.replace("observers: 1", "observers: 2")}) == []
    assert found({"program/skills/s.md": text.replace("high", "elevated")}) == []
    defaults = {
        "program/program.toml": 'name = "P"\n[sign_off.high]\nobservers = 0\n[sign_off.ordinary]\nobservers = 1\n'
    }
    assert found(defaults) == [f"advice: program/program.toml:3: {words}"]


@pytest.mark.parametrize(("criteria", "line"), [("criteria: []\n", 5), ("criteria:\n", 5), ("", 2)])
def test_a_skill_without_criteria_is_advised_against(criteria: str, line: int) -> None:
    """Nobody can be observed at it, which is what it says."""
    files = {"program/skills/s.md": f"---\nslug: s\ntitle: S\nrisk: ordinary\n{criteria}---\n"}
    assert found(files) == [
        (
            f"advice: program/skills/s.md:{line}: the skill has no criteria, so that nobody can be observed at it; "
            "write under `criteria` what an observer looks for"
        )
    ]
    assert program_of(files).skills["s"].criteria == ()


@pytest.mark.parametrize("criteria", ["Stands close.", "3", "false", "{ text: Stands close. }"])
def test_criteria_of_another_kind_are_a_fault(criteria: str) -> None:
    """Only a list is a list."""
    text = f"---\nslug: s\ntitle: S\nrisk: ordinary\ncriteria: {criteria}\n---\n"
    findings = found({"program/skills/s.md": text})
    assert len(findings) == 1
    assert findings[0].startswith("program/skills/s.md:5: `criteria` is ")


def test_criteria_written_as_texts_are_read_and_not_critical() -> None:
    """Beside tables too; that none of them is critical is said once, with how to change it."""
    text = (
        "---\nslug: s\ntitle: S\nrisk: ordinary\ncriteria:\n  - text: Asks.\n    critical: true\n"
        "  - Stands close.\n  - Talks.\n---\n"
    )
    files = {"program/skills/s.md": text}
    criteria = (Criterion("Asks.", critical=True), Criterion("Stands close."), Criterion("Talks."))
    assert program_of(files).skills["s"].criteria == criteria
    assert found(files) == [
        (
            "advice: program/skills/s.md:8: 2 criteria are texts alone, and not critical; "
            "write `text` and `critical: true` for what has to be done unprompted"
        )
    ]
    assert found({"program/skills/s.md": text.replace("Stands close.", "3").replace("Talks.", '" "')}) == [
        "program/skills/s.md:8: 3 stands in `criteria`; write a text in quotes, or the keys of a criterion",
        'program/skills/s.md:9: the text " " stands in `criteria`; write a text in quotes, or the keys of a criterion',
    ]


def test_a_skill_without_a_risk_gets_the_strictest_sign_off() -> None:
    """Whoever left it out may have meant that; a word that is no risk stays a fault."""
    files = {"program/skills/s.md": "---\nslug: s\ntitle: S\ncriteria:\n  - text: Done.\n---\n"}
    skill = program_of(files).skills["s"]
    assert (skill.risk, skill.sign_off) == ("high", SIGN_OFF_DEFAULTS["high"])
    assert found(files) == [
        (
            "advice: program/skills/s.md:2: the skill has no `risk`, and gets the strictest sign-off, "
            "that of high risk; add `risk`: ordinary, elevated, high"
        )
    ]


def with_remarks(*remarks: str) -> dict[str, str]:
    """Write a skill with short remarks of its own from line 3 on."""
    listed = "".join(f'  - "{words}"\n' for words in remarks)
    return {"program/skills/guarding.md": GUARDING.replace("slug:", f"remarks:\n{listed}slug:", 1)}


def test_a_skill_has_its_own_short_remarks_or_the_usual_ones() -> None:
    """In the order of the file; an empty list means that there are none to press."""
    assert program_of(small_files()).skills["guarding"].remarks == USUAL_REMARKS
    own = program_of({**small_files(), **with_remarks("Too far to reach", "Looked ahead")}).skills["guarding"]
    assert own.remarks == ("Too far to reach", "Looked ahead")
    none = GUARDING.replace("slug:", "remarks: []\nslug:", 1)
    assert program_of({**small_files(), "program/skills/guarding.md": none}).skills["guarding"].remarks == ()


def test_a_short_remark_is_short_stands_once_and_brings_no_full_stop() -> None:
    """It has to fit on a button that is found at a glance."""
    long, many = "x" * (LONGEST_REMARK + 1), [f"Remark {number}" for number in range(MOST_REMARKS + 1)]
    assert about_remarks(long, "Looked away", "Looked away", "Too far.") == [
        "program/skills/guarding.md:3: a remark of 41 characters; use 40 at most, so that it fits on a button",
        "program/skills/guarding.md:5: the remark 'Looked away' stands twice; name it once",
        "advice: program/skills/guarding.md:6: a remark ends with a full stop; leave it out, pressing puts it in",
    ]
    assert about_remarks(*many) == [
        "program/skills/guarding.md:2: `remarks` has 11 entries; leave 10 at most, so that they are seen at a glance"
    ]


def about_remarks(*remarks: str) -> list[str]:
    """Return what is found in a skill with such remarks."""
    return [line for line in found({**small_files(), **with_remarks(*remarks)}) if "remark" in line]


def test_the_usual_remarks_are_short_and_have_no_word_to_avoid() -> None:
    """The lint of words holds the skill files to the same."""
    assert list(word_remarks("\n".join(USUAL_REMARKS), quotes_are_speech=False)) == []
    assert len(USUAL_REMARKS) <= MOST_REMARKS
    assert all(len(words) <= LONGEST_REMARK and not words.endswith(".") for words in USUAL_REMARKS)
