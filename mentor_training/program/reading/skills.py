"""Read the skill files."""

from __future__ import annotations

from collections.abc import Mapping

from mentor_training.program.catalog import RISKS, USUAL_REMARKS, Criterion, SignOffRule, Skill, Station
from mentor_training.program.reading.book import Book, Shelf
from mentor_training.program.reading.entry import DAYS, MONTHS, Entry
from mentor_training.program.reading.policy import STRICTEST, read_sign_off

FOLDER = "program/skills/"
MOST_REMARKS, LONGEST_REMARK = 10, 40


def read_skills(book: Book, defaults: Mapping[str, SignOffRule], stations: Mapping[str, Station]) -> dict[str, Skill]:
    """Read the skills; what their sign-off leaves out comes from the defaults of their risk."""
    shelf: Shelf[Skill] = Shelf("the skill")
    practiced = {item for station in stations.values() for item in station.practices}
    for entry in book.files(FOLDER, "a skill"):
        skill = _skill(entry, book, defaults)
        shelf.put(skill.slug, skill, entry, "slug")
        check_file_name(entry, skill.slug)
        if skill.practice_within_days and f"skill/{skill.slug}" not in practiced:
            right = "list the skill in `practices` of a station, or leave this out"
            entry.advise("no station practices this skill, so that it always lapses", right, "practice_within_days")
    return shelf.things


def _skill(entry: Entry, book: Book, defaults: Mapping[str, SignOffRule]) -> Skill:
    risk = _risk(entry)
    skill = Skill(
        slug=entry.slug(),
        title=entry.text("title"),
        risk=risk,
        criteria=_criteria(entry),
        sign_off=_sign_off(entry, risk, defaults[risk]),
        good_for_months=entry.maybe_whole("good_for_months", most=MONTHS),
        practice_within_days=entry.maybe_whole("practice_within_days", most=DAYS),
        standards=read_standard_slugs(entry, book),
        body=entry.document.body.strip(),
        remarks=_remarks(entry),
    )
    entry.close()
    return skill


def _risk(entry: Entry) -> str:
    """Take the risk; where it is not said, the strictest sign-off is the safe one."""
    risk = entry.one_of("risk", RISKS, STRICTEST)
    if not entry.has("risk"):
        what = f"the skill has no `risk`, and gets the strictest sign-off, that of {STRICTEST} risk"
        entry.advise(what, f"add `risk`: {', '.join(RISKS)}")
    return risk


def _criteria(entry: Entry) -> tuple[Criterion, ...]:
    if entry.data.get("criteria") in (None, []):
        entry.raw("criteria")
        what = "the skill has no criteria, so that nobody can be observed at it"
        entry.advise(what, "write under `criteria` what an observer looks for", "criteria")
        return ()
    written = entry.entries("criteria", "a criterion", plain=True)
    plain = [one for one in written if one.is_plain]
    if plain:
        some = "a criterion is a text" if len(plain) == 1 else f"{len(plain)} criteria are texts"
        right = "write `text` and `critical: true` for what has to be done unprompted"
        plain[0].advise(f"{some} alone, and not critical", right)
    return tuple(_criterion(one) for one in written)


def _remarks(entry: Entry) -> tuple[str, ...]:
    """Take the short remarks to be pressed; where the file names none, the usual ones. A form of this program."""
    if not entry.has("remarks"):
        return USUAL_REMARKS
    found = entry.texts("remarks")
    if len(found) > MOST_REMARKS:
        right = f"leave {MOST_REMARKS} at most, so that they are seen at a glance"
        entry.fault(f"`remarks` has {len(found)} entries", right, "remarks")
    for at, words in enumerate(found):
        if len(words) > LONGEST_REMARK:
            right = f"use {LONGEST_REMARK} at most, so that it fits on a button"
            entry.fault(f"a remark of {len(words)} characters", right, "remarks", at)
        if words in found[:at]:
            entry.fault(f"the remark {words!r} stands twice", "name it once", "remarks", at)
        if words.endswith("."):
            entry.advise("a remark ends with a full stop", "leave it out, pressing puts it in", "remarks", at)
    return found


def _criterion(entry: Entry) -> Criterion:
    criterion = Criterion(entry.text("text"), entry.flag("critical"))
    entry.close()
    return criterion


def _sign_off(entry: Entry, risk: str, usual: SignOffRule) -> SignOffRule:
    own = entry.table("sign_off", "a sign-off rule")
    return usual if own is None else read_sign_off(own, usual, risk)


def read_standard_slugs(entry: Entry, book: Book) -> tuple[str, ...]:
    """Take the standards that a module or skill maps to."""
    slugs = entry.words("standards")
    for at, slug in enumerate(slugs):
        book.names.check(entry, "standard", slug, "standards", at)
    return slugs


def check_file_name(entry: Entry, slug: str) -> None:
    """Advise that the file be named after the slug, because people look for it there."""
    if slug and slug != entry.document.stem:
        ending = entry.document.file.rsplit(".", 1)[-1]
        entry.advise(f"the slug is `{slug}`, the file is named differently", f"name the file {slug}.{ending}", "slug")
