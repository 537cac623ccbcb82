"""Quizzes: all five kinds of scenario, and each seeded slip at its line."""

from __future__ import annotations

import pytest

from mentor_training.program.quiz_values import SCENARIO_KINDS
from mentor_training.program.reading.graph import cycle_in, reachable
from tests.program.definitions import SAFETY, found, in_two_versions, program_of
from tests.small_program import small_files

QUIZ_WITH_SLIPS = """\
slug: safety
module: safty
edition: 1
pass_mark: 80
draw: 20
scenarios:
  - slug: one
    kind: choose_one
    skill: skill/guardin
    text: T
    options:
      - {text: a, class: best}
      - {text: a, class: best}
      - {text: c, class: bad, y: 1}
  - slug: two
    kind: choose_all
    text: T
    steps: []
    options:
      - {text: a, class: wrong}
  - slug: one
    kind: put_in_order
    text: T
    steps:
      - {slug: a, text: A}
      - {slug: b, text: B}
      - {slug: b, text: B}
    pairs:
      - {first: a, then: b}
      - {first: b, then: a, must: true}
      - {first: b, then: x}
      - {first: a, then: b}
  - slug: four
    kind: read_measure
    text: T
    value: "10"
    tolerance: -1
    unit: in
    units: [cm, cm]
  - slug: five
    kind: unfold
    text: T
    scenes:
      - slug: s1
        text: T
        choices:
          - {text: a, class: good, to: s2}
          - {text: b, class: unsafe, to: s3}
          - {text: c, class: good, to: s9}
      - slug: s2
        text: T
        choices:
          - {text: a, class: good, to: s1}
          - {text: b, class: recoverable}
      - slug: s3
        text: T
        choices:
          - {text: a, class: good}
  - slug: six
    kind: chose_one
    text: T
    options: []
  - kind: unfold
"""

HEAD = """\
slug: safety
module: safety
edition: 1
scenarios:
"""

UNSAFE = """\
  - slug: one
    kind: choose_one
    text: T
    read_again: first
    options:
      - text: short
        class: best
      - text: much longer
        class: unsafe
"""

SAFE = """\
  - slug: two
    kind: read_measure
    text: How long?
    value: 20
    tolerance: 2
    unit: s
    units: [s, min]
"""

# Without a finding: the scenarios one, one-again and two, of the items one, one and two.
QUIZ = in_two_versions(HEAD + UNSAFE) + SAFE


def test_a_quiz_with_all_five_kinds_is_read() -> None:
    """The fields of the other kinds stay empty."""
    quiz = program_of(small_files()).quizzes["safety"]
    assert [one.kind for one in quiz.scenarios] == list(SCENARIO_KINDS)
    assert (quiz.module, quiz.edition, quiz.pass_mark, quiz.draw) == ("safety", 1, 0.8, 5)
    one, several, order, measure, unfold = quiz.scenarios
    assert [option.standing for option in one.options] == ["unsafe", "best", "wrong"]
    assert one.options[1].why == "That starts the plan."
    assert (several.read_again, several.why) == ("hands", "Before and after.")
    assert [(pair.first, pair.then, pair.must) for pair in order.pairs] == [
        ("shout", "send", True),
        ("send", "write", False),
    ]
    assert (measure.value, measure.tolerance, measure.unit, measure.units) == (20, 2, "s", ("s", "min"))
    assert [(choice.standing, choice.to) for choice in unfold.scenes[0].choices] == [
        ("good", "job"),
        ("unsafe", None),
        ("recoverable", "job"),
    ]


def test_pass_mark_and_draw_have_their_usual_values() -> None:
    """The pass mark is the program's, and without `draw` every item is served, its versions counted once."""
    program = program_of(
        {
            "program/program.toml": 'name = "P"\npass_mark = 0.7\n',
            "modules/safety.md": SAFETY,
            "quizzes/safety.yaml": QUIZ,
        }
    )
    quiz = program.quizzes["safety"]
    assert (quiz.pass_mark, len(quiz.scenarios), quiz.draw) == (0.7, 3, 2)
    assert [one.item for one in quiz.scenarios] == ["one", "one", "two"]


