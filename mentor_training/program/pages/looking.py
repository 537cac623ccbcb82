"""What the edition in force says, for everybody: stations, needs, skills, papers, the never list, standards."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from flask import render_template

from mentor_training.errors import NotFound
from mentor_training.people.access import guarded, me
from mentor_training.people.permissions import Act
from mentor_training.program.catalog import Framework, Program, Station
from mentor_training.program.pages.blueprint import pages, required_edition, shown_edition
from mentor_training.program.wording import in_words, ladder_in_words, rung_name, sign_off_in_words
from mentor_training.web.prose import prose

T = TypeVar("T")


@pages.get("/program")
@guarded(Act.SEE_PROGRAM)
def overview() -> str:
    """Show what the program consists of, who may be on the floor, and what nobody is ever cleared for."""
    edition = shown_edition()
    if edition is None:
        return render_template("program/nothing.html", may_publish=me().may(Act.PUBLISH))
    program = edition.program
    stations = list(program.stations.values())
    return render_template(
        "program/overview.html",
        edition=edition,
        program=program,
        may_publish=me().may(Act.PUBLISH),
        stations=[station for station in stations if not station.is_duty],
        duties=[station for station in stations if station.is_duty],
        entry=in_words(program.entry, program),
        certificates=[(kind, in_words(kind.requires, program)) for kind in program.certificates.values()],
    )


@pages.get("/program/stations/<slug>")
@guarded(Act.SEE_PROGRAM)
def station(slug: str) -> str:
    """Show what a station or duty is and what each level of working there asks for."""
    edition = required_edition()
    program = edition.program
    found = _found(program.stations, slug, "station")
    return render_template(
        "program/station.html",
        edition=edition,
        station=found,
        rungs=ladder_in_words(found.ladder, program),
        rung_name=rung_name,
        practices=_practiced(program, found),
        needs=[need for need in program.needs.values() if need.applies_at(found)],
    )


@pages.get("/program/needs")
@guarded(Act.SEE_PROGRAM)
def needs() -> str:
    """Show the support needs: where each applies, what its mentor does, what it asks of a mentor."""
    edition = required_edition()
    program = edition.program
    listed = [(need, ladder_in_words(need.ladder, program)) for need in program.needs.values()]
    return render_template("program/needs.html", edition=edition, needs=listed, rung_name=rung_name)


@pages.get("/program/skills")
@guarded(Act.SEE_PROGRAM)
def skills() -> str:
    """List the skills that an observer must see."""
    edition = required_edition()
    found = [(skill, sign_off_in_words(skill.sign_off)) for skill in edition.program.skills.values()]
    return render_template("program/skills.html", edition=edition, skills=found)


@pages.get("/program/skills/<slug>")
@guarded(Act.SEE_PROGRAM)
def skill(slug: str) -> str:
    """Show a skill: what an observer looks for, how it is done, and what makes it ready for sign-off."""
    edition = required_edition()
    program = edition.program
    found = _found(program.skills, slug, "skill")
    return render_template(
        "program/skill.html",
        edition=edition,
        skill=found,
        body=prose(found.body),
        conditions=sign_off_in_words(found.sign_off),
        practiced_at=[one for one in program.stations.values() if f"skill/{slug}" in one.practices],
        standards=[program.standards[one] for one in found.standards],
        frameworks=program.frameworks,
    )


@pages.get("/program/papers")
@guarded(Act.SEE_PROGRAM)
def papers() -> str:
    """List the papers that have to be on file."""
    edition = required_edition()
    return render_template("program/papers.html", edition=edition, papers=edition.program.papers.values())


@pages.get("/program/standards")
@guarded(Act.SEE_PROGRAM)
def standards() -> str:
    """Show the competence frameworks, and which modules and skills map to each standard."""
    edition = required_edition()
    program = edition.program
    mapped = [(framework, _rows_of(program, framework.slug)) for framework in program.frameworks.values()]
    if others := _rows_of(program, ""):
        mapped.append(
            (Framework("of-no-framework", "Other standards", "Of no framework that the program names"), others)
        )
    return render_template("program/standards.html", edition=edition, frameworks=mapped)


def _rows_of(program: Program, framework: str) -> list[tuple[object, list[str], list[object]]]:
    """Return each standard of a framework with the titles of its modules, and its skills."""
    return [
        (
            standard,
            [one.title for one in program.modules.values() if standard.slug in one.standards],
            [one for one in program.skills.values() if standard.slug in one.standards],
        )
        for standard in program.standards.values()
        if standard.framework == framework
    ]


def _practiced(program: Program, found: Station) -> list[object]:
    return [program.skills[item.removeprefix("skill/")] for item in found.practices]


def _found(shelf: Mapping[str, T], slug: str, what: str) -> T:
    if slug not in shelf:
        raise NotFound(f"{what} {slug}")
    return shelf[slug]
