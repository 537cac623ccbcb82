"""A module's length and reading level, its pictures and its links; pure."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from mentor_training.program.lint.figures import figure_remarks
from mentor_training.program.lint.prose import Block, blocks_of
from mentor_training.program.lint.reading_grade import reading_grade
from mentor_training.program.lint.remarks import Remark

FEWEST_WORDS = 800
MOST_WORDS = 2000
HIGHEST_GRADE = 10.0

# Each part is bounded, so that no text, however odd, keeps its author waiting.
_NOT_TEXT = re.compile(r"\[(?:source|caution):[^\]]{0,500}\]|\{:?\s{0,9}#[^}]{0,500}\}|\]\([^)]{0,500}\)")
_IMAGE_WITHOUT_WORDS = re.compile(r"!\[\s{0,9}\](?:\(|\[)|<img(?![^>]{0,500}\balt=)[^>]{0,500}>", re.IGNORECASE)
_LINK_INSIDE = re.compile(r"(?<!!)\[[^\]]{1,500}\]\(#([^)\s]{0,99})\)")


def word_count(text: str) -> int:
    """Count the words of a Markdown text: runs between blanks that hold a letter or a digit, without its marks."""
    return sum(any(one.isalnum() for one in word) for word in _NOT_TEXT.sub(" ", text).split())


def module_remarks(body: str, first_line: int, sections: Collection[str] = ()) -> Iterator[Remark]:
    """Advise on a module's text: `sections` are the slugs to which its own links may lead.

    Length and reading level are rules of this program; an alternative for each picture is success criterion 1.1.1 of
    WCAG 2.2, which lets a mere ornament have an empty one, if it is written out.
    """
    blocks = list(blocks_of(body, first_line))
    yield from _length(body, first_line)
    yield from _grade(blocks, first_line)
    yield from figure_remarks(blocks)
    for at, line in enumerate(body.split("\n"), first_line):
        if _IMAGE_WITHOUT_WORDS.search(line):
            right = "write what it shows: `![what it shows](pictures/SLUG.svg)`"
            yield Remark(at, "a picture has no alternative in words", right)
        for slug in _LINK_INSIDE.findall(line):
            if slug not in sections:
                yield Remark(at, f"the link to `#{slug}` leads nowhere", f"sections here are {', '.join(sections)}")


def _length(body: str, first_line: int) -> Iterator[Remark]:
    words = word_count(body)
    if not FEWEST_WORDS <= words <= MOST_WORDS:
        right = f"a module that is read in one sitting has {FEWEST_WORDS} to {MOST_WORDS:,} words"
        yield Remark(first_line, f"the module has {words:,} words", right)


def _grade(blocks: Sequence[Block], first_line: int) -> Iterator[Remark]:
    """Advise on a text that asks for more than ten years of school, and say which section asks for most."""
    grade = reading_grade(_sentences(blocks))
    if grade is None or grade <= HIGHEST_GRADE:
        return
    by_section = {
        one.section: reading_grade(_sentences([b for b in blocks if b.section == one.section])) for one in blocks
    }
    hardest = max(by_section, key=lambda section: by_section[section] or float("-inf"))
    where = f", most of all in `{hardest}`" if hardest else ""
    right = f"write shorter words and sentences{where}, down to grade {HIGHEST_GRADE:g}"
    yield Remark(first_line, f"the module reads at grade {grade:.1f} (Coleman and Liau 1975)", right)


def _sentences(blocks: Sequence[Block]) -> str:
    """Return paragraphs and list items as sentences, each with an end; headings and tables are none."""
    texts = (one.words.strip() for one in blocks if one.kind in ("paragraph", "item"))
    return "\n".join(text if text.endswith((".", "!", "?", '"')) else f"{text}." for text in texts if text)
