"""Read a whole program definition: one value, or every finding at once."""

from __future__ import annotations

import re
from collections.abc import Mapping

from mentor_training.program.catalog import Paper, Program, Skill
from mentor_training.program.lint.words import word_remarks
from mentor_training.program.reading import policy
from mentor_training.program.reading.book import Book
from mentor_training.program.reading.document import Document
from mentor_training.program.reading.findings import Finding, Report, nearest
from mentor_training.program.reading.front_matter import read_front_matter
from mentor_training.program.reading.modules import read_modules
from mentor_training.program.reading.names import gather
from mentor_training.program.reading.papers import read_certificates, read_courses, read_papers, read_standards
from mentor_training.program.reading.pictures import FORM as PICTURE
from mentor_training.program.reading.pictures import read_pictures
from mentor_training.program.reading.policy import Basics, read_basics
from mentor_training.program.reading.quizzes import read_quizzes
from mentor_training.program.reading.reach_check import check_reach
from mentor_training.program.reading.skills import read_skills
from mentor_training.program.reading.stations import read_needs, read_stations
from mentor_training.program.reading.toml_text import read_toml
from mentor_training.program.reading.yaml_text import read_yaml
from mentor_training.program.requirements import Atom, Hours, Item, atoms_of, is_met

TOML_FILES = tuple(
    f"program/{name}.toml"
    for name in ("program", "stations", "needs", "papers", "courses", "certificates", "standards")
)
_READERS = (
    (re.compile(r"program/skills/[^/]+\.md"), read_front_matter),
    (re.compile(r"modules/[^/]+\.md"), read_front_matter),
    (re.compile(r"quizzes/[^/]+\.yaml"), read_yaml),
)


def read_program(files: Mapping[str, str], advice: bool = True) -> tuple[Program | None, tuple[Finding, ...]]:
    """Read the files of a definition, by their path as people know it, such as `program/stations.toml`.

    Return the program with the advice, or None with all findings if one of them is a fault. Without advice it is
    quicker: an edition that was published is read for what it means.
    """
    report = Report(advice)
    documents, unreadable = _parse(files, report)
    if policy.FILE not in files:
        report.fault(policy.FILE, 1, "there is no such file", 'write it, with name = "the program\'s name"')
    book = Book(documents, gather(documents, unreadable), report, read_pictures(files, report))
    program = _build(book)
    if advice:
        _advise_on_words(files, report)
    if not any(one.fault for one in report.in_order()):
        check_reach(book, program)
    findings = report.in_order()
    return (None if any(one.fault for one in findings) else program), findings


def _parse(files: Mapping[str, str], report: Report) -> tuple[dict[str, Document], list[str]]:
    documents: dict[str, Document] = {}
    unreadable: list[str] = []
    for file in sorted(file for file in files if not PICTURE.fullmatch(file)):
        reader = next((reader for form, reader in _READERS if form.fullmatch(file)), None)
        if file in TOML_FILES:
            reader = read_toml
        if reader is None:
            report.fault(file, 1, "no file of this name belongs here", _right_name(file))
            continue
        document = reader(file, files[file], report)
        if document:
            documents[file] = document
        else:
            unreadable.append(file)
    return documents, unreadable


def _right_name(file: str) -> str:
    if file.endswith(".svg"):
        return "pictures lie in modules/pictures/, named by a slug"
    if file.endswith(".yml"):
        return f"name it {file[:-4]}.yaml"
    if file.endswith(".md") and file.startswith(("program/", "modules/")):
        return "skills lie in program/skills/, modules in modules/, without further folders"
    return nearest(file, TOML_FILES)


def _build(book: Book) -> Program:
    basics = read_basics(book)
    stations = read_stations(book)
    skills = read_skills(book, basics.sign_off, stations)
    modules = read_modules(book)
    frameworks, standards = read_standards(book)
    papers = read_papers(book)
    _check_entry(basics, skills, papers)
    return Program(
        name=basics.name,
        entry=basics.entry,
        never=basics.never,
        deferral=basics.deferral,
        policy=basics.policy,
        stations=stations,
        needs=read_needs(book),
        papers=papers,
        skills=skills,
        modules=modules,
        quizzes=read_quizzes(book, modules, basics.policy),
        courses=read_courses(book),
        certificates=read_certificates(book),
        frameworks=frameworks,
        standards=standards,
    )


def _advise_on_words(files: Mapping[str, str], report: Report) -> None:
    """Advise on words to avoid; quizzes are looked at where they are read, for a wrong option may show such a word."""
    for file, text in files.items():
        if file.endswith((".md", ".toml")):
            for remark in word_remarks(text, quotes_are_speech=file.endswith(".md")):
                report.advise(file, remark.line, remark.what, remark.right)


def _check_entry(basics: Basics, skills: Mapping[str, Skill], papers: Mapping[str, Paper]) -> None:
    """Advise on an entry requirement that asks for what only somebody on the floor can get, or that can be waived."""
    asked = [atom.name.removeprefix("paper/") for atom in atoms_of(basics.entry) if isinstance(atom, Item)]
    for slug in (slug for slug in asked if slug in papers and papers[slug].waivable):
        what = f"`entry` asks for `paper/{slug}`, which can be waived, so that somebody may be on the floor without it"
        if basics.top:
            basics.top.advise(what, "take `waivable` from the paper, or the paper from the entry", "entry")

    def before_the_floor(atom: Atom) -> bool:
        if isinstance(atom, Item):
            skill = skills.get(atom.name.removeprefix("skill/")) if atom.name.startswith("skill/") else None
            return skill is None or not skill.sign_off.live_at_least
        return isinstance(atom, Hours) and atom.category != "direct"

    if basics.top and not is_met(basics.entry, before_the_floor):
        what = "nobody new can meet `entry`: it asks for sessions, direct hours or a live observation"
        basics.top.advise(what, "ask for these at a station instead", "entry")
