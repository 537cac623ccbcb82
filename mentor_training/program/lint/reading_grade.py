"""How many years of school a text asks for, by a published formula.

Coleman and Liau, "A computer readability formula designed for machine scoring", Journal of Applied Psychology 60(2),
283-284, 1975: 0.0588 x letters per 100 words - 0.296 x sentences per 100 words - 15.8. It counts letters and not
syllables, so that nothing is guessed.
"""

from __future__ import annotations

import re

import readability

FEWEST_WORDS = 100  # the formula is made for samples of a hundred words
_END = re.compile(r"(?<=[.!?])[\"\u201d)]*\s+")
_WORD = re.compile(r"[^\W_]+(?:['\u2019.,:/-][^\W_]+)*")


def reading_grade(text: str) -> float | None:
    """Return the grade of a text of at least a hundred words; None for a shorter one. May be negative."""
    sentences = [words for one in _END.split(text) if (words := _WORD.findall(one))]
    if sum(map(len, sentences)) < FEWEST_WORDS:
        return None
    # The library takes a sentence on each line, cut into words.
    measures = readability.getmeasures("\n".join(" ".join(words) for words in sentences), lang="en")
    return float(measures["readability grades"]["Coleman-Liau"])
