"""The list of modules, a module section by section, its end, and the whole of it on one page."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotFound
from mentor_training.learning import actions, queries
from mentor_training.learning.markdown import render_section, sources_in, sources_of
from mentor_training.learning.pages.blueprint import known_now, known_then, pages, takes_part
from mentor_training.learning.pages.ready_text import ready_text
from mentor_training.learning.rules.reading import Progress
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.catalog import Module


@pages.get("/learn")
@guarded(Act.LEARN)
def modules() -> str:
    """List the modules, for a volunteer with where they stand in each."""
    then = known_then()
    progress = queries.progress_of_all(db(), me().code, then)
    waiting = queries.all_held(db(), then.program, now()) if me().may(Act.HOLD_TALK) else ()
    held = {one.quiz.slug: one for one in _own_holds(progress)}
    return render_template(
        "learning/modules.html", progress=progress, then=then, personal=_is_personal(), held=held, waiting=len(waiting)
    )


@pages.get("/learn/<slug>")
@guarded(Act.LEARN)
def module(slug: str) -> Response:
    """Open a module at the first section that is still to be read; at its end, if none is."""
    then = known_then()
    text = then.module(slug)
    if not _is_personal():
        return redirect(url_for("learning.section", slug=slug, section=text.sections[0].slug))
    unread = _progress(slug).unread
    if not unread:
        return redirect(url_for("learning.module_end", slug=slug))
    return redirect(url_for("learning.section", slug=slug, section=unread[0].slug))


@pages.get("/learn/<slug>/read/<section>")
@guarded(Act.LEARN)
def section(slug: str, section: str) -> str:
    """Show one section of a module."""
    then = known_then()
    text = then.module(slug)
    at = _place(text, section)
    return render_template(
        "learning/section.html",
        module=text,
        section=text.sections[at],
        at=at,
        pieces=render_section(text, text.sections[at], top=2),
        sources=sources_in(text, text.sections[at]),
        progress=_progress(slug) if _is_personal() else None,
        takes_part=takes_part(),
        deferral=then.program.deferral,
    )


@pages.post("/learn/<slug>/read/<section>")
@guarded(Act.COMPLETE_MODULES)
def section_submit(slug: str, section: str) -> Response:
    """Note that a section was read, and go on to the next one, or to the end."""
    complete = actions.read_section(db(), now(), me(), instance().settings.zone, slug, section, _edition_seen())
    text = known_now().module(slug)
    at = _place(text, section) + 1
    if complete or at == len(text.sections):
        return done(url_for("learning.module_end", slug=slug), _said(text, complete))
    return done(url_for("learning.section", slug=slug, section=text.sections[at].slug))


@pages.post("/learn/<slug>/caution/<caution>")
@guarded(Act.COMPLETE_MODULES)
def caution_submit(slug: str, caution: str) -> Response:
    """Note that a caution was acknowledged, and go back to where it stands."""
    complete = actions.acknowledge_caution(db(), now(), me(), instance().settings.zone, slug, caution, _edition_seen())
    text = known_now().module(slug)
    where = _section_of(text, caution)
    if complete or where is None:
        return done(url_for("learning.module_end", slug=slug), _said(text, complete))
    return done(url_for("learning.section", slug=slug, section=where, _anchor=f"caution-{caution}"))


@pages.get("/learn/<slug>/end")
@guarded(Act.LEARN)
def module_end(slug: str) -> str:
    """Show where the reader stands in a module, what is left to do, and all its sources."""
    then = known_then()
    text = then.module(slug)
    return render_template(
        "learning/module_end.html",
        module=text,
        quiz=then.program.quiz_of_module.get(slug),
        progress=_progress(slug) if _is_personal() else None,
        takes_part=takes_part(),
        section_of={caution.slug: _section_of(text, caution.slug) for caution in text.cautions},
        sources=sources_of(text),
        deferral=then.program.deferral,
        day=then.day,
    )


@pages.get("/learn/<slug>/whole")
@guarded(Act.LEARN)
def whole_module(slug: str) -> str:
    """Show a whole module on one page, to be read through or printed."""
    then = known_then()
    text = then.module(slug)
    acknowledged = _progress(slug).acknowledged if _is_personal() else frozenset[str]()
    return render_template(
        "learning/whole.html",
        module=text,
        text=ready_text(text, acknowledged),
        deferral=then.program.deferral,
        edition=then.published.number,
    )


def _edition_seen() -> int | None:
    """Return the edition of the module that the page showed, as its form says."""
    text = request.form.get("edition", "")
    return int(text) if text.isdecimal() and len(text) < 10 else None


def _is_personal() -> bool:
    return me().may(Act.COMPLETE_MODULES)


def _progress(slug: str) -> Progress:
    then = known_then()
    return queries.progress_of(db(), me().code, then, then.module(slug), then.program.quiz_of_module.get(slug))


def _own_holds(progress: tuple[Progress, ...]) -> list[queries.Held]:
    if not _is_personal():
        return []
    policy = known_now().program.policy
    found = (queries.held_for(db(), me().code, one.quiz, policy, now()) for one in progress if one.quiz)
    return [one for one in found if one is not None]


def _place(module: Module, section: str) -> int:
    for at, one in enumerate(module.sections):
        if one.slug == section:
            return at
    raise NotFound(f"section {section} of the module {module.slug}")


def _section_of(module: Module, caution: str) -> str | None:
    """Return the section in which a caution stands; None for one that stands at the end."""
    for one in module.sections:
        if any(piece.caution == caution for piece in render_section(module, one)):
            return one.slug
    return None


def _said(module: Module, complete: bool) -> str:
    return f"{module.title}: complete." if complete else ""
