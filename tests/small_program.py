"""A small program in its authors' own file forms, for tests that need one whole."""

from __future__ import annotations

PROGRAM = """\
name = "Small program"
entry = { all = ["paper/background-check", "module/safety"] }
never = ["Giving any medicine.", "Lifting a person alone."]
"""

STATIONS = """\
[[station]]
slug = "balance-lane"
title = "Balance lane"
activities = ["standing", "stepping"]
capacity = 4
leads = 0
practices = ["skill/guarding"]
caution = "Keep the lane dry."
supervised = { all = ["module/safety", "paper/background-check"] }
independent = { all = ["skill/guarding"] }
lead = { all = ["skill/leading", { hours = "direct", at_least = 10 }] }

[[station]]
slug = "target-games"
title = "Target games"
activities = ["throwing"]
capacity = 6
leads = 0
independent = "module/safety"
lead = { sessions = 3 }

[[station]]
slug = "arrival-desk"
title = "Arrival desk"
kind = "duty"
activities = ["arrival"]
independent = { all = ["module/safety"] }
"""

NEEDS = """\
[[need]]
slug = "fall-risk"
title = "Fall risk"
activities = ["standing", "stepping"]
caution = "Stay within arm's reach."
independent = "skill/guarding"

[[need]]
slug = "two-mentors"
title = "Two mentors"
mentors = 2
supervised = "module/safety"
independent = "skill/leading"
"""

PAPERS = """\
[[paper]]
slug = "background-check"
title = "Background check"
good_for_months = 24

[[paper]]
slug = "photo-choice"
title = "Photo choice"
waivable = true
"""

COURSES = """\
[[course]]
code = "KIN-372"
title = "Practicum"
credits = 3
required_minutes = { direct = 600, training = 60 }
day_cap_minutes = 240
sections = ["KIN-372-A", "KIN-372-B"]
"""

CERTIFICATES = """\
[[certificate]]
slug = "lane-mentor"
title = "Balance lane mentor"
requires = { all = ["module/safety", "skill/guarding"] }
text = "Was seen guarding a balance task, as measured by sign-off. It is no license."
"""

STANDARDS = """\
[[framework]]
slug = "apens"
title = "Adapted Physical Education National Standards"
owner = "NCPEID"

[[standard]]
slug = "apens-10"
framework = "apens"
number = "10"
title = "Teaching"
mark = "S"
"""

GUARDING = """\
---
slug: guarding
title: Guarding a balance task
risk: elevated
criteria:
  - text: Lane clear and dry.
    critical: true
  - text: Slightly behind and to the side.
    critical: true
  - text: Steps with the person.
  - text: Talks calmly.
sign_off:
  observations: 2
  days: 2
  observers: 2
good_for_months: 12
standards: [apens-10]
---
Stand close and do not hold.
"""

LEADING = """\
---
slug: leading
title: Leading a station
risk: ordinary
criteria:
  - text: Greets everybody.
  - text: Counts everybody.
    critical: true
sign_off:
  observations: 1
  days: 1
  observers: 1
---
Lead calmly.
"""

SAFETY = """\
---
slug: safety
title: Safety
edition: 1
minutes: 20
good_for_months: 12
grace_days: 14
standards: [apens-10]
sources:
  - id: cdc-hands
    text: CDC, Handwashing
    mark: S
cautions:
  - slug: call
    text: If you ask yourself whether to call, call.
---
Why it matters.

## Hands {#hands}

Wash for 20 seconds [source: cdc-hands].

[caution: call]

## Exits {#exits}

Walk every exit once.
"""

QUIZ = """\
slug: safety
module: safety
edition: 1
draw: 5
scenarios:
  - slug: grey-and-sweating
    kind: choose_one
    read_again: exits
    text: Somebody sits down hard, gray and sweating.
    options:
      - text: Give water and look again later.
        class: unsafe
        why: Minutes count.
      - text: Stay, call, send for the AED.
        class: best
        why: That starts the plan.
      - text: Ask a relative first.
        class: wrong
        why: That can follow.
    why: Chest signs start the plan.
  - slug: clean-hands
    kind: choose_all
    read_again: hands
    text: When do you wash your hands?
    options:
      - text: Before the session.
        class: best
      - text: After touching equipment.
        class: best
      - text: Never.
        class: wrong
    why: Before and after.
  - slug: in-order
    kind: put_in_order
    read_again: exits
    text: Put the emergency in order.
    steps:
      - slug: shout
        text: Shout the word.
      - slug: send
        text: Send for the AED.
      - slug: write
        text: Write the facts.
    pairs:
      - first: shout
        then: send
        must: true
      - first: send
        then: write
    why: The word first.
  - slug: how-long
    kind: read_measure
    read_again: hands
    text: How long do you wash?
    value: 20
    tolerance: 2
    unit: s
    units: [s, min]
    why: Twenty seconds.
  - slug: door
    kind: unfold
    read_again: exits
    text: A door opens.
    scenes:
      - slug: open
        text: He looks at the door.
        choices:
          - text: Offer a job.
            class: good
            to: job
          - text: Grab him.
            class: unsafe
          - text: Talk on.
            class: recoverable
            to: job
      - slug: job
        text: He takes the job.
        choices:
          - text: Tell the door watch.
            class: good
          - text: Look away.
            class: recoverable
    why: Offer, do not grab.
"""


def small_files(**changed: str) -> dict[str, str]:
    """Return the files of the small program; a keyword such as `program_toml` replaces or adds one by its last name."""
    files = {
        "program/program.toml": PROGRAM,
        "program/stations.toml": STATIONS,
        "program/needs.toml": NEEDS,
        "program/papers.toml": PAPERS,
        "program/courses.toml": COURSES,
        "program/certificates.toml": CERTIFICATES,
        "program/standards.toml": STANDARDS,
        "program/skills/guarding.md": GUARDING,
        "program/skills/leading.md": LEADING,
        "modules/safety.md": SAFETY,
        "quizzes/safety.yaml": QUIZ,
    }
    files.update({name.replace("__", "/").replace("_toml", ".toml"): text for name, text in changed.items()})
    return files
