"""Written out, taken into an empty instance and written out again, a register is the same to the byte."""

from __future__ import annotations

import itertools
import re
import tempfile
import tracemalloc
from collections.abc import Iterator
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.clearance.commands.answers import clearance
from mentor_training.csv_form import write_rows
from mentor_training.evidence.facts import ABOUT_ANOTHER, HOURS, LIFTED, RESTRICTED, STOOD_DOWN
from mentor_training.register.form import COLUMNS
from mentor_training.register.queries import in_pieces
from tests.builders import World
from tests.register.files import BINDER, PEOPLE, copy_of, rows, settled, take_in, written_out

ITEMS = {
    "completed": ("module/safety", "module/safety@1", "module/safety@12"),
    "signed-off": ("skill/guarding", "skill/leading"),
    "met": ("skill/guarding", "skill/leading"),
    "on-file": ("paper/background-check", "paper/photo-choice"),
    "waived": ("paper/photo-choice", "module/safety", "skill/guarding"),
    "practiced": ("skill/guarding",),
    STOOD_DOWN: ("", "balance-lane", "activity/throwing"),
    RESTRICTED: ("", "arrival-desk", "activity/standing"),
    HOURS: ("direct", "training", "orientation", "preparation"),
    "attended": ("s-01", "spring.2026_3"),
    "read-card": ("card/p-01@1", "card/p-02@1"),
}
DAYS = st.dates(date(1900, 1, 1), date(2199, 12, 31))
ZONES = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
MOMENTS = st.datetimes(datetime(1901, 1, 2), datetime(2026, 10, 15), timezones=ZONES)  # noqa: DTZ001 - the zone is drawn
NOTES = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=30)
NAMES = st.one_of(
    st.integers(1, 60).map("r-{:04d}".format), st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_.@-]{0,12}", fullmatch=True)
).filter(lambda name: not re.fullmatch(r"r-\d{10,}", name))
Cells = tuple[str, ...]


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the instance that every example begins from: people, participants, cards, and an empty register."""
    return settled(tmp_path_factory.mktemp("settled") / "instance")


@pytest.fixture
def worlds(original: Path, tmp_path: Path) -> Iterator[Iterator[World]]:
    """Give as many fresh instances as are asked for, each with the same people, participants and cards."""
    made: list[World] = []

    def more() -> Iterator[World]:
        for number in itertools.count():
            made.append(copy_of(original, tmp_path / f"copy-{number}"))
            yield made[-1]

    yield more()
    for world in made:
        world.instance.database.close()


@st.composite
def registers(draw: st.DrawFn) -> list[Cells]:
    """Draw the rows of a register without a fault, in an order in which corrections may stand above their records."""
    names = draw(st.lists(st.one_of(st.just(""), NAMES), max_size=12, unique_by=lambda name: name or object()))
    made: list[Cells] = []
    for name in names:
        about = [one for one in made if one[0]]
        kind = draw(st.sampled_from((*ITEMS, *(ABOUT_ANOTHER if about else ()))))
        made.append(draw(corrections(name, kind, about) if kind in ABOUT_ANOTHER else evidence(name, kind)))
    return draw(st.permutations(made))


@st.composite
def evidence(draw: st.DrawFn, name: str, kind: str) -> Cells:
    """Draw a row that stands on its own."""
    note = str(draw(st.integers(-999, 99999))) if kind == HOURS else draw(NOTES)
    return (name, draw(st.sampled_from(PEOPLE)), kind, draw(st.sampled_from(ITEMS[kind])), *draw(stamps()), "", note)


@st.composite
def corrections(draw: st.DrawFn, name: str, kind: str, about: list[Cells]) -> Cells:
    """Draw a row about one of the rows there are; lifted only what is lifted."""
    of = draw(st.sampled_from(about))
    fits = kind != LIFTED or of[2] in (STOOD_DOWN, RESTRICTED)
    item = draw(st.sampled_from(("", of[3])))
    return (name, of[1], kind if fits else "voided", item, *draw(stamps()), of[0], draw(NOTES))


@st.composite
def stamps(draw: st.DrawFn) -> tuple[str, str, str, str]:
    """Draw the days that a row is about, in order, and when and by whom it was recorded, in any zone."""
    first, last = sorted((draw(DAYS), draw(DAYS)))
    by = draw(st.one_of(st.sampled_from(("binder", "o-01", "c-01")), st.text("abc,; \"'é", min_size=1).map(str.strip)))
    last_day = last.isoformat() if draw(st.booleans()) else ""
    return first.isoformat(), last_day, draw(MOMENTS).isoformat(), by[:80] or "x"


@given(made=registers())
@settings(max_examples=60, deadline=None)
def test_a_register_written_out_comes_back_to_the_byte(original: Path, made: list[Cells]) -> None:
    """Any kinds, notes of any characters, moments to the microsecond in any zone, corrections in any order."""
    text = write_rows(COLUMNS, made)
    with tempfile.TemporaryDirectory() as folder:
        first, second = copy_of(original, Path(folder) / "first"), copy_of(original, Path(folder) / "second")
        try:
            intake = take_in(first, text)
            assert (intake.problems, len(intake.new)) == ((), len(made))
            out = written_out(first)
            assert take_in(second, out).problems == ()
            assert written_out(second) == out
            assert take_in(second, text).problems == ()
            assert written_out(second) == out
        finally:
            first.instance.database.close()
            second.instance.database.close()


def answers(world: World, on: str, known_at: str) -> str:
    """Return the documented JSON of everybody's clearance at every station with every participant."""
    words = ["--every-participant", "--on", on, "--known-at", known_at, "--format", "json"]
    done = CliRunner().invoke(clearance, words, obj=world.instance)
    assert done.exit_code == 0, done.output
    return done.output


