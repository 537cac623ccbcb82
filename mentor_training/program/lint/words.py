"""Words about people that a reader may be hurt by, and what is said instead; pure.

Common practice of the field and the guidance that the modules name; the list is a choice of this program. A word in
quotation marks, in emphasis, or in a column headed "avoid" or "not" is spoken of and not used.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from mentor_training.program.lint.prose import LONGEST
from mentor_training.program.lint.remarks import Remark

_SAY = (
    (
        r"the disabled|handicapped|handi-?capable|differently[ -]abled",
        "a person with a disability, or a disabled person",
    ),
    (r"wheelchair[ -]bound|confined to (?:a|his|her|their) (?:wheel)?chair", "uses a wheelchair"),
    (r"suffers? from|suffering from|afflicted (?:with|by)|stricken (?:with|by)|(?:a )?victim of", "has"),
    (r"spastics?|epileptics", "a person with cerebral palsy, with epilepsy"),
    (r"(?:high|low)[ -]functioning|severe end of the spectrum", "say what the person does and needs"),
    (r"retard(?:ed|ation)?|mental age|mongol(?:oid)?", "a person with an intellectual disability"),
    (r"downs? (?:kid|child|syndrome kid)|down's (?:kid|child)", "a person with Down syndrome"),
    (r"hearing[ -]impaired|deaf[ -]mute|deaf and dumb", "Deaf, or hard of hearing"),
    (r"visually challenged|sight(?:less|-impaired)", "blind, or has low vision"),
    (r"tantrums?|acting out|acts out|manipulative|non-?compliant", "distressed, or say what you saw"),
    (r"special[ -]needs", "support needs"),
    (r"handicapped (?:parking|toilet)", "accessible parking, accessible toilet"),
    (r"little ones?|sweetie|good (?:girl|boy)", "the name the person uses"),
    (r"two-man lift|dead weight", "needs two people to transfer"),
    (r"bolters?|escapee", "leaves the area"),
    (r"inspirational|overcame (?:his|her|their) disability", "say what the person did"),
    (r"epileptic fits?|having a fit|has a fit", "a seizure"),
)
_WORDS = tuple((re.compile(rf"(?<![\w-])(?:{words})(?![\w-])", re.IGNORECASE), say) for words, say in _SAY)
_SPOKEN_OF = re.compile(r"\"[^\"]*\"|\u201c[^\u201d]*\u201d|'[^'\n]*'(?=[\s,.;:)]|$)|\*[^*]*\*|`[^`]*`")
_AVOIDED = frozenset({"avoid", "not", "not this", "rather than", "instead of", "leave out"})


def words_to_avoid(text: str) -> Iterator[tuple[str, str]]:
    """Yield each word to avoid that a text uses, with what is said instead; what it only speaks of is left out."""
    used = _SPOKEN_OF.sub(" ", text[:LONGEST])
    for words, say in _WORDS:
        found = words.search(used)
        if found:
            yield found.group(), say


def word_remarks(text: str, quotes_are_speech: bool = True) -> Iterator[Remark]:
    """Advise on words to avoid, line by line.

    In a TOML file quotation marks are the file's own and not speech: there they hide nothing.
    """
    columns: list[bool] = []
    for number, written in enumerate(text.split("\n"), 1):
        line = written
        if line.strip().startswith("|"):
            cells = line.strip().strip("|").split("|")
            columns = columns or [cell.strip().lower() in _AVOIDED for cell in cells]
            line = " | ".join(cell for at, cell in enumerate(cells) if not (at < len(columns) and columns[at]))
        else:
            columns = []
        for used, say in words_to_avoid(line if quotes_are_speech else line.replace('"', " ")):
            yield Remark(number, f"`{used}` is a word to avoid", f"say: {say}")
