"""Advice on a module's text: length, reading level, pictures, links, figures, words."""

from __future__ import annotations

import pytest

from mentor_training.program.lint.modules import module_remarks, word_count
from mentor_training.program.lint.prose import blocks_of
from mentor_training.program.lint.words import word_remarks
from tests.program.definitions import SAFETY, found

PLAIN = "We stop and look. " * 250


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", 0),
        ("One two three.", 3),
        ("## A heading {#a-slug}\n\n- one\n- two", 4),
        ("Wash for 20 s [source: cdc-hands].\n\n[caution: call]", 4),
        ("**Bold** - and a [link](https://example.org/a b)", 4),
        ("| a | b |\n| --- | --- |\n| 1 | 2 |", 4),
    ],
)
def test_words_are_counted_without_the_marks(text: str, words: int) -> None:
    """What a reader reads, and not what the page is made from."""
    assert word_count(text) == words


@pytest.mark.parametrize(("count", "remarks"), [(799, 1), (800, 0), (2000, 0), (2001, 1)])
def test_the_length_of_a_module(count: int, remarks: int) -> None:
    """800 to 2,000 words; a rule of this program."""
    assert len(list(module_remarks("word " * count, 8))) == remarks


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("![](a.png)", True),
        ("![ ][ref]", True),
        ('<img src="a.png">', True),
        ('<img src="a.png" alt="">', False),
        ("![A gait belt](a.png)", False),
        ('<img alt="A gait belt" src="a.png">', False),
    ],
)
def test_a_picture_needs_words(line: str, told: bool) -> None:
    """Success criterion 1.1.1 of WCAG 2.2 asks for a text alternative."""
    remarks = module_remarks("word " * 900 + "\n\n" + line, 8)
    assert [remark.line for remark in remarks] == ([10] if told else [])


def told(text: str, sections: tuple[str, ...] = ()) -> list[str]:
    """Return what is advised on a text, which stands below enough plain words and begins on line 3."""
    return [f"{one.line}: {one.what}" for one in module_remarks(f"{PLAIN}\n\n{text}", 1, sections)]


@pytest.mark.parametrize(
    "text",
    [
        "Wait 5 seconds.",
        "A belt leaves room for about 2 in of cloth.",
        "Seven of ten, or 70 percent, kept it up.",
        "Water between 83 and 92 \u00b0F is warm.",
        "- Hold for 3 s.",
        "| what | value |\n| --- | --- |\n| hold | 20 s |",
    ],
)
def test_a_figure_names_its_source(text: str) -> None:
    """In the same paragraph, item or row."""
    (remark,) = told(text)
    assert "names no source" in remark
    line = remark.split(":")[0]
    assert line == ("5" if text.startswith("|") else "3")
    lines = text.split("\n")
    lines[-1] = lines[-1].rstrip("|") + (" [source: cdc] |" if text.startswith("|") else " [source: cdc]")
    assert told("\n".join(lines)) == []


@pytest.mark.parametrize(
    "text",
    [
        "The steps of our own list [source: program]:\n\n- Hold for 3 s.",
        "## A worked scene {#scene}\n\nAfter 40 seconds she looked up.",
        'Write "14 s, asked to stop" on the sheet.',
        "The door opens at 9:15, in room 12, on 4 stations.",
        "In 2020 two people stood there.",
    ],
)
def test_what_is_led_in_told_quoted_or_no_figure_names_none(text: str) -> None:
    """A list takes the source of the paragraph that leads it in, and a story states no facts."""
    assert told(text) == []


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("The reading was 12.", "12"),
        ("Wait for 5 and go on.", "5"),
        ("Between 7 and 9 is usual.", "7 and 9"),
        ("He scored 1,164, which is much.", "1,164"),
    ],
)
def test_a_number_says_what_it_counts(text: str, number: str) -> None:
    """A unit, or a noun."""
    assert told(text) == [f"3: the number `{number}` has no unit"]


@pytest.mark.parametrize(
    "text",
    [
        "Take 12 cones.",
        "Pauses of 2, 10 and 45 people.",
        "Edition 2 of step 3, on page 7.",
        "It was said in 2014.",
        "A slope of 1:12 under 29 CFR 1910.1030, at T6.",
        "On a scale from 6 to 20, moderate is about 13.",
    ],
)
def test_numbers_that_say_it_or_are_names_stand(text: str) -> None:
    """The unit of a row of numbers stands behind the last; a scale has none."""
    assert told(text) == []


