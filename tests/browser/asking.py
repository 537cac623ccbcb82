"""A program that asks each of the five kinds of scenario, each in a quiz of its own, and all five in one."""

from __future__ import annotations

from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked
from mentor_training.program.reading import read_program
from tests.small_program import SAFETY, small_files

# Nothing in them is unsafe, so that one version of each will do.
SCENARIOS = {
    "choose_one": """\
  - slug: quiet-arrival
    kind: choose_one
    read_again: hands
    text: Nerys comes in and says nothing. What do you do?
    options:
      - {text: Wait for her parent., class: wrong, why: She is the one who came.}
      - {text: Say hello and wait., class: best, why: An answer may take its time.}
      - {text: Ask louder., class: wrong, why: She heard you.}
    why: Silence is an answer that takes its time.
""",
    "choose_all": """\
  - slug: clean-hands
    kind: choose_all
    read_again: hands
    text: When do you wash your hands?
    options:
      - {text: Before the session., class: best}
      - {text: After touching equipment., class: best}
      - {text: Only on Mondays., class: wrong}
    why: Before and after.
""",
    "put_in_order": """\
  - slug: opening-the-lane
    kind: put_in_order
    read_again: exits
    text: Put the opening of the lane in order.
    steps:
      - {slug: look, text: Look for what lies about.}
      - {slug: mop, text: Mop up what is wet.}
      - {slug: open, text: Open the lane.}
    pairs:
      - {first: look, then: mop}
      - {first: mop, then: open}
    why: Look, then dry, then open.
""",
    "read_measure": """\
  - slug: how-long
    kind: read_measure
    read_again: hands
    text: The timer shows twenty. How long did you wash?
    value: 20
    tolerance: 2
    unit: s
    units: [min, s]
    why: Twenty seconds.
""",
    "unfold": """\
  - slug: at-the-door
    kind: unfold
    read_again: exits
    text: A door opens.
    scenes:
      - slug: opens
        text: He looks at the door.
        choices:
          - {text: Talk on., class: recoverable, to: takes}
          - {text: Offer a job., class: good, to: takes}
      - slug: takes
        text: He takes the job.
        choices:
          - {text: Tell the door watch., class: good}
          - {text: Look away., class: recoverable}
    why: Offer, do not grab.
""",
}
SLUGS = dict(
    zip(SCENARIOS, ("quiet-arrival", "clean-hands", "opening-the-lane", "how-long", "at-the-door"), strict=True)
)
RIGHT: dict[str, Answer] = {
    "choose_one": Picked((1,)),
    "choose_all": Picked((0, 1)),
    "put_in_order": Ordered(("look", "mop", "open")),
    "read_measure": Measured("20", "s"),
    "unfold": Walked((1, 0)),
}
TABLE = "| Where | How long |\n| --- | --- |\n| At the sink beside the equipment room | Twenty seconds |\n"


def asking_files() -> dict[str, str]:
    """Return the small program's files with these quizzes; whoever changes them is told what is wrong."""
    module = SAFETY.replace("[caution: call]", f"{TABLE}\n[caution: call]")
    files = small_files() | {"modules/safety.md": module, "quizzes/safety.yaml": quiz("safety", *SCENARIOS)}
    for kind in SCENARIOS:
        slug = kind.replace("_", "-")
        files[f"modules/{slug}.md"] = module.replace("slug: safety", f"slug: {slug}")
        files[f"quizzes/{slug}.yaml"] = quiz(slug, kind)
    program, findings = read_program(files, advice=False)
    assert program, findings
    return files


def quiz(slug: str, *kinds: str) -> str:
    """Write a quiz of one scenario of each of some kinds."""
    head = f"slug: {slug}\nmodule: {slug}\nedition: 1\ndraw: {len(kinds)}\nscenarios:\n"
    return head + "".join(SCENARIOS[kind] for kind in kinds)
