"""What rows are beside the records there are: new, there already, or wrong; and how new ones are named and ordered."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.evidence.facts import Fact
from mentor_training.evidence.numbering import name_of, number_after
from mentor_training.register.form import Reading, Row, read_register
from mentor_training.register.rules import Intake, numbered, referred_first, sort_out
from tests.builders import FRIDAY, NOON
from tests.register.files import rows
from tests.register.test_form import KNOWN

STORED = Fact("b-1", "v-001", "on-file", "paper/photo-choice", FRIDAY, None, NOON, "c-01", None, "seen")
SAME = "b-1,v-001,on-file,paper/photo-choice,2026-10-16,,,,,seen"


def read(*lines: str) -> Reading:
    reading = read_register(rows(*lines), KNOWN, NOON)
    assert reading.problems == []
    return reading


def beside(*lines: str, stored: tuple[Fact, ...] = (STORED,)) -> Intake:
    """Sort rows out beside a register that holds these records."""
    return sort_out(read(*lines), {fact.code: fact for fact in stored}, stored, is_empty=False)


def told(intake: Intake) -> list[tuple[int, str, str]]:
    return [(one.row, one.column, one.what) for one in intake.problems]


def test_a_row_that_says_what_its_record_says_is_there_already() -> None:
    """Whether or not it says when and by whom it was recorded; what it does say about that must be so."""
    stamped = "b-1,v-001,on-file,paper/photo-choice,2026-10-16,,2026-10-16T12:00:00-04:00,c-01,,seen"
    for line in (SAME, stamped):
        assert beside(line) == Intake((), 1, (), False)


@pytest.mark.parametrize(
    ("line", "differing"),
    [
        ("b-1,v-002,on-file,paper/photo-choice,2026-10-16,,,,,seen", "person"),
        ("b-1,v-001,waived,paper/photo-choice,2026-10-16,,,,,seen", "kind"),
        ("b-1,v-001,on-file,paper/background-check,2026-10-16,,,,,seen", "item"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-15,,,,,seen", "first_day"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-16,2026-10-16,,,,seen", "last_day"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-16,,2026-10-16T15:59:00Z,c-01,,seen", "recorded_at"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-16,,,o-01,,seen", "recorded_by"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-16,,,,, seen", "note"),
        ("b-1,v-001,on-file,paper/photo-choice,2026-10-15,,,,,", "first_day, note"),
    ],
)
def test_a_name_that_says_something_else_is_told_with_what_differs(line: str, differing: str) -> None:
    """A record never changes, not even by a blank."""
    what = f"record b-1 is there already and says something else ({differing})"
    assert told(beside(line)) == [(2, "record", what)]


def test_a_past_moment_is_taken_only_into_an_empty_register() -> None:
    """The finding says so and what to do; a row that is there already may have one."""
    line = "b-2,v-001,met,skill/guarding,2026-10-15,,2026-10-15T12:00:00Z,o-01,,"
    assert len(sort_out(read(line), {}, (), is_empty=True).new) == 1
    intake = beside(SAME, line)
    assert (intake.new, [(row, column) for row, column, _ in told(intake)]) == ((), [(3, "recorded_at")])
    assert "only into an empty register" in str(intake.problems[0])
    assert "leave it empty" in str(intake.problems[0])


def test_a_row_without_a_name_stands_for_one_record_that_says_the_same() -> None:
    """So a second import of the same file changes nothing; the same said twice is one record more."""
    nameless = SAME.replace("b-1", "", 1)
    assert beside(nameless) == Intake((), 1, (), False)
    twice = beside(nameless, nameless)
    assert ([row.number for row in twice.new], twice.there) == ([3], 1)
    # A record that another row of the file names is that row's.
    both = beside(nameless, SAME)
    assert ([row.number for row in both.new], both.there) == ([2], 1)


def test_a_correction_may_be_about_a_stored_record_or_about_a_later_row() -> None:
    """The order of the rows does not matter, only that the record is there."""
    later = "b-2,v-001,voided,,2026-10-16,,,,b-3,slip"
    intake = beside(later, "b-3,v-001,met,skill/guarding,2026-10-16,,,,,", "b-4,v-001,withdrawn,,2026-10-16,,,,b-1,")
    assert [row.record for row in intake.new] == ["b-2", "b-3", "b-4"]


@pytest.mark.parametrize(
    ("line", "column", "said"),
    [
        ("b-2,v-001,voided,,2026-10-16,,,,b-9,", "refers_to", "'b-9' names no record of this file or of the register"),
        ("b-2,v-002,voided,,2026-10-16,,,,b-1,", "refers_to", "record b-1 is about v-001, not about v-002"),
        (
            "b-2,v-001,lifted,,2026-10-16,,,,b-1,",
            "kind",
            "record b-1 is on-file; only what is stood-down or restricted",
        ),
        ("b-2,v-001,voided,paper/background-check,2026-10-16,,,,b-1,", "item", "not about 'paper/background-check'"),
        ("b-2,v-001,voided,,2026-10-16,,,,b-2,", "refers_to", "it is about itself"),
    ],
)
def test_a_correction_about_the_wrong_record_is_told(line: str, column: str, said: str) -> None:
    """Nothing of that name, somebody else's, of a kind that is not lifted, of another item, or itself."""
    found = told(beside(line))
    assert [(row, where) for row, where, _ in found] == [(2, column)]
    assert said in found[0][2]