def test_a_link_within_the_module_leads_somewhere() -> None:
    """To one of its sections."""
    assert told("See [there](#exits) and [here](#exit).", ("exits",)) == ["3: the link to `#exit` leads nowhere"]


def test_a_module_that_asks_for_more_than_ten_years_of_school() -> None:
    """Said once, with its grade, the formula, and the section that asks for most."""
    hard = "Multidisciplinary interventions necessitate comprehensive institutional considerations everywhere. " * 60
    (remark,) = module_remarks(f"{'We stop and look. ' * 100}\n\n## Rules {{#rules}}\n\n{hard}", 4)
    assert remark.line == 4
    assert remark.what == "the module reads at grade 26.9 (Coleman and Liau 1975)"
    assert "most of all in `Rules`" in remark.right


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("He is wheelchair-bound.", "wheelchair-bound"),
        ("She suffers from a lot.", "suffers from"),
        ("A man confined to a wheelchair.", "confined to a wheelchair"),
        ("Children with special needs come too.", "special needs"),
        ("| say | avoid |\n| --- | --- |\n| a handicapped man | x |", "handicapped"),
    ],
)
def test_a_word_to_avoid_is_advised_on_with_what_is_said_instead(text: str, word: str) -> None:
    """At its line."""
    (remark,) = word_remarks(f"One.\n{text}")
    assert remark.what == f"`{word}` is a word to avoid"
    assert remark.right.startswith("say: ")
    assert remark.line == (4 if text.startswith("|") else 2)


@pytest.mark.parametrize(
    "text",
    [
        'Never write "wheelchair-bound".',
        "Many say *hard of hearing* rather than *hearing-impaired*.",
        "| say | avoid |\n| --- | --- |\n| distressed | throwing a tantrum |",
        "The bench fits three people, and her needs are special to her.",
    ],
)
def test_a_word_that_is_spoken_of_is_not_used(text: str) -> None:
    """In quotation marks, in emphasis, or in a column of words to avoid."""
    assert list(word_remarks(text)) == []


def test_a_text_is_cut_into_what_readers_see() -> None:
    """Headings, paragraphs, items and rows, each with its line; code is none of them."""
    text = "One\ntwo.\n- a\n- b\n  c\n\n```\n12\n```\n## H {#h}\n| x |\n| --- |\n| 1 |\nEnd."
    assert [(one.line, one.kind, one.text, one.section) for one in blocks_of(text, 10)] == [
        (10, "paragraph", "One two.", ""),
        (12, "item", "a", ""),
        (13, "item", "b c", ""),
        (19, "heading", "H", "H"),
        (20, "head", "| x |", "H"),
        (22, "row", "| 1 |", "H"),
        (23, "paragraph", "End.", "H"),
    ]


def test_advice_stands_at_its_file_and_line() -> None:
    """As `check` prints it, in modules, skills and the files of the program."""
    files = {
        "modules/safety.md": SAFETY + "\nWait 5 seconds. He suffers from it.\n",
        "program/needs.toml": '[[need]]\nslug = "a"\ntitle = "Special needs"\nindependent = "module/safety"\n',
    }
    assert [one for one in found(files) if "caution" not in one] == [
        (
            "advice: modules/safety.md:10: the figure `5 seconds` names no source; "
            "cite it as `[source: ID]` in the same paragraph, item or row"
        ),
        "advice: modules/safety.md:10: `suffers from` is a word to avoid; say: has",
        "advice: program/needs.toml:3: `Special needs` is a word to avoid; say: support needs",
    ]


@pytest.mark.parametrize(
    "odd", ["1,", "1 ", "[", "![a](pictures/x", '"', "'", "`", "*", "|", "12 to ", "[source: ", "<img"]
)
def test_no_text_however_odd_keeps_its_author_waiting(odd: str) -> None:
    """A hundred thousand signs of it are looked at and advised on like anything else; this would not end if it grew."""
    list(module_remarks(odd * (100_000 // len(odd)), 1))
    list(word_remarks(odd * (100_000 // len(odd))))
