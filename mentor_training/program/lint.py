"""What could make the training better without being wrong; pure, and never a reason to refuse."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from mentor_training.program.quiz_values import Scenario

FEWEST_WORDS = 800
MOST_WORDS = 2000
TELLING = 3

_NOT_TEXT = re.compile(r"\[(?:source|caution):[^\]]*\]|\{:?\s*#[^}]*\}|\]\([^)]*\)")
_IMAGE_WITHOUT_WORDS = re.compile(r"!\[\s*\](?:\(|\[)|<img(?![^>]*\balt=)[^>]*>", re.IGNORECASE)


@dataclass(frozen=True)
class Remark:
    """A piece of advice at a line."""

    line: int
    what: str
    right: str


def word_count(text: str) -> int:
    """Count the words of a Markdown text: runs between blanks that hold a letter or a digit, without its marks."""
    return sum(any(one.isalnum() for one in word) for word in _NOT_TEXT.sub(" ", text).split())


def module_remarks(body: str, first_line: int) -> tuple[Remark, ...]:
    """Advise on a module's length and on pictures that say nothing to who cannot see them.

    Length is a rule of this program; an alternative for each picture is success criterion 1.1.1 of WCAG 2.2, which
    lets a mere ornament have an empty one, if it is written out.
    """
    found = []
    words = word_count(body)
    if not FEWEST_WORDS <= words <= MOST_WORDS:
        right = f"a module that is read in one sitting has {FEWEST_WORDS} to {MOST_WORDS:,} words"
        found.append(Remark(first_line, f"the module has {words:,} words", right))
    for at, line in enumerate(body.split("\n")):
        if _IMAGE_WITHOUT_WORDS.search(line):
            right = "write what it shows: `![what it shows](picture)`"
            found.append(Remark(first_line + at, "a picture has no alternative in words", right))
    return tuple(found)


def longest_is_best(scenarios: Iterable[Scenario]) -> bool:
    """Say whether a quiz gives itself away: in each of three or more scenarios the best option is the longest one.

    A well-known cue of multiple-choice items; three is a rule of this program.
    """
    choices = [one.options for one in scenarios if one.kind == "choose_one" and len(one.options) > 1]
    longest = [max(options, key=lambda option: len(option.text)) for options in choices]
    return len(longest) >= TELLING and all(option.standing == "best" for option in longest)