def test_corrections_that_go_round_in_a_circle_are_told_row_by_row() -> None:
    """Each with the way round; one that only leads into the circle is not blamed."""
    circle = [f"c-{one},v-001,voided,,2026-10-16,,,,c-{one % 3 + 1}," for one in (1, 2, 3)]
    found = told(beside(*circle, "c-4,v-001,voided,,2026-10-16,,,,c-1,"))
    assert [(row, column) for row, column, _ in found] == [(2, "refers_to"), (3, "refers_to"), (4, "refers_to")]
    assert found[0][2] == "it is about itself, by way of c-2, c-3"


def test_a_reference_to_a_row_with_a_fault_of_its_own_is_no_second_finding() -> None:
    """The name is there; once its row is mended, so is the reference."""
    reading = read_register(
        rows("b-2,v-009,met,skill/guarding,2026-10-16,,,,,", "b-3,v-001,voided,,2026-10-16,,,,b-2,"), KNOWN, NOON
    )
    assert [(one.row, one.column) for one in sort_out(reading, {}, (), is_empty=True).problems] == [(2, "person")]


def test_findings_of_a_row_and_about_it_stand_together_in_the_order_of_the_file() -> None:
    """What it says wrongly, and whom it refers to wrongly."""
    reading = read_register(
        rows(
            "b-2,v-001,voided,,2026-10-16,,,,b-9,",
            "b-3,v-001,voided,,2026-10-66,,,,b-8,",
            "b-4,v-001,x,,2026-10-16,,,,,",
        ),
        KNOWN,
        NOON,
    )
    assert [(one.row, one.column) for one in sort_out(reading, {}, (), is_empty=True).problems] == [
        (2, "refers_to"), (3, "first_day"), (3, "refers_to"), (4, "kind"),
    ]  # fmt: skip


def row(name: str, refers_to: str = "") -> Row:
    kind = "voided" if refers_to else "attended"
    return Row(2, name, "v-001", kind, "s-1", FRIDAY, None, None, "", refers_to, "")


def test_a_row_without_a_name_is_called_by_its_number_and_never_by_a_name_that_is_taken() -> None:
    """Numbers follow the order of the file; the names of the program's own form pull them up."""
    lines = [row(""), row("r-0003"), row("b-1"), row("r-0001"), row("r-0009"), row("")]
    found = list(numbered(lines, 0, [line.record for line in lines], NOON, "c-01"))
    assert [(number, fact.code) for number, fact in found] == [
        (2, "r-0002"), (3, "r-0003"), (4, "b-1"), (5, "r-0001"), (9, "r-0009"), (10, "r-0010"),
    ]  # fmt: skip


