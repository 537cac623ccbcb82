"""Modules: sections, sources, cautions, and each seeded slip at its line."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import Caution, Module, Section, Source
from mentor_training.program.reading import read_program
from tests.program.definitions import NAME, SAFETY, WORDS, found, program_of

MODULE = """\
---
slug: spotting
title: Spotting
edition: 3
minutes: 18
good_for_months: 12
must_retake: true
grace_days: 14
sources:
  - id: waters-2007
    text: 'Waters: "When is it safe?", 2007'
    mark: S
cautions:
  - slug: stop
    text: Any no, hands off.
---
Why it matters [source: waters-2007].

## Asking first {#asking}

Ask.

[caution: stop]

### A smaller heading

More.

## The close guard {: #guard }
"""

MODULE_WITH_SLIPS = """\
---
slug: safety-x
title: no
edition: 010
edition: 2
minutes: 1:30
must_retake: yes
grace_days: "14"
standards: [apens-99]
sources:
  - id: one
    text: A
    mark: S3
  - id: two
    text: B
    mark: S
  - id: two
    text: C
    mark: S
cautions:
  - slug: c1
    text: X
  - slug: c2
    text: Y
    txt: Z
extra: 1
---
Opening [source: one] and [source: tow] and [sorce: two].

# Big
## First {#first}
Text [caution: c1] here.

## Second

[caution: c9]

## Third {#first}

Under
-----

[caution: c1]

```
## no section
[source: nine]
```