@pytest.mark.parametrize(
    ("on", "known_at"),
    [
        ("2026-10-16", "2026-10-16T16:00:00Z"), ("2026-03-05", "2026-10-16T16:00:00Z"),
        ("2026-03-15", "2026-03-09T00:00:00Z"), ("2027-02-06", "2026-02-07T16:00:00Z"),
    ],
)  # fmt: skip
def test_every_clearance_is_the_same_after_a_register_has_moved(
    worlds: Iterator[World], on: str, known_at: str
) -> None:
    """The same program, people, participants and cards: the same JSON on any day, as known at any moment."""
    old, new, without = itertools.islice(worlds, 3)
    take_in(old, BINDER)
    for person, items in {"v-001": ("skill/leading",), "v-002": ("paper/background-check", "card/p-02@1")}.items():
        old.hold(person, *items)
    take_in(new, written_out(old))
    assert answers(new, on, known_at) == answers(old, on, known_at)
    assert answers(without, on, known_at) != answers(old, on, known_at)


def test_what_was_recorded_here_comes_out_and_goes_in_like_what_was_moved_in(worlds: Iterator[World]) -> None:
    """Moved on a second time, from an instance that went on working after its own move-in."""
    old, new = itertools.islice(worlds, 2)
    take_in(old, BINDER)
    old.clock.forward(microseconds=7)
    old.hold("v-002", "paper/background-check", "card/p-02@1")
    take_in(old, rows("b-40,v-003,hours,direct,2026-10-01,,,,,60"), "c-01")
    new.clock.forward(days=1)
    out = written_out(old)
    assert "2026-10-16T16:00:00.000007Z" in out
    assert take_in(new, out).problems == ()
    assert written_out(new) == out


def test_the_file_is_csv_by_the_letter(worlds: Iterator[World]) -> None:
    """RFC 4180 section 2: every line ends with CR LF; only a cell with a comma, a quote or a line break is quoted."""
    world = next(worlds)
    take_in(world, BINDER)
    out = written_out(world)
    assert out.startswith(",".join(COLUMNS) + "\r\nb-01,v-001,on-file,")
    assert out.endswith(",It was her after all.\r\n")
    assert out.count('"') == 6
    assert '"She said: ""hold on"",\r\nand waited."\r\n' in out


def test_writing_out_holds_a_piece_in_memory_and_never_the_whole(worlds: Iterator[World]) -> None:
    """Three times the records take no more memory, once there are more than one piece."""
    small, large = itertools.islice(worlds, 2)
    peaks = []
    for world, many in ((small, 6_000), (large, 18_000)):
        line = ",v-001,attended,s-1,2026-01-05,,2026-01-05T10:00:00Z,binder,,a note of some length"
        take_in(world, rows(*(f"b-{number}{line}" for number in range(many))))
        tracemalloc.start()
        with world.reading() as db:
            length = sum(len(piece) for piece in in_pieces(db))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert length > many * len(line)
    assert peaks[1] < 1.3 * peaks[0]


def test_a_note_longer_than_the_librarys_own_limit_comes_back(worlds: Iterator[World]) -> None:
    """The standard library reads cells up to 131072 characters unless it is told otherwise."""
    first, second = itertools.islice(worlds, 2)
    note = "a long report, " * 20_000
    take_in(first, rows(f'b-1,v-001,met,skill/guarding,2026-01-05,,2026-01-05T10:00:00Z,o-01,,"{note}"'))
    out = written_out(first)
    assert take_in(second, out).problems == ()
    assert written_out(second) == out
