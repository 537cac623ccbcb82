"""Which edition counts when, and what may be published: rules on values."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from mentor_training.program.catalog import Module, Program
from mentor_training.program.editions import (
    FileChanges,
    PublishedProgram,
    content_hash,
    file_changes,
    in_force,
    module_edition_on,
    publishing_refusals,
    retake_end,
    retakings,
)
from mentor_training.program.requirements import ALWAYS

PROGRAM = Program("P", ALWAYS)
TODAY = date(2026, 10, 16)


def edition(number: int, effective: date, published: datetime = datetime(2026, 8, 1, tzinfo=UTC)) -> PublishedProgram:
    """Return an edition; the first is known from the beginning."""
    return PublishedProgram(number, effective, published, f"hash {number}", PROGRAM, number == 1)


@pytest.mark.parametrize(
    ("on", "number"),
    [
        (date(2026, 7, 31), None),
        (date(2026, 8, 1), 1),
        (date(2026, 9, 30), 1),
        (date(2026, 10, 1), 3),
        (date(2026, 10, 19), 3),
        (date(2026, 10, 20), 4),
    ],
)
def test_the_latest_that_has_taken_effect_is_in_force(on: date, number: int | None) -> None:
    """By effective day; of two that take effect on one day the later one."""
    days = [(1, date(2026, 8, 1)), (2, date(2026, 10, 1)), (3, date(2026, 10, 1)), (4, date(2026, 10, 20))]
    found = in_force([edition(*one) for one in days], on)
    assert (found.number if found else None) == number


def test_an_edition_published_later_may_take_effect_earlier() -> None:
    """What was to begin in November is overtaken by what begins now, until November."""
    planned, urgent = edition(2, date(2026, 11, 1)), edition(3, date(2026, 10, 16))
    assert in_force([planned, urgent], TODAY) is urgent
    assert in_force([planned, urgent], date(2026, 11, 1)) is planned


def with_module(
    number: int, effective: date, of_module: int, critical: bool = False, grace: int = 0
) -> PublishedProgram:
    """Return an edition of a program that has one module, in an edition of its own."""
    module = Module("safety", "Safety", of_module, 20, (), must_retake=critical, grace_days=grace)
    return replace(edition(number, effective), program=replace(PROGRAM, modules={"safety": module}))


def test_a_critical_edition_ends_earlier_ones_on_its_day_plus_its_grace() -> None:
    """Of several the one whose grace ends first; wording alone ends nothing, nor does what was done already."""
    first = with_module(1, date(2026, 8, 1), 1)
    slow = with_module(2, date(2026, 10, 1), 2, critical=True, grace=30)
    quick = with_module(3, date(2026, 10, 10), 3, critical=True, grace=7)
    wording = with_module(4, date(2026, 10, 12), 4)
    every = (first, slow, quick, wording)
    assert [(one.edition, one.by) for one in retakings("safety", 1, every)] == [
        (2, date(2026, 10, 31)),
        (3, date(2026, 10, 17)),
    ]
    assert retake_end("safety", 1, every) == date(2026, 10, 17)
    assert retake_end("safety", 3, every) is None
    assert retake_end("another", 1, every) is None


def test_a_modules_edition_is_that_of_the_day_and_before_any_the_earliest() -> None:
    """And 0 where no edition of the program has the module."""
    every = (with_module(1, date(2026, 8, 1), 1), with_module(2, date(2026, 10, 1), 2))
    assert module_edition_on("safety", date(2026, 7, 1), every) == 1
    assert module_edition_on("safety", date(2026, 9, 30), every) == 1
    assert module_edition_on("safety", date(2026, 10, 1), every) == 2
    assert module_edition_on("another", TODAY, every) == 0


def test_an_edition_is_known_from_the_moment_it_is_published_and_the_first_from_the_beginning() -> None:
    """So that a moved-in history can be asked about."""
    moment = datetime(2026, 10, 1, 12, tzinfo=UTC)
    before = datetime(2026, 10, 1, 11, 59, tzinfo=UTC)
    assert edition(1, TODAY, moment).known(before)
    assert not edition(2, TODAY, moment).known(before)
    assert edition(2, TODAY, moment).known(moment)


def test_the_hash_is_of_the_canonical_json_of_the_files() -> None:
    """Written out by hand as RFC 8785 says: keys sorted, no blanks, UTF-8 as it is."""
    files = {"program/program.toml": 'name = "é"\n', "modules/a.md": "x"}
    by_hand = '{"modules/a.md":"x","program/program.toml":"name = \\"é\\"\\n"}'
    assert content_hash(files) == hashlib.sha256(by_hand.encode()).hexdigest()
    assert content_hash(dict(reversed(files.items()))) == content_hash(files)
    assert content_hash({**files, "modules/a.md": "y"}) != content_hash(files)


@pytest.mark.parametrize(
    ("effective", "latest", "refusals"),
    [
        (date(1999, 1, 1), None, 0),
        (date(2030, 1, 1), None, 0),
        (date(2026, 10, 15), "other", 1),
        (date(2026, 10, 16), "other", 0),
        (date(2026, 10, 17), "other", 0),
        (date(2026, 10, 17), "same", 1),
        (date(2026, 10, 15), "same", 2),
    ],
)
def test_what_may_be_published(effective: date, latest: str | None, refusals: int) -> None:
    """The first on any day, a later one not before today, and never the same again."""
    assert len(publishing_refusals("same", effective, TODAY, latest, 1)) == refusals


def test_what_changed_between_two_sets_of_files() -> None:
    """By path, in order."""
    before, after = {"a": "1", "b": "2", "c": "3"}, {"a": "1", "b": "4", "d": "5"}
    assert file_changes(before, after) == FileChanges(added=("d",), changed=("b",), removed=("c",))
    assert not file_changes(before, dict(before))
