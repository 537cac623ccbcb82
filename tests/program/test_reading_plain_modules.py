"""Modules whose authors wrote no slugs: what the reading makes of them, and what it advises."""

from __future__ import annotations

import pytest

from mentor_training.program.catalog import Caution, Section, Source
from mentor_training.program.reading.slugs import made_slug
from tests.program.definitions import SAFETY, WORDS, found, program_of

AT = "modules/safety.md"


def module(body: str, head: str = "") -> dict[str, str]:
    """Return a module with this text, and with this at the end of its front matter, from line 6 on."""
    front = SAFETY.partition("---\n## ")[0]
    return {AT: f"{front}{head}---\n{body}\n<!-- {WORDS} -->\n"}


def sections(body: str) -> list[tuple[str, str]]:
    """Return slug and title of the sections of a text."""
    return [(one.slug, one.title) for one in program_of(module(body)).modules["safety"].sections]


def advice(files: dict[str, str]) -> list[str]:
    """Return what is advised about the module."""
    return [one.removeprefix(f"advice: {AT}:") for one in found(files)]


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("Before you touch anybody", "before-you-touch-anybody"),
        ("  Stop! Any no: hands off.  ", "stop-any-no-hands-off"),
        ("A person's café", "a-persons-cafe"),
        ("A person\u2019s 2 cafés", "a-persons-2-cafes"),
        ("???", "thing"),
        ("", "thing"),
        ("x" * 61, "x" * 60),
        ("x" * 59 + " y", "x" * 59),
        ("Taken", "taken-3"),
    ],
)
def test_a_slug_is_made_from_the_letters_and_digits_of_a_text(text: str, slug: str) -> None:
    """In small letters, joined by hyphens, at most 60 of them, and numbered where it is taken."""
    assert made_slug(text, "thing", {"taken", "taken-2"}) == slug


def test_a_heading_without_a_slug_gets_one() -> None:
    """One that another section has, before it or behind it, is numbered; what an author wrote stays as it is."""
    body = "Hello.\n## Asking\n## Asking\n## Opening\n## ...\n## B {#asking-2}\n## Asking ##"
    assert sections(body) == [
        ("opening", "Opening"),
        ("asking", "Asking"),
        ("asking-3", "Asking"),
        ("opening-2", "Opening"),
        ("section", "..."),
        ("asking-2", "B"),
        ("asking-4", "Asking"),
    ]
    assert advice(module(body))[1] == (
        "9: this section has no slug of its own and goes by `asking-3`, which changes with the heading; "
        "write `## Asking {#asking-3}`"
    )
    assert sections("## Opening") == [("opening", "Opening")]


def test_a_heading_with_one_mark_starts_a_section() -> None:
    """With a slug and without; both are advised against, because the page has its title already."""
    body = "# Title\nHello.\n# Asking first {#asking}\nAsk.\n### Deeper\nMore."
    assert program_of(module(body)).modules["safety"].sections[:1] == (Section("title", "Title", "Hello."),)
    assert sections(body) == [("title", "Title"), ("asking", "Asking first")]
    what = "a heading with one # is the page's own; it starts the section"
    assert advice(module(body)) == [
        f"7: {what} `title` here; write `## Title {{#title}}`",
        f"9: {what} `asking` here; write `## Asking first {{#asking}}`",
    ]


def test_an_underlined_heading_stays_text() -> None:
    """It may as well be a rule under a paragraph."""
    assert sections("Hello\n-----\nYou.") == [("opening", "Opening")]
    assert advice(module("Hello\n-----\nYou.")) == [
        "8: an underlined heading starts no section; write `## Heading {#slug}`, or leave a blank line above a rule"
    ]


@pytest.mark.parametrize(
    ("heading", "finding"),
    [
        ("## {#five}", "this section has no heading; write `## Heading {#five}`"),
        ("##", "this section has no heading; write `## Heading {#section}`"),
        ("#", "this section has no heading; write `## Heading {#section}`"),
        ("## Five {#}", "the slug of this section cannot be read; write `## Five {#five}`"),
        ("## Five {#fi ve}", "the slug of this section cannot be read; write `## Five {#five}`"),
        ("## Five {#five .red}", "the slug of this section cannot be read; write `## Five {#five}`"),
        ("## Five {: .red}", "the slug of this section cannot be read; write `## Five {#five}`"),
        ("# Five {#five", "the slug of this section cannot be read; write `## Five {#five}`"),
        ("## Five {#Fi_ve}", "`Fi_ve` is no slug; use a to z, 0 to 9 and hyphens"),
    ],
)
def test_a_heading_that_was_meant_otherwise_stays_a_fault(heading: str, finding: str) -> None:
    """A slug that cannot be read is not replaced by another one."""
    assert found(module(f"Hello.\n{heading}\nText.")) == [f"{AT}:8: {finding}"]