def test_every_slip_in_a_quiz_is_said_at_its_line() -> None:
    """Through all kinds, all at once."""
    skill = "---\nslug: guarding\ntitle: G\nrisk: ordinary\ncriteria:\n  - text: Stands close.\n---\n"
    at = "quizzes/safety.yaml"
    findings = found({"modules/safety.md": SAFETY, "program/skills/guarding.md": skill, at: QUIZ_WITH_SLIPS})
    assert [one.removeprefix(f"{at}:") for one in findings] == [
        "2: unknown module `safty`; did you mean `safety`?",
        "4: `pass_mark` is 80; it must be a number from 0 to 1",
        (
            "5: `draw` is 20 where the bank holds 5 (versions of one item count once); draw 5 or fewer, or write more "
            "scenarios"
        ),
        "9: unknown item `skill/guardin`; did you mean `skill/guarding`?",
        "11: 2 options are best; choose_one has exactly one with `class: best`",
        "13: this option says the same as the one on line 12; say it once",
        "14: unknown class `bad`; known are `best`, `wrong`, `unsafe`",
        "14: unknown key `y` in an option; known are `text`, `class`, `why`",
        "18: unknown key `steps` in a scenario; it belongs to `kind: put_in_order`",
        "19: one option is no choice; write two or more",
        "19: no option is best; choose_all has one or more with `class: best`",
        f"21: the scenario `one` is there twice, first at {at}:7; give each a name of its own",
        f"27: the step `b` is there twice, first at {at}:26; give each a name of its own",
        "28: no order keeps all pairs: a before b before a; turn one of these pairs around",
        "31: unknown step `x`; known are `a`, `b`",
        "32: this pair is there twice, and would count twice; write it once",
        '36: `value` is the text "10"; it must be a number',
        "37: `tolerance` is -1; it must be a number, 0 or more",
        "39: the unit `in` is not offered; name it among `units`",
        "39: the unit `cm` is offered twice; name it once",
        (
            f"advice: {at}:40: the item `five` has something unsafe and only one version; "
            "write another with `version_of: five`, about another person, place or number"
        ),
        "43: the scenes lead back: s1 to s2 to s1; lead each choice onward, or let it end",
        "43: it never ends well; give one choice with `class: good` no `to`",
        "48: an unsafe choice ends the scenario and leads nowhere; leave `to` out",
        "49: unknown scene `s9`; known are `s1`, `s2`, `s3`",
        "55: no choice leads to the scene `s3`; lead a choice `to` it, or take it out",
        "60: unknown kind `chose_one`; did you mean `choose_one`?",
        "63: a scenario has no `slug`; add `slug`",
        "63: a scenario has no `text`; add `text`",
        "63: a scenario has no `scenes`; add `scenes`",
    ]


@pytest.mark.parametrize(
    ("change", "finding"),
    [
        (
            ("edition: 1", "edition: 2"),
            (
                "3: this examines edition 2 of the module `safety`, which is in edition 1; "
                "go through the scenarios and write edition: 1"
            ),
        ),
        (
            ("read_again: first", "read_again: frist"),
            "8: the module `safety` has no section `frist`; did you mean `first`?",
        ),
        (("text: T", "skill: module/safety\n    text: T"), "7: `module/safety` is no skill; write skill/SLUG"),
        (("class: best", "class: wrong"), "9: no options are best; choose_one has exactly one with `class: best`"),
        (("edition: 1", "edition: 1\ndraw: 0"), "4: `draw` is 0; it must be a whole number, 1 or more"),
        (
            ("    text: How long?\n", "    text: How long?\n    version_of: An Item\n"),
            "27: `An Item` is no slug; use a to z, 0 to 9 and hy",
        ),
        (("slug: safety", "slug: other"), "advice: 1: the slug is `other`, the file is named differently"),
    ],
)
def test_one_slip_in_a_quiz(change: tuple[str, str], finding: str) -> None:
    """One change to a quiz without a finding."""
    findings = found({"modules/safety.md": SAFETY, "quizzes/safety.yaml": QUIZ.replace(*change, 1)})
    assert len(findings) == 1
    assert findings[0].replace("quizzes/safety.yaml:", "").startswith(finding)


def test_a_module_has_one_quiz_at_most() -> None:
    """Which of two would be served is not said anywhere."""
    second = QUIZ.replace("slug: safety", "slug: safety-again")
    assert found({"modules/safety.md": SAFETY, "quizzes/safety.yaml": QUIZ, "quizzes/safety-again.yaml": second}) == [
        (
            "quizzes/safety.yaml:2: a quiz of the module `safety` is there twice, "
            "first at quizzes/safety-again.yaml:2; write one quiz for each module"
        )
    ]


def test_a_quiz_that_gives_itself_away_by_length_is_advised_against() -> None:
    """In each of three scenarios the best option is the longest one."""
    best, wrong = "      - {text: the longest, class: best}\n", "      - {text: short, class: wrong}\n"
    text = HEAD + "".join(
        f"  - slug: s{at}\n    kind: choose_one\n    text: T\n    options:\n{options}"
        for at, options in enumerate((best + wrong, wrong + best, best + wrong))
    )
    assert found({"modules/safety.md": SAFETY, "quizzes/safety.yaml": text}) == [
        (
            "advice: quizzes/safety.yaml:4: in each choose_one the best option is the longest; "
            "shorten some best options, or lengthen other ones"
        )
    ]


def test_a_slip_inside_a_choice_is_said_once() -> None:
    """Although the choices are walked through twice."""
    text = QUIZ.partition("    kind:")[0] + "    kind: unfold\n    text: T\n    scenes:\n"
    text += "      - slug: s\n        text: T\n        choices:\n          - x\n          - {text: a, class: good}\n"
    assert found({"modules/safety.md": SAFETY, "quizzes/safety.yaml": text}) == [
        'quizzes/safety.yaml:12: the text "x" stands in `choices`; write the keys of a choice'
    ]


@pytest.mark.parametrize(
    ("ways", "cycle"),
    [
        ([], ()),
        ([("a", "b"), ("b", "c"), ("a", "c")], ()),
        ([("a", "a")], ("a", "a")),
        ([("a", "b"), ("b", "c"), ("c", "b")], ("b", "c", "b")),
        ([("a", "b"), ("c", "d"), ("d", "e"), ("e", "c")], ("c", "d", "e", "c")),
    ],
)
def test_a_way_back_is_found_and_told(ways: list[tuple[str, str]], cycle: tuple[str, ...]) -> None:
    """Pairs that no order keeps, scenes that lead in a circle."""
    assert cycle_in(ways) == cycle


def test_what_can_be_reached_is_found() -> None:
    """Along the ways, from the start on."""
    assert reachable("a", [("a", "b"), ("b", "c"), ("d", "a")]) == {"a", "b", "c"}
