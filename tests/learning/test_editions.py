"""What a later edition of a module asks of whom, and what changed in its text."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.rules.completions import Completion
from mentor_training.learning.rules.editions import changes_since, retake, text_changes
from mentor_training.program.catalog import Caution, Module, Program, Section
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.requirements import ALWAYS

MOMENT = datetime(2026, 1, 1, tzinfo=UTC)
START = date(2026, 9, 1)


def module(
    edition: int, *sections: Section, must: bool = False, grace: int = 14, cautions: tuple[Caution, ...] = ()
) -> Module:
    text = Module("safety", "Safety", edition, 10, sections, cautions=cautions)
    return replace(text, must_retake=must, grace_days=grace)


def published(number: int, text: Module, days: int = 0) -> PublishedProgram:
    program = Program("P", ALWAYS, modules={"safety": text})
    return PublishedProgram(number, START + timedelta(days=days), MOMENT, str(number), program, number == 1)


def completed(edition: int, void: bool = False) -> Completion:
    return Completion("r-1", edition, START, None, None, void)


FIRST = published(1, module(1))


def test_a_critical_edition_is_to_be_retaken_within_its_days_of_grace() -> None:
    """From the day it takes effect, by that day and the grace days; after that the earlier edition does not count."""
    found = retake("safety", [completed(1)], [FIRST, published(2, module(2, must=True), 30)])
    assert found
    assert (found.done, found.edition, found.effective) == (1, 2, START + timedelta(days=30))
    assert found.by == START + timedelta(days=44)
    assert not found.is_over(found.by)
    assert found.is_over(found.by + timedelta(days=1))


def test_nothing_is_retaken_for_wording_by_who_never_did_it_or_by_who_has_done_it() -> None:
    """A void completion is none."""
    wording, critical = published(2, module(2), 30), published(2, module(2, must=True), 30)
    assert retake("safety", [completed(1)], [FIRST, wording]) is None
    assert retake("safety", [], [FIRST, critical]) is None
    assert retake("safety", [completed(1, void=True)], [FIRST, critical]) is None
    assert retake("safety", [completed(1), completed(2)], [FIRST, critical]) is None


def test_a_minor_edition_on_top_of_a_critical_one_does_not_excuse_from_it() -> None:
    """What is gone through is the newest critical edition."""
    editions = [FIRST, published(2, module(2, must=True), 30), published(3, module(3), 40)]
    found = retake("safety", [completed(1)], editions)
    assert found
    assert (found.edition, found.by) == (2, START + timedelta(days=44))


def test_what_was_withdrawn_before_it_counted_was_not_done() -> None:
    """Whoever did the newer edition and had it withdrawn from its first day still has the older one to retake."""
    critical = published(2, module(2, must=True), 30)
    withdrawn = replace(completed(2), last_day=START - timedelta(days=1))
    found = retake("safety", [completed(1), withdrawn], [FIRST, critical])
    assert found
    assert found.done == 1
    assert retake("safety", [withdrawn], [FIRST, critical]) is None


DRAWN = st.lists(st.tuples(st.booleans(), st.integers(0, 30), st.integers(1, 40)), max_size=5)


@given(DRAWN, st.integers(1, 7))
def test_the_first_grace_to_end_says_by_when_and_the_newest_edition_what(
    drawn: list[tuple[bool, int, int]], done: int
) -> None:
    """However many editions there are, of whatever kind."""
    editions, day = [FIRST], 0
    for number, (must, grace, later) in enumerate(drawn, 2):
        day += later
        editions.append(published(number, module(number, must=must, grace=grace), day))
    asking = [
        one for one in editions
        if one.program.modules["safety"].must_retake and one.program.modules["safety"].edition > done
    ]  # fmt: skip
    found = retake("safety", [completed(done)], editions)
    assert (found is None) == (not asking)
    if found:
        ends = [one.effective + timedelta(days=one.program.modules["safety"].grace_days) for one in asking]
        assert found.by == min(ends)
        assert found.edition == max(one.program.modules["safety"].edition for one in asking)


def test_what_changed_is_said_section_by_section_and_caution_by_caution() -> None:
    """White space alone is no change."""
    exits, heat = Section("exits", "Exits", "Find them."), Section("heat", "Heat", "Drink\nwater.")
    gone = Section("old", "Old", "Gone.")
    before = module(1, exits, heat, gone, cautions=(Caution("call", "Call."),))
    after = module(
        2, Section("exits", "Exits", "Find all of them."), Section("heat", "Heat", "Drink water."),
        Section("noise", "Noise", "Listen."), cautions=(Caution("call", "Call."), Caution("ask", "Ask.")),
    )  # fmt: skip
    found = text_changes(before, after)
    assert [one.slug for one in found.rewritten] == ["exits"]
    assert [one.slug for one in found.added] == ["noise"]
    assert [one.slug for one in found.dropped] == ["old"]
    assert [one.slug for one in found.cautions] == ["ask"]
    assert [found.about(slug) for slug in ("exits", "heat", "noise")] == ["changed", "", "new"]
    assert not text_changes(before, before)


def test_changes_are_told_from_the_edition_that_the_reader_completed() -> None:
    """As that edition last stood; of one that nobody has, nothing can be told."""
    texts = [module(number, Section("exits", "Exits", f"Text {number}.")) for number in (1, 2)]
    editions = [published(1, texts[0]), published(2, texts[1], 30)]
    found = changes_since(1, texts[1], editions)
    assert found
    assert (found.since, [one.slug for one in found.rewritten]) == (1, ["exits"])
    assert changes_since(2, texts[1], editions) is None
    assert changes_since(7, texts[1], editions) is None