NAMES = st.one_of(
    st.just(""),
    st.integers(1, 40).map(name_of),
    st.integers(1, 40).map("r-{}".format),
    st.integers(1, 9).map("b-{}".format),
)


@given(st.lists(NAMES, max_size=30), st.integers(0, 20))
def test_names_and_numbers_of_an_import_are_all_different_and_so_are_those_that_follow(
    names: list[str], last: int
) -> None:
    """Whatever the file calls its records: numbers grow, no name comes twice, and the next record's name is free."""
    given_names = list(dict.fromkeys(name for name in names if name))
    lines = [row(name) for name in given_names] + [row("") for name in names if not name]
    stored = {name_of(number) for number in range(1, last + 1)}
    new = [one for one in lines if one.record not in stored]
    found = list(numbered(new, last, given_names, NOON, "c-01"))
    numbers = [number for number, _ in found]
    assert numbers == sorted(set(numbers))
    taken = stored | {fact.code for _, fact in found}
    assert len(taken) == len(stored) + len(found)
    newest = numbers[-1] if numbers else last
    for _ in range(50):
        newest = number_after(newest)
        assert name_of(newest) not in taken


@given(st.permutations(range(12)), st.lists(st.integers(0, 11), min_size=12, max_size=12))
def test_a_record_comes_after_the_one_that_it_is_about(order: list[int], about: list[int]) -> None:
    """In whatever order the rows stand; all come, each once. A record is about one of a lower rank, or about none."""
    lines = {rank: row(f"n-{rank}", f"n-{of}" if of < rank else "") for rank, of in enumerate(about)}
    facts = list(numbered([lines[rank] for rank in order], 0, [], NOON, "c-01"))
    referred = {fact.refers_to for _, fact in facts if fact.refers_to}
    came = [fact for _, fact in referred_first(facts, referred)]
    place = {fact.code: number for number, fact in enumerate(came)}
    assert sorted(place) == sorted(fact.code for _, fact in facts)
    assert len(came) == len(facts)
    assert all(place[fact.refers_to] < place[fact.code] for fact in came if fact.refers_to)


def test_what_waits_for_nothing_keeps_its_order() -> None:
    """Only a correction of a later row moves."""
    facts = list(numbered([row("a"), row("x", "b"), row("b"), row("c"), row("y", "a")], 0, [], NOON, "c-01"))
    assert [fact.code for _, fact in referred_first(facts, {"a", "b"})] == ["a", "b", "x", "c", "y"]


def test_what_a_row_leaves_open_is_filled_in_when_it_is_stored() -> None:
    """No moment: now; nobody who recorded it: whoever brings it. What it says is kept."""
    earlier = NOON - timedelta(days=3)
    plain = row("a")
    stamped = Row(3, "b", "v-001", "attended", "s-1", FRIDAY, None, earlier, "binder", "", "note")
    facts = [fact for _, fact in numbered([plain, stamped], 0, [], NOON, "c-01")]
    assert [(fact.recorded_at, fact.recorded_by, fact.refers_to) for fact in facts] == [
        (NOON, "c-01", None), (earlier, "binder", None),
    ]  # fmt: skip


def test_what_would_come_in_is_counted_by_kind_and_by_person() -> None:
    """The most frequent kind first; moments from the first to the last."""
    early = "b-7,v-002,met,skill/guarding,2026-10-15,,2026-10-15T12:00:00Z,o-01,,"
    lines = ("b-8,v-001,attended,s-1,2026-10-16,,,,,", early, early.replace("b-7", "b-9"))
    intake = sort_out(read(*lines), {}, (), is_empty=True)
    assert (dict(intake.kinds), intake.people) == ({"met": 2, "attended": 1}, 2)
    assert next(iter(intake.kinds)) == "met"
    assert intake.recorded(NOON) == (NOON - timedelta(days=1, hours=4), NOON)
