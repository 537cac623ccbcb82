"""Read the quizzes, each of which examines one edition of one module."""

from __future__ import annotations

from collections.abc import Mapping

from mentor_training.program.catalog import Module, Policy
from mentor_training.program.lint.quizzes import item_remarks, longest_is_best, same_place, spoken_texts
from mentor_training.program.lint.words import words_to_avoid
from mentor_training.program.quiz_values import Quiz, Scenario
from mentor_training.program.reading.book import Book, Shelf
from mentor_training.program.reading.entry import Entry
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.scenarios import read_scenario
from mentor_training.program.reading.skills import check_file_name

FOLDER = "quizzes/"


def read_quizzes(book: Book, modules: Mapping[str, Module], policy: Policy) -> dict[str, Quiz]:
    """Read the quizzes in the order of their files; a module has one at most."""
    shelf: Shelf[Quiz] = Shelf("the quiz")
    by_module: Shelf[str] = Shelf("a quiz of the module", "write one quiz for each module")
    for entry in book.files(FOLDER, "a quiz"):
        quiz = _quiz(entry, book, modules, policy)
        shelf.put(quiz.slug, quiz, entry, "slug")
        by_module.put(quiz.module, quiz.slug, entry, "module")
        check_file_name(entry, quiz.slug)
        if book.report.wants_advice:
            _advise(entry, quiz)
    return shelf.things


def _advise(entry: Entry, quiz: Quiz) -> None:
    _advise_on_pass_mark(entry, quiz)
    if longest_is_best(quiz.scenarios):
        right = "shorten some best options, or lengthen other ones"
        entry.advise("in each choose_one the best option is the longest", right, "scenarios")
    place = same_place(quiz.scenarios)
    if place:
        what = f"in each choose_one the best option stands at place {place}"
        entry.advise(what, "move some of them up or down", "scenarios")
    # A scenario whose slug is taken was left out, so places in the file are looked up and not counted.
    written = entry.data.get("scenarios")
    slugs = [one.get("slug") if isinstance(one, dict) else None for one in written] if isinstance(written, list) else []
    places = {scenario.slug: slugs.index(scenario.slug) for scenario in quiz.scenarios}
    for remark in item_remarks(quiz.scenarios):
        entry.advise(remark.what, remark.right, "scenarios", places[quiz.scenarios[remark.at].slug])
    for scenario in quiz.scenarios:
        for used, say in (one for text in spoken_texts(scenario) for one in words_to_avoid(text)):
            entry.advise(f"`{used}` is a word to avoid", f"say: {say}", "scenarios", places[scenario.slug])


def _advise_on_pass_mark(entry: Entry, quiz: Quiz) -> None:
    """Advise to say where a pass mark comes from. One that is faulty was not taken, and is spoken of already."""
    if not quiz.pass_mark_source and entry.data.get("pass_mark") == quiz.pass_mark:
        what = "the quiz has a `pass_mark` of its own and does not say who set it"
        entry.advise(what, "add `pass_mark_source`: how it was set, on which day, by whom", "pass_mark")
    if quiz.pass_mark_source and not entry.has("pass_mark"):
        what = "`pass_mark_source` speaks of a `pass_mark` that is not here; the program's counts"
        entry.advise(what, "add `pass_mark`, or leave its source out", "pass_mark_source")


def _quiz(entry: Entry, book: Book, modules: Mapping[str, Module], policy: Policy) -> Quiz:
    slug, module = entry.slug(), entry.text("module")
    edition = entry.whole("edition", least=1)
    pass_mark = entry.number("pass_mark", policy.pass_mark, most=1)
    source = entry.text("pass_mark_source", "")
    scenarios = _scenarios(entry, book, modules.get(module))
    items = len({one.item for one in scenarios})
    draw = entry.whole("draw", items, least=1)
    if draw > items and scenarios:
        what = f"`draw` is {draw} where the bank holds {items} (versions of one item count once)"
        entry.fault(what, f"draw {items} or fewer, or write more scenarios", "draw")
    entry.close()
    if module:
        _check_module(entry, book, modules, module)
    return Quiz(slug, module, edition, scenarios, pass_mark, draw, source)


def _check_module(entry: Entry, book: Book, modules: Mapping[str, Module], slug: str) -> None:
    book.names.check(entry, "module", slug, "module")
    module, edition = modules.get(slug), entry.data.get("edition")
    if module and isinstance(edition, int) and module.edition != edition:
        what = f"this examines edition {edition} of the module `{slug}`, which is in edition {module.edition}"
        entry.fault(what, f"go through the scenarios and write edition: {module.edition}", "edition")


def _scenarios(entry: Entry, book: Book, module: Module | None) -> tuple[Scenario, ...]:
    shelf: Shelf[Scenario] = Shelf("the scenario")
    for one in entry.entries("scenarios", "a scenario", required=True):
        scenario = read_scenario(one)
        shelf.put(scenario.slug, scenario, one, "slug")
        _check_references(one, book, scenario, module)
    return tuple(shelf.things.values())


def _check_references(entry: Entry, book: Book, scenario: Scenario, module: Module | None) -> None:
    if scenario.skill.startswith(("module/", "paper/")):
        entry.fault(f"`{scenario.skill}` is no skill", "write skill/SLUG", "skill")
    elif scenario.skill:
        book.names.check_item(entry, scenario.skill, "skill")
    if scenario.read_again and module:
        sections = [section.slug for section in module.sections]
        if scenario.read_again not in sections:
            what = f"the module `{module.slug}` has no section `{scenario.read_again}`"
            entry.fault(what, nearest(scenario.read_again, sections), "read_again")
