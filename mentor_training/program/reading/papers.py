"""Read the short lists: papers.toml, courses.toml, certificates.toml and standards.toml."""

from __future__ import annotations

from mentor_training.program.catalog import CATEGORIES, CertificateKind, Course, Framework, Paper, Standard
from mentor_training.program.reading.book import Book, Shelf
from mentor_training.program.reading.entry import MINUTES, MONTHS, Entry
from mentor_training.program.reading.requirement import read_requirement
from mentor_training.program.requirements import ALWAYS

FROM_MEMORY = "M"
# So much fits under a line to sign on.
LONGEST_SIGNER = 90
STANDARD_MARKS = ("S", "S2", FROM_MEMORY)


def read_papers(book: Book) -> dict[str, Paper]:
    """Read the papers that have to be on file."""
    shelf: Shelf[Paper] = Shelf("the paper")
    for entry in book.tables("program/papers.toml", paper="a paper")["paper"]:
        paper = Paper(
            slug=entry.slug(),
            title=entry.text("title"),
            good_for_months=entry.maybe_whole("good_for_months", most=MONTHS),
            waivable=entry.flag("waivable"),
            hands_on=entry.flag("hands_on"),
            scan=entry.flag("scan", default=True),
        )
        entry.close()
        shelf.put(paper.slug, paper, entry, "slug")
    return shelf.things


def read_courses(book: Book) -> dict[str, Course]:
    """Read the courses that hours count for; a section takes one course only."""
    shelf: Shelf[Course] = Shelf("the course")
    sections: Shelf[str] = Shelf("the section", "name it once; a section takes one course")
    for entry in book.tables("program/courses.toml", course="a course")["course"]:
        course = _course(entry)
        shelf.put(course.code, course, entry, "code")
        for at, section in enumerate(course.sections):
            sections.put(section, course.code, entry, "sections", at)
    return shelf.things


def _course(entry: Entry) -> Course:
    course = Course(
        code=_code(entry, entry.text("code"), "code"),
        title=entry.text("title"),
        credits=entry.number("credits", 0, most=100),
        hours_per_credit=_hours_per_credit(entry),
        required_minutes=_required_minutes(entry),
        day_cap_minutes=entry.maybe_whole("day_cap_minutes", most=MINUTES),
        week_cap_minutes=entry.maybe_whole("week_cap_minutes", most=MINUTES),
        sections=tuple(_code(entry, one, "sections", at) for at, one in enumerate(entry.texts("sections"))),
    )
    entry.close()
    return course


def _hours_per_credit(entry: Entry) -> float:
    """Take how many hours of work a credit stands for; 45 by 34 CFR 600.2, and 37.5 to 50 in published handbooks."""
    hours = entry.number("hours_per_credit", 45, least=1, most=200)
    if not 37.5 <= hours <= 50:
        entry.advise(
            f"a credit stands for {hours:g} hours", "37.5 to 50 are usual, and 45 the default", "hours_per_credit"
        )
    return hours


def _code(entry: Entry, code: str, *path: str | int) -> str:
    if ";" in code:
        entry.fault(f"the code `{code}` holds a semicolon, which separates codes in lists", "leave it out", *path)
    return code


def _required_minutes(entry: Entry) -> dict[str, int]:
    table = entry.table("required_minutes", "the required minutes")
    if table is None:
        return {}
    minutes = {one: table.whole(one, most=MINUTES) for one in CATEGORIES if table.has(one)}
    for category in CATEGORIES:
        table.raw(category)
    table.close()
    return minutes


def read_certificates(book: Book) -> dict[str, CertificateKind]:
    """Read the certificates that a volunteer may earn."""
    shelf: Shelf[CertificateKind] = Shelf("the certificate")
    for entry in book.tables("program/certificates.toml", certificate="a certificate")["certificate"]:
        kind = CertificateKind(
            slug=entry.slug(),
            title=entry.text("title"),
            requires=read_requirement(entry, "requires", book.names, required=True) or ALWAYS,
            text=entry.text("text"),
            good_for_months=entry.maybe_whole("good_for_months", most=MONTHS),
            signed_by=_signer(entry),
        )
        entry.close()
        shelf.put(kind.slug, kind, entry, "slug")
    return shelf.things


def _signer(entry: Entry) -> str:
    """Take who signs on paper, by name and office; it stands in one line or two under the line to sign on."""
    signer = " ".join(entry.text("signed_by", "").split())
    if entry.has("signed_by") and _is_blank(entry, "signed_by"):
        entry.fault("`signed_by` is empty", "name who signs, or leave it out", "signed_by")
    if len(signer) > LONGEST_SIGNER:
        what = f"`signed_by` has {len(signer)} characters"
        entry.fault(what, f"{LONGEST_SIGNER} fit under the line: name and office", "signed_by")
    return signer


def read_standards(book: Book) -> tuple[dict[str, Framework], dict[str, Standard]]:
    """Read the competence frameworks and their standards."""
    tables = book.tables("program/standards.toml", framework="a framework", standard="a standard")
    frameworks: Shelf[Framework] = Shelf("the framework")
    for entry in tables["framework"]:
        framework = Framework(
            slug=entry.slug(),
            title=entry.text("title"),
            owner=entry.text("owner"),
            edition=entry.text("edition", ""),
            note=entry.text("note", ""),
        )
        entry.close()
        frameworks.put(framework.slug, framework, entry, "slug")
    standards: Shelf[Standard] = Shelf("the standard")
    for entry in tables["standard"]:
        standard = _standard(entry, book)
        standards.put(standard.slug, standard, entry, "slug")
    return frameworks.things, standards.things


def _standard(entry: Entry, book: Book) -> Standard:
    standard = Standard(
        slug=entry.slug(),
        framework=entry.text("framework", ""),
        number=entry.text("number", ""),
        title=entry.text("title"),
        mark=entry.one_of("mark", STANDARD_MARKS, FROM_MEMORY),
    )
    if standard.framework:
        book.names.check(entry, "framework", standard.framework, "framework")
    entry.close()
    _advise_on_standard(entry)
    return standard


def _advise_on_standard(entry: Entry) -> None:
    if _is_blank(entry, "framework"):
        entry.advise("the standard is of no framework", "name its `framework`", "framework")
    if _is_blank(entry, "number"):
        entry.advise("the standard has no number", "add `number`, as its framework gives it", "number")
    if not entry.has("mark"):
        what = f"the standard has no `mark`, and counts as {FROM_MEMORY}, from memory"
        entry.advise(what, "check it, and add `mark`", "mark")


def _is_blank(entry: Entry, key: str) -> bool:
    return str(entry.data.get(key, "")).strip() == ""