![](picture.png)
## Fourth {#Fo_ur}
## {#five}
"""


def test_a_module_is_read_whole() -> None:
    """Text before the first heading is a section of its own, called the opening."""
    module = program_of({"modules/spotting.md": MODULE}).modules["spotting"]
    assert module == Module(
        slug="spotting",
        title="Spotting",
        edition=3,
        minutes=18,
        sections=(
            Section("opening", "Opening", "Why it matters [source: waters-2007]."),
            Section("asking", "Asking first", "Ask.\n\n[caution: stop]\n\n### A smaller heading\n\nMore."),
            Section("guard", "The close guard", ""),
        ),
        good_for_months=12,
        must_retake=True,
        grace_days=14,
        sources=(Source("waters-2007", 'Waters: "When is it safe?", 2007', "S"),),
        cautions=(Caution("stop", "Any no, hands off."),),
    )


def test_every_slip_in_a_module_is_said_at_its_line() -> None:
    """In the front matter and in the text, all at once."""
    at = "modules/safety.md"
    assert found({at: MODULE_WITH_SLIPS}) == [
        f"advice: {at}:2: the slug is `safety-x`, the file is named differently; name the file safety-x.md",
        f'{at}:3: `no` without quotes means true or false here; write true, false or "no"',
        (
            f"{at}:4: `010` does not read as the number it looks like; "
            'write the number with plain digits, or the text as "010"'
        ),
        f"{at}:5: `edition` is there twice, first on line 4; give each key once",
        (
            f"{at}:6: `1:30` does not read as the number it looks like; "
            'write the number with plain digits, or the text as "1:30"'
        ),
        f'{at}:7: `yes` without quotes means true or false here; write true, false or "yes"',
        f'{at}:8: `grace_days` is the text "14"; it must be a whole number from 0 to 36500',
        f"{at}:9: unknown standard `apens-99`; none is defined yet",
        f"{at}:13: unknown mark `S3`; did you mean `S`?",
        f"advice: {at}:14: the source `two` is never cited; cite it as `[source: two]`, or drop it",
        f"{at}:17: the source `two` is there twice, first at {at}:14; give each a name of its own",
        f"advice: {at}:17: the source `two` is never cited; cite it as `[source: two]`, or drop it",
        (
            f"advice: {at}:23: the caution `c2` is placed nowhere in the text; "
            "put `[caution: c2]` where it belongs; until then it stands at the end of the module"
        ),
        f"{at}:25: unknown key `txt` in a caution; did you mean `text`?",
        (
            f"{at}:26: unknown key `extra` in a module; known are `slug`, `title`, `edition`, `minutes`, "
            "`good_for_months`, `must_retake`, `grace_days`, `standards` and others"
        ),
        f"{at}:28: `[sorce: ...]` is no mark; write `[source: two]`",
        f"{at}:28: unknown source `tow`; did you mean `two`?",
        f"advice: {at}:28: the module has 15 words; a module that is read in one sitting has 800 to 2,000 words",
        (
            f"advice: {at}:30: a heading with one # is the page's own; it starts the section `big` here; "
            "write `## Big {#big}`"
        ),
        (
            f"{at}:32: the caution `c1` stands inside a paragraph; "
            "give it a line of its own, with a blank line above and below"
        ),
        (
            f"advice: {at}:34: this section has no slug of its own and goes by `second`, "
            "which changes with the heading; write `## Second {#second}`"
        ),
        f"{at}:36: unknown caution `c9`; known are `c1`, `c2`",
        f"{at}:38: the section `first` is there twice, first on line 31; give each its own slug",
        (
            f"advice: {at}:41: an underlined heading starts no section; "
            "write `## Heading {#slug}`, or leave a blank line above a rule"
        ),
        f"{at}:43: the caution `c1` is placed twice, first on line 32; place it once",
        (
            f"advice: {at}:50: a picture has no alternative in words; "
            "write what it shows: `![what it shows](pictures/SLUG.svg)`"
        ),
        f"{at}:51: `Fo_ur` is no slug; use a to z, 0 to 9 and hyphens",
        f"{at}:52: this section has no heading; write `## Heading {{#five}}`",
    ]


def test_two_files_with_one_slug_are_named_both() -> None:
    """Which of them counts would be chance."""
    other = SAFETY.replace("title: Safety", "title: Other")
    assert found({"modules/safety.md": SAFETY, "modules/other.md": other}) == [
        "advice: modules/other.md:2: the slug is `safety`, the file is named differently; name the file safety.md",
        (
            "modules/safety.md:2: the module `safety` is there twice, first at modules/other.md:2; "
            "give each a name of its own"
        ),
    ]


@pytest.mark.parametrize(
    ("change", "finding"),
    [
        (
            ("minutes: 5\n", ""),
            "advice: modules/safety.md:2: there are no `minutes`, so that reading it credits no training",
        ),
        (
            ("edition: 1\n", ""),
            "advice: modules/safety.md:2: the module has no `edition`, and is in its first; add `edition`",
        ),
        (("edition: 1", 'edition: "1"'), 'modules/safety.md:4: `edition` is the text "1"; it must be a whole number'),
        (("edition: 1", "edition: 0"), "modules/safety.md:4: `edition` is 0; it must be a whole number, 1 or more"),
        (("title: Safety", "title:"), "modules/safety.md:3: `title` is empty; it must be a text in quotes"),
        ((WORDS, "few words"), "advice: modules/safety.md:7: the module has 3 words; a module that is read"),
        ((WORDS, WORDS * 3), "advice: modules/safety.md:7: the module has 2,701 words; a module that is read"),
        (("## First {#first}", "## First {#opening}\n"), ""),
        (
            ("## First {#first}", "Hello.\n## First {#opening}"),
            "modules/safety.md:8: the section `opening` is there twice",
        ),
    ],
)
def test_one_slip_in_a_module(change: tuple[str, str], finding: str) -> None:
    """One change to a module without a finding."""
    findings = found({"modules/safety.md": SAFETY.replace(*change)})
    assert len(findings) == (1 if finding else 0)
    assert "".join(findings).startswith(finding)


@pytest.mark.parametrize("text", ["Before.\n[caution: stop]\n", "\n[caution: stop]\nAfter.\n", "\n- [caution: stop]\n"])
def test_a_caution_stands_in_a_paragraph_of_its_own(text: str) -> None:
    """Or there would be no place for its box."""
    caution = "minutes: 5\ncautions:\n  - slug: stop\n    text: Stop.\n"
    findings = found({"modules/safety.md": SAFETY.replace("minutes: 5\n", caution).replace(WORDS, WORDS + "\n" + text)})
    assert len(findings) == 1
    assert "the caution `stop` stands inside a paragraph" in findings[0]


def test_a_module_without_text_is_a_fault() -> None:
    """There would be nothing to have read."""
    text = SAFETY.partition("## First")[0]
    assert "modules/safety.md:7: the module has no text; write it below the front matter" in found(
        {"modules/safety.md": text}
    )


def test_a_stored_edition_that_speaks_of_pictures_is_still_read() -> None:
    """It was published when no picture was shown; today's files have to name one that is there."""
    text = SAFETY + "\n![A helper](pictures/gone.svg)\n"
    assert read_program({**NAME, "modules/safety.md": text}, advice=False)[0] is not None
    assert read_program({**NAME, "modules/safety.md": text})[0] is None