def test_sources_may_be_texts() -> None:
    """Such a source has an id made from its text, and has to be checked, since nobody says how it is known."""
    long = "Waters, When is it safe to manually lift a patient, American Journal of Nursing 107(8), 2007"
    made = "waters-when-is-it-safe-to-manually-lift-a-patient-american-j"
    head = f"sources:\n  - {long}\n  - id: own\n    text: Ours\n    mark: P\n"
    files = module(f"One [source: {made}], two [source: own].", head)
    sources = (Source(made, long, "M"), Source("own", "Ours", "P"))
    assert len(made) == 60
    assert program_of(files).modules["safety"].sources == sources
    assert advice(files) == [
        (
            f"7: this source is a text alone: it goes by `{made}` and counts as M, from memory; "
            "check it, and write its `id`, `text` and `mark`"
        )
    ]
    assert len(advice(module("Nothing is cited.", head))) == 3


def test_cautions_may_be_texts() -> None:
    """Such a caution has a slug made from its text, by which it can be placed."""
    head = "cautions:\n  - No yes, no touch.\n"
    files = module("Ask.\n\n[caution: no-yes-no-touch]\n", head)
    assert program_of(files).modules["safety"].cautions == (Caution("no-yes-no-touch", "No yes, no touch."),)
    assert advice(files) == [
        (
            "7: this caution is a text alone and goes by `no-yes-no-touch`, which changes with the text; "
            "write its `slug` and `text`"
        )
    ]


def test_what_is_neither_text_nor_table_and_what_is_there_twice_stays_a_fault() -> None:
    """Nothing is guessed."""
    head = (
        "sources:\n  - Same\n  - same!\n  - 2007\n  - ''\n  - id: x\n    text: X\n"
        "cautions:\n  - Stop\n  - slug: stop\n    text: Stop.\n  - [a]\n  - no\n"
    )
    faults = [one.removeprefix(f"{AT}:") for one in found(module("Ask.", head)) if not one.startswith("advice: ")]
    assert faults == [
        f"8: the source `same` is there twice, first at {AT}:7; give each a name of its own",
        "9: 2007 stands in `sources`; write a text in quotes, or the keys of a source",
        '10: the text "" stands in `sources`; write a text in quotes, or the keys of a source',
        "11: a source has no `mark`; add `mark`",
        f"15: the caution `stop` is there twice, first at {AT}:14; give each a name of its own",
        "17: a list stands in `cautions`; write a text in quotes, or the keys of a caution",
        '18: `no` without quotes means true or false here; write true, false or "no"',
    ]


TOML_MODULE = """\
+++
slug = "safety"
title = "Safety"
edition = 2
minutes = 5
cautions = ["Stop."]

[[sources]]
id = "own"
text = "Ours"
mark = "P"
+++
One [source: own].

[caution: stop]
"""


def test_a_front_matter_may_be_toml() -> None:
    """Between lines of three plus signs, with the same keys; each line is the line of the file."""
    files = {AT: f"{TOML_MODULE}\n<!-- {WORDS} -->\n"}
    read = program_of(files).modules["safety"]
    assert (read.edition, read.minutes, read.sources) == (2, 5, (Source("own", "Ours", "P"),))
    assert [one.slug for one in read.sections] == ["opening"]
    assert [one.partition(": it goes")[0] for one in advice(files)] == [
        "6: this caution is a text alone and goes by `stop`, which changes with the text; write its `slug` and `text`"
    ]


@pytest.mark.parametrize(
    ("change", "finding"),
    [
        (('slug = "safety"\n', ""), "2: a module has no `slug`; add `slug`"),
        (("edition = 2", "edition = 2.0"), "4: `edition` is 2.0; it must be a whole number, 1 or more"),
        (('mark = "P"', 'mork = "P"'), "11: unknown key `mork` in a source; did you mean `mark`?"),
        (("[[sources]]", "[sources]"), "8: `sources` is a table; it must be a list of tables, each headed [[sources]]"),
        (("[source: own]", "[source: won]"), "13: unknown source `won`; did you mean `own`?"),
        (('"Ours"', "Ours"), "10: this is not TOML (Invalid value); write key = value"),
        (('mark = "P"', "mark = ["), "11: this is not TOML (Invalid value); close every quotation mark, bracket"),
        (('mark = "P"', "x = " + "[" * 5000), "2: lists or tables are nested too deep to read; nest them less"),
    ],
)
def test_a_slip_in_a_toml_front_matter_is_said_at_its_line(change: tuple[str, str], finding: str) -> None:
    """The same findings as in YAML."""
    files = {AT: f"{TOML_MODULE}\n<!-- {WORDS} -->\n".replace(*change)}
    faults = [one.removeprefix(f"{AT}:") for one in found(files) if not one.startswith("advice: ")]
    assert any(one.startswith(finding) for one in faults), faults
