"""What an observer takes to the floor on paper: name tags, and a sheet to write one observation of a skill on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from urllib.parse import quote

from mentor_training.observing.rules.results import MARK_MEANINGS, MARK_WORDS
from mentor_training.program.catalog import Skill
from mentor_training.program.editions import PublishedProgram
from mentor_training.web.pdf import fill, render_pdf
from mentor_training.web.qr import qr_code

ON_A_SHEET = 8


@dataclass(frozen=True)
class Tag:
    """What stands on a name tag, and nothing else: it is worn in sight of everybody."""

    name: str
    code: str
    address: str

    @property
    def size(self) -> str:
        """Return how large the name can be set so that it stays within the tag."""
        longest = max(map(len, self.name.replace("-", " ").split()), default=0)
        if longest <= 12 and len(self.name) <= 22:
            return "large"
        return "middle" if longest <= 16 and len(self.name) <= 48 else "tight"


def observe_address(site: str, code: str) -> str:
    """Return the address at which an observer sees a volunteer's skills; `site` is the server's public address."""
    return f"{site}/observe/{quote(code)}"


def sheet_address(site: str, slug: str) -> str:
    """Return the address at which sheets of a skill are typed in."""
    return f"{site}/sheets/{quote(slug)}"


def tags_pdf(people: Iterable[tuple[str, str]], whose: str, program: str, site: str, size: str = "letter") -> bytes:
    """Return name tags for volunteers, given as code and name: several on a page, to be cut apart."""
    tags = [Tag(name, code, observe_address(site, code)) for code, name in people]
    body = fill(
        "observing/_tags_print.html",
        sheets=[tags[start : start + ON_A_SHEET] for start in range(0, len(tags), ON_A_SHEET)],
        whose=whose,
        program=program,
        qr_code=qr_code,
    )
    return render_pdf(body, f"Name tags, {whose}", _styles("tags", size))


def sheet_pdf(skill: Skill, published: PublishedProgram, program: str, site: str, size: str = "letter") -> bytes:
    """Return a sheet for one observation of a skill, by the criteria of an edition."""
    address = sheet_address(site, skill.slug)
    body = fill(
        "observing/_sheet_print.html",
        skill=skill,
        edition=published.number,
        policy=published.program.policy,
        program=program,
        marks=MARK_WORDS,
        meanings=MARK_MEANINGS,
        address=address,
        qr_code=qr_code(address),
    )
    return render_pdf(body, f"Observation sheet, {skill.title}", _styles("sheet", size))


def _styles(kind: str, size: str) -> Sequence[str]:
    return ("pdf.css", f"{kind}.css") if size == "letter" else ("pdf.css", f"{kind}.css", f"{kind}-a4.css")
