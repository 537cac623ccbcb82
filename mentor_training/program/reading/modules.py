"""Read the modules."""

from __future__ import annotations

from mentor_training.program.catalog import Caution, Module, Picture, Source
from mentor_training.program.lint.modules import module_remarks
from mentor_training.program.reading.book import Book, Shelf
from mentor_training.program.reading.entry import DAYS, MINUTES, MONTHS, Entry
from mentor_training.program.reading.findings import nearest
from mentor_training.program.reading.module_text import Mark, ModuleText
from mentor_training.program.reading.skills import check_file_name, read_standard_slugs
from mentor_training.program.reading.slugs import made_slug

FOLDER = "modules/"
FROM_MEMORY = "M"
MARKS = ("S", "S2", FROM_MEMORY, "P")
FIRST_EDITION = 1


def read_modules(book: Book) -> dict[str, Module]:
    """Read the modules in the order of their files."""
    shelf: Shelf[Module] = Shelf("the module")
    for entry in book.files(FOLDER, "a module"):
        module = _module(entry, book)
        shelf.put(module.slug, module, entry, "slug")
        check_file_name(entry, module.slug)
        document = entry.document
        sections = [one.slug for one in module.sections]
        for remark in module_remarks(document.body, document.body_line, sections) if book.report.wants_advice else ():
            book.report.advise(document.file, remark.line, remark.what, remark.right)
    shown = {picture.slug for module in shelf.things.values() for picture in module.pictures}
    for slug in book.pictures.keys() - shown:
        right = f"show it by `![what it shows](pictures/{slug}.svg)`, or remove it"
        book.report.advise(f"{FOLDER}pictures/{slug}.svg", 1, "no module shows this picture", right)
    return shelf.things


def _module(entry: Entry, book: Book) -> Module:
    text = ModuleText(entry)
    marks = text.marks()
    module = Module(
        slug=entry.slug(),
        title=entry.text("title"),
        edition=entry.whole("edition", FIRST_EDITION, least=1),
        minutes=entry.whole("minutes", 0, most=MINUTES),
        sections=text.sections(),
        good_for_months=entry.maybe_whole("good_for_months", most=MONTHS),
        must_retake=entry.flag("must_retake"),
        grace_days=entry.whole("grace_days", 0, most=DAYS),
        standards=read_standard_slugs(entry, book),
        sources=_sources(entry, marks),
        cautions=_cautions(entry, marks),
        pictures=_pictures(entry, text, book),
    )
    if not entry.has("edition"):
        entry.advise("the module has no `edition`, and is in its first", "add `edition`, and raise it with each change")
    if not entry.has("minutes"):
        entry.advise("there are no `minutes`, so that reading it credits no training time", "add `minutes`")
    entry.close()
    return module


def _sources(entry: Entry, marks: list[Mark]) -> tuple[Source, ...]:
    shelf: Shelf[Source] = Shelf("the source")
    cited = [mark for mark in marks if mark.word == "source"]
    for one in entry.entries("sources", "a source", plain=True):
        source = _source(one)
        shelf.put(source.id, source, one, "id")
        if source.id and source.id not in [mark.name for mark in cited]:
            one.advise(f"the source `{source.id}` is never cited", f"cite it as `[source: {source.id}]`, or drop it")
    _check_known(entry, cited, list(shelf.things))
    return tuple(shelf.things.values())


def _source(entry: Entry) -> Source:
    text = entry.text("text")
    if entry.is_plain:
        source = Source(made_slug(text, "source"), text, FROM_MEMORY)
        what = f"this source is a text alone: it goes by `{source.id}` and counts as {FROM_MEMORY}, from memory"
        entry.advise(what, "check it, and write its `id`, `text` and `mark`")
        return source
    source = Source(entry.slug("id"), text, entry.one_of("mark", MARKS))
    entry.close()
    return source


def _caution(entry: Entry) -> Caution:
    text = entry.text("text")
    if entry.is_plain:
        caution = Caution(made_slug(text, "caution"), text)
        what = f"this caution is a text alone and goes by `{caution.slug}`, which changes with the text"
        entry.advise(what, "write its `slug` and `text`")
        return caution
    caution = Caution(entry.slug(), text)
    entry.close()
    return caution


def _cautions(entry: Entry, marks: list[Mark]) -> tuple[Caution, ...]:
    shelf: Shelf[Caution] = Shelf("the caution")
    placed = [mark for mark in marks if mark.word == "caution"]
    for one in entry.entries("cautions", "a caution", plain=True):
        caution = _caution(one)
        shelf.put(caution.slug, caution, one, "slug")
        if caution.slug and caution.slug not in [mark.name for mark in placed]:
            right = f"put `[caution: {caution.slug}]` where it belongs; until then it stands at the end of the module"
            one.advise(f"the caution `{caution.slug}` is placed nowhere in the text", right)
    _check_known(entry, placed, list(shelf.things))
    _check_places(entry, placed)
    return tuple(shelf.things.values())


def _pictures(entry: Entry, text: ModuleText, book: Book) -> tuple[Picture, ...]:
    """Return the pictures that the text shows, each once."""
    shown: dict[str, Picture] = {}
    for line, slug in text.pictures():
        picture = book.pictures.get(slug)
        if picture:
            shown[slug] = picture
        elif slug not in book.pictures and book.report.wants_advice:
            what = f"there is no picture `{slug}`"
            entry.report.fault(entry.document.file, line, what, nearest(slug, book.pictures))
    return tuple(shown.values())


def _check_known(entry: Entry, marks: list[Mark], known: list[str]) -> None:
    for mark in marks:
        if mark.name not in known:
            what = f"unknown {mark.word} `{mark.name}`"
            entry.report.fault(entry.document.file, mark.line, what, nearest(mark.name, known))


def _check_places(entry: Entry, placed: list[Mark]) -> None:
    """Report a caution inside a paragraph, where no box can stand, and one that is placed twice."""
    first: dict[str, int] = {}
    for mark in placed:
        if not mark.alone:
            what = f"the caution `{mark.name}` stands inside a paragraph"
            right = "give it a line of its own, with a blank line above and below"
            entry.report.fault(entry.document.file, mark.line, what, right)
        if mark.name in first:
            what = f"the caution `{mark.name}` is placed twice, first on line {first[mark.name]}"
            entry.report.fault(entry.document.file, mark.line, what, "place it once")
        first.setdefault(mark.name, mark.line)
