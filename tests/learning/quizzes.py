"""Quizzes for these tests, written as their authors write them."""

from __future__ import annotations

from functools import cache
from textwrap import dedent, indent

from mentor_training.program.quiz_values import Quiz, Scenario
from mentor_training.program.reading import read_program
from tests.small_program import small_files

HEAD = "slug: safety\nmodule: safety\nedition: 1\n"


@cache
def quiz(scenarios: str, settings: str = "") -> Quiz:
    """Read a quiz from the YAML of its scenarios, with more lines such as `draw: 2` at its head."""
    text = HEAD + settings + "scenarios:\n" + indent(dedent(scenarios).strip("\n"), "  ") + "\n"
    program, findings = read_program(small_files() | {"quizzes/safety.yaml": text})
    assert program, findings
    return program.quizzes["safety"]


def scenario(text: str) -> Scenario:
    """Read one scenario from its YAML."""
    return quiz(text).scenarios[0]


ONE = scenario("""
    - slug: one
      kind: choose_one
      text: Somebody sits down hard.
      options:
        - {text: Give water., class: unsafe, why: Minutes count.}
        - {text: Call., class: best, why: That starts the plan.}
        - {text: Ask a relative., class: wrong, why: That can follow.}
    """)

ALL = scenario("""
    - slug: all
      kind: choose_all
      text: When do you wash your hands?
      options:
        - {text: Before., class: best}
        - {text: After., class: best}
        - {text: Never., class: wrong}
        - {text: With bleach., class: unsafe}
    """)

ORDER = scenario("""
    - slug: order
      kind: put_in_order
      text: Put it in order.
      steps:
        - {slug: ask, text: Ask.}
        - {slug: touch, text: Touch.}
        - {slug: thank, text: Thank.}
        - {slug: note, text: Note.}
      pairs:
        - {first: ask, then: touch, must: true}
        - {first: touch, then: thank}
        - {first: ask, then: note}
        - {first: thank, then: note}
    """)

MEASURE = scenario("""
    - slug: measure
      kind: read_measure
      text: How high?
      value: 10.5
      tolerance: 0.1
      unit: in
      units: [in, cm]
    """)

UNFOLD = scenario("""
    - slug: unfold
      kind: unfold
      text: A door opens.
      scenes:
        - slug: open
          text: He looks at the door.
          choices:
            - {text: Offer a job., class: good, to: job}
            - {text: Grab him., class: unsafe}
            - {text: Talk on., class: recoverable, to: job}
        - slug: job
          text: He takes the job.
          choices:
            - {text: Tell the door watch., class: good}
            - {text: Look away., class: recoverable}
    """)
