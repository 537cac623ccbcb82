"""program.toml, the short lists, and which files belong to a definition."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import (
    DEFERRAL,
    CertificateKind,
    Course,
    Framework,
    Paper,
    Policy,
    SignOffRule,
    Standard,
)
from mentor_training.program.requirements import ALWAYS, Item
from tests.program.definitions import SAFETY, found, program_of
from tests.small_program import small_files

PROGRAM_WITH_SLIPS = """\
name = 3
entri = "module/safety"
never = ["Giving medicine.", 3, ""]
pass_mark = 1.5
reminders = -1
cool_down_hours = true
rounding = "klock"
round_minutes = 7
fresh_days = 0
done_share = nan
late_after_days = 2.0

[sign_off.ordinary]
observations = 2
days = 3
observer = 1

[sign_off.hi]
observations = 1
"""

SKILL = "---\nslug: s\ntitle: S\nrisk: RISK\ncriteria:\n  - text: Done.\nSIGN_OFF---\n"


def test_a_name_is_all_that_a_program_needs() -> None:
    """Everything else has its usual value, and no other file has to be there."""
    program = program_of({})
    assert (program.name, program.entry, program.never, program.deferral) == ("P", ALWAYS, (), DEFERRAL)
    assert program.policy == Policy(0.8, 12, 3, 7, 1, 0.8, 120, 0.8, 2, "statement", 15)
    assert not program.stations
    assert not program.modules
    assert not program.quizzes


def test_the_numbers_and_texts_of_a_program_are_read() -> None:
    """Each by the name that the rules use for it."""
    text = (
        'name = "Mornings"\nentry = "module/safety"\nnever = ["Lifting alone."]\ndeferral = "Ask first."\n'
        "pass_mark = 0.9\ncool_down_hours = 6\nfailures_before_talk = 2\nlate_after_days = 0\nreminders = 2\n"
        "done_share = 1\nfresh_days = 90\nagreement_share = 0.75\nsupervised_per_lead = 3\n"
        'rounding = "clock"\nround_minutes = 6\n'
    )
    program = program_of({"program/program.toml": text, "modules/safety.md": SAFETY})
    assert (program.name, program.entry) == ("Mornings", Item("module/safety"))
    assert (program.never, program.deferral) == (("Lifting alone.",), "Ask first.")
    assert program.policy == Policy(0.9, 6, 2, 0, 2, 1, 90, 0.75, 3, "clock", 6)


def test_every_slip_in_program_toml_is_said_at_its_line() -> None:
    """Wrong kinds, numbers out of range, unknown keys and words: all at once."""
    at = "program/program.toml"
    assert found({at: PROGRAM_WITH_SLIPS}) == [
        f"{at}:1: `name` is 3; it must be a text in quotes",
        f"{at}:2: unknown key `entri` in the program; did you mean `entry`?",
        f"{at}:3: 3 stands in `never`; write a text in quotes",
        f'{at}:3: the text "" stands in `never`; write a text in quotes',
        f"{at}:4: `pass_mark` is 1.5; it must be a number from 0 to 1",
        f"{at}:5: `reminders` is -1; it must be a whole number, 0 or more",
        f"{at}:6: `cool_down_hours` is true; it must be a number from 0 to 8760",
        f"{at}:7: unknown rounding `klock`; did you mean `clock`?",
        f"{at}:8: `round_minutes` is 7; it must be 5, 6 or 15",
        f"{at}:9: `fresh_days` is 0; it must be a whole number from 1 to 36500",
        f"{at}:10: `done_share` is nan; it must be a number from 0 to 1",
        f"{at}:11: `late_after_days` is 2.0; it must be a whole number from 0 to 36500",
        (
            f"{at}:15: `days` asks for 3 where `observations` is 2; "
            "set `observations` to 3 or more, or `days` to 2 or fewer"
        ),
        f"{at}:16: unknown key `observer` in a sign-off rule; did you mean `observers`?",
        f"{at}:18: unknown key `hi` in the sign-off defaults; did you mean `high`?",
    ]


def test_a_definition_without_program_toml_is_refused() -> None:
    """Its name is the one thing that has to be there."""
    assert found({"program/program.toml": ""}) == ["program/program.toml:1: the program has no `name`; add `name`"]


def test_an_entry_that_nobody_new_can_meet_is_advised_against() -> None:
    """Sessions and direct hours come from being on the floor, which the entry requirement is for."""
    what = "nobody new can meet `entry`: it asks for sessions, direct hours or a live observation"
    for entry in ("{ sessions = 1 }", '{ hours = "direct", at_least = 1 }'):
        assert found({"program/program.toml": f'name = "P"\nentry = {entry}\n'}) == [
            f"advice: program/program.toml:2: {what}; ask for these at a station instead"
        ]
    assert found({"program/program.toml": 'name = "P"\nentry = { hours = "training", at_least = 1 }\n'}) == []


@pytest.mark.parametrize(
    ("risk", "program", "skill", "rule"),
    [
        ("ordinary", "", "", SignOffRule(2, 2, 1)),
        ("elevated", "", "", SignOffRule(3, 2, 2)),
        ("high", "", "", SignOffRule(4, 3, 2, met_in_a_row=2)),
        ("high", "fresh_days = 60\n", "", SignOffRule(4, 3, 2, met_in_a_row=2, fresh_days=60)),
        ("high", "[sign_off.high]\nobservations = 5\n", "", SignOffRule(5, 3, 2, met_in_a_row=2)),
        ("high", "[sign_off.ordinary]\nobservations = 5\n", "", SignOffRule(4, 3, 2, met_in_a_row=2)),
        (
            "high",
            "fresh_days = 60\n[sign_off.high]\nobservations = 5\nobservers = 3\n",
            "sign_off:\n  observers: 1\n  participants: 2\n  live_at_least: 2\n  fresh_days: 30\n",
            SignOffRule(5, 3, 1, 2, 2, 2, 30),
        ),
    ],
)
def test_a_sign_off_rule_comes_from_the_risk_then_the_program_then_the_skill(
    risk: str, program: str, skill: str, rule: SignOffRule
) -> None:
    """Each later one says only what differs."""
    files = {
        "program/program.toml": f'name = "P"\n{program}',
        "program/skills/s.md": SKILL.replace("RISK", risk).replace("SIGN_OFF", skill),
    }
    assert program_of(files).skills["s"].sign_off == rule


def test_the_short_lists_are_read() -> None:
    """Papers, courses, certificates, frameworks and standards, each in the order of its file."""
    program = program_of(small_files())
    assert list(program.papers.values()) == [
        Paper("background-check", "Background check", 24),
        Paper("photo-choice", "Photo choice", None, waivable=True),
    ]
    minutes = {"direct": 600, "training": 60}
    sections = ("KIN-372-A", "KIN-372-B")
    assert program.courses == {"KIN-372": Course("KIN-372", "Practicum", 3, minutes, 240, None, sections)}
    certificate = program.certificates["lane-mentor"]
    assert certificate == CertificateKind("lane-mentor", "Balance lane mentor", certificate.requires, certificate.text)
    title = "Adapted Physical Education National Standards"
    assert program.frameworks == {"apens": Framework("apens", title, "NCPEID")}
    assert program.standards == {"apens-10": Standard("apens-10", "apens", "10", "Teaching", "S")}
    assert program.course_of_section("KIN-372-B") == program.courses["KIN-372"]


def test_an_unusual_number_of_hours_a_credit_is_pointed_out() -> None:
    """37.5 to 50 are what handbooks print; another number is the course's own affair, and advice only."""
    course = '[[course]]\ncode = "A"\ntitle = "T"\nhours_per_credit = 30\n'
    assert found({"program/courses.toml": course}) == [
        "advice: program/courses.toml:4: a credit stands for 30 hours; 37.5 to 50 are usual, and 45 the default"
    ]
    assert found({"program/courses.toml": course.replace("30", "37.5")}) == []


def test_who_signs_a_certificate_is_a_name_and_an_office() -> None:
    """Left out, nobody is named; empty, or longer than fits under the line, it is said."""
    kind = '[[certificate]]\nslug = "c"\ntitle = "C"\ntext = "T"\nrequires = { sessions = 1 }\nsigned_by = "{}"\n'
    file = "program/certificates.toml"
    assert found({file: kind.replace("{}", "Wilhelmina Quarrie, program coordinator")}) == []
    assert found({file: kind.replace("{}", " ")}) == [
        f"{file}:6: `signed_by` is empty; name who signs, or leave it out"
    ]
    assert found({file: kind.replace("{}", "W" * 91)}) == [
        f"{file}:6: `signed_by` has 91 characters; 90 fit under the line: name and office"
    ]


def test_every_slip_in_the_short_lists_is_said_at_its_line() -> None:
    """Four files, all at once."""
    files = {
        "program/courses.toml": '[[course]]\ncode = "A;B"\ntitle = "T"\n'
        "required_minutes = { dirct = 3, training = -1 }\n"
        'day_cap_minutes = 0\nsections = ["S1"]\n[[course]]\ncode = "C"\ntitle = "T"\nsections = [\n"S2",\n"S1"]\n',
        "program/certificates.toml": '[[certificate]]\nslug = "c"\ntitle = "T"\n',
        "program/papers.toml": '[[paper]]\nslug = "p"\ntitle = "P"\nwaivable = "no"\ngood_for_months = 1.5\n'
        '[[paper]]\nslug = "p"\ntitle = "P"\ngood_for_months = 0\n',
        "program/standards.toml": '[[framework]]\nslug = "f"\ntitle = "F"\nowner = "O"\n'
        '[[standard]]\nslug = "s"\nframework = "g"\nnumber = 1\ntitle = "T"\nmark = "P"\n',
    }
    assert [one.removeprefix("program/") for one in found(files)] == [
        "certificates.toml:1: a certificate has no `requires`; add `requires`",
        "certificates.toml:1: a certificate has no `text`; add `text`",
        "courses.toml:2: the code `A;B` holds a semicolon, which separates codes in lists; leave it out",
        "courses.toml:4: `training` is -1; it must be a whole number, 0 or more",
        "courses.toml:4: unknown key `dirct` in the required minutes; did you mean `direct`?",
        "courses.toml:5: `day_cap_minutes` is 0; it must be a whole number, 1 or more",
        (
            "courses.toml:12: the section `S1` is there twice, first at program/courses.toml:6; "
            "name it once; a section takes one course"
        ),
        'papers.toml:4: `waivable` is the text "no"; it must be true or false',
        "papers.toml:5: `good_for_months` is 1.5; it must be a whole number from 1 to 1200",
        "papers.toml:7: the paper `p` is there twice, first at program/papers.toml:2; give each a name of its own",
        "papers.toml:9: `good_for_months` is 0; it must be a whole number from 1 to 1200",
        "standards.toml:7: unknown framework `g`; there is only `f`",
        "standards.toml:8: `number` is 1; it must be a text in quotes",
        "standards.toml:10: unknown mark `P`; known are `S`, `S2`, `M`",
    ]


def test_what_a_standard_may_leave_out_is_advised_on() -> None:
    """A title is enough to map to; what its owner calls it, and how surely it is known, would be better."""
    framework = '[[framework]]\nslug = "f"\ntitle = "F"\nowner = "O"\n'
    bare = '[[standard]]\nslug = "s"\ntitle = "T"\nframework = ""\n'
    files = {"program/standards.toml": framework + bare}
    assert program_of(files).standards == {"s": Standard("s", "", "", "T", "M")}
    assert [one.removeprefix("advice: program/standards.toml:") for one in found(files)] == [
        "5: the standard has no number; add `number`, as its framework gives it",
        "5: the standard has no `mark`, and counts as M, from memory; check it, and add `mark`",
        "8: the standard is of no framework; name its `framework`",
    ]
    wrong = bare.replace('""', "false") + 'number = 3\nmark = ""\n'
    assert [one.removeprefix("program/standards.toml:") for one in found({"program/standards.toml": wrong})] == [
        "4: `framework` is false; it must be a text in quotes",
        "5: `number` is 3; it must be a text in quotes",
        "6: unknown mark ``; known are `S`, `S2`, `M`",
    ]


@pytest.mark.parametrize(
    ("file", "right"),
    [
        ("program/station.toml", "did you mean `program/stations.toml`?"),
        ("quizzes/safety.yml", "name it quizzes/safety.yaml"),
        ("modules/deep/safety.md", "skills lie in program/skills/, modules in modules/, without further folders"),
        ("program/guarding.md", "skills lie in program/skills/, modules in modules/, without further folders"),
    ],
)
def test_a_file_that_would_not_be_read_is_a_fault(file: str, right: str) -> None:
    """Or a misnamed file would silently take its rules out of the program."""
    assert found({file: ""}) == [f"{file}:1: no file of this name belongs here; {right}"]


def test_advice_alone_does_not_keep_a_program_back() -> None:
    """The small program has four pieces of advice and is a program."""
    assert found(small_files()) == [
        (
            "advice: modules/safety.md:17: the module has 13 words; "
            "a module that is read in one sitting has 800 to 2,000 words"
        ),
        *(
            f"advice: quizzes/safety.yaml:{line}: the item `{item}` has something unsafe and only one version; "
            f"write another with `version_of: {item}`, about another person, place or number"
            for line, item in ((6, "grey-and-sweating"), (33, "in-order"), (60, "door"))
        ),
    ]
    assert program_of(small_files()).name == "Small program"
