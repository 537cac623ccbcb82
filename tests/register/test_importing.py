"""Taking a register in, on a real database: everything or nothing, once, and journaled."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime, timedelta

import pytest

from mentor_training.errors import Refused
from mentor_training.evidence import actions
from mentor_training.evidence.actions import move_in, record
from mentor_training.evidence.queries import every_fact, facts_of
from mentor_training.hours.actions import enter_training_for
from mentor_training.journal.queries import entries, find_break, is_moving_in
from mentor_training.people.permissions import CONSOLE
from mentor_training.program.queries import require_edition
from mentor_training.register.actions import import_register
from mentor_training.register.actions import take_in as store
from mentor_training.register.queries import known_names, look_at
from tests.builders import FRIDAY, NOON, World, make_world
from tests.register.files import BINDER, cells_of, rows, settle, take_in, written_out
from tests.small_program import small_files

NEW = "n-1,v-003,on-file,paper/background-check,2026-10-01,,,,,"


@pytest.fixture
def empty(world: World) -> World:
    """Give a settled instance with an empty register."""
    return settle(world)


def journal(world: World) -> list[tuple[str, str, str]]:
    with world.reading() as db:
        assert find_break(db) is None
        return [(one.kind, one.who, one.subject) for one in reversed(entries(db)) if one.kind != "person"]


def test_a_binder_moves_in_as_it_is(empty: World) -> None:
    """Every cell comes out as it went in, but for the moments, which are written in UTC; the order is the file's."""
    intake = take_in(empty, BINDER)
    assert (len(intake.new), intake.there, intake.problems, intake.is_move_in) == (15, 0, (), True)
    into, out = cells_of(BINDER), cells_of(written_out(empty))
    for one in (*into, *out):
        moment = datetime.fromisoformat(one.pop("recorded_at"))
        one["moment"] = moment.astimezone(UTC).isoformat()
    assert out == into


def test_a_move_in_is_one_entry_of_the_journal(empty: World) -> None:
    """It says how many records, from when to when, about how many people, and the SHA-256 of the file as it was."""
    take_in(empty, BINDER)
    assert journal(empty) == [("register-moved-in", "console", "register")]
    with empty.reading() as db:
        (entry,) = entries(db, kind="register-moved-in")
    assert json.loads(entry.record) == {
        "records": 15,
        "people": 2,
        "file": "sha256:" + hashlib.sha256(BINDER.encode()).hexdigest(),
        "first_recorded_at": "2026-01-05T14:00:00+00:00",
        "last_recorded_at": "2026-05-03T08:00:00+00:00",
        "from_start": True,
    }


def test_after_a_move_in_the_instance_is_no_longer_moving_in(empty: World) -> None:
    """What is imported afterwards, such as a participant, no longer counts as known from the beginning."""
    with empty.reading() as db:
        assert is_moving_in(db)
    take_in(empty, BINDER)
    with empty.reading() as db:
        assert not is_moving_in(db)


def test_a_file_of_no_rows_moves_nothing_in(empty: World) -> None:
    """It is no move-in: the register stays empty, and so does the journal."""
    assert take_in(empty, rows()).problems == ()
    assert journal(empty) == []
    assert take_in(empty, BINDER).is_move_in


def test_a_moved_in_record_counts_as_known_since_it_was_recorded_elsewhere(empty: World) -> None:
    """Asked about a moment in the spring, what was recorded by then is known, and nothing later."""
    take_in(empty, BINDER)
    with empty.reading() as db:
        known = [fact.code for fact in facts_of(db, "v-001", datetime(2026, 2, 7, 16, 0, tzinfo=UTC))]
    assert known == ["b-01", "b-02", "b-03", "b-04"]


@pytest.mark.parametrize(
    "wrong", ["x-1,v-001,met,skill/guarding,2026-02-30,,,,,", "x-1,v-002,voided,,2026-02-28,,,,b-01,"]
)
def test_one_wrong_row_takes_nothing_in(empty: World, wrong: str) -> None:
    """Neither rows nor an entry of the journal."""
    intake = take_in(empty, BINDER + wrong + "\r\n")
    assert [one.row for one in intake.problems] == [17]
    assert (intake.new, written_out(empty), journal(empty)) == ((), rows(), [])


def test_a_second_import_of_the_same_file_changes_nothing(empty: World) -> None:
    """Neither of what was moved in, nor of its export, nor of rows without names or moments of their own."""
    nameless = rows("," + NEW.partition(",")[2], ",v-003,hours,direct,2026-10-01,,,,,60", NEW)
    for text in (BINDER, nameless):
        take_in(empty, text)
        before, told = written_out(empty), journal(empty)
        empty.clock.forward(days=1)
        for again in (text, before):
            intake = take_in(empty, again, "c-01")
            assert (intake.new, intake.problems) == ((), ())
        assert (written_out(empty), journal(empty)) == (before, told)


def test_a_later_row_is_recorded_now_by_whoever_brings_it_with_an_entry_of_its_own(empty: World) -> None:
    """The rest of the file may be there already."""
    take_in(empty, BINDER)
    empty.clock.forward(hours=3)
    intake = take_in(empty, BINDER + NEW + "\r\n", "c-01")
    assert (len(intake.new), intake.there, intake.is_move_in) == (1, 15, False)
    with empty.reading() as db:
        fact = list(every_fact(db))[-1]
    assert (fact.code, fact.recorded_at, fact.recorded_by) == ("n-1", NOON + timedelta(hours=3), "c-01")
    assert journal(empty)[1:] == [("on-file", "c-01", "v-003")]


def test_who_recorded_a_later_row_is_kept_and_the_journal_says_who_brought_it(empty: World) -> None:
    """An observer's slip, entered by the coordinator: both stay known."""
    take_in(empty, BINDER)
    take_in(empty, rows("n-1,v-003,met,skill/guarding,2026-10-10,,,o-01,,stood close"), "c-01")
    with empty.reading() as db:
        fact, entry = list(every_fact(db))[-1], entries(db)[0]
    told = json.loads(entry.record)
    assert (fact.recorded_by, entry.who, told["recorded_by"], told["record"]) == ("o-01", "c-01", "o-01", "n-1")
    assert told["note"] == "sha256:" + hashlib.sha256(b"stood close").hexdigest()


def test_later_rows_are_journaled_just_as_if_they_had_been_recorded_one_by_one(empty: World) -> None:
    """Same kinds, same subjects, same records; a correction comes after what it is about."""
    take_in(empty, BINDER)
    take_in(empty, rows(",v-003,hours,direct,2026-10-01,,,,,60", "x,v-003,voided,,2026-10-02,,,,n-1,no", NEW))
    with empty.reading() as db:
        brought = [(one.kind, one.who, one.subject, one.record) for one in entries(db)[:3]]
    apart = settle(make_world(empty.instance.settings.folder.parent / "apart"))
    apart.publish()
    take_in(apart, BINDER)
    with apart.writing() as db:
        person = (db, NOON, "console", "v-003")
        record(*person, "hours", "direct", date(2026, 10, 1), note="60")
        record(*person, "on-file", "paper/background-check", date(2026, 10, 1))
        record(*person, "voided", "", date(2026, 10, 2), refers_to="r-0017", note="no")
    with apart.reading() as db:
        by_hand = [(one.kind, one.who, one.subject, one.record) for one in entries(db)[:3]]
    apart.instance.database.close()
    names = {"r-0017": "n-1", "r-0018": "x"}
    for name, given in names.items():
        by_hand = [(kind, who, subject, text.replace(name, given)) for kind, who, subject, text in by_hand]
    assert brought == by_hand


def test_a_past_moment_is_refused_once_there_are_records(empty: World) -> None:
    """Nobody writes themselves a history afterwards."""
    take_in(empty, BINDER)
    intake = take_in(empty, rows("n-1,v-003,on-file,paper/background-check,2026-10-01,,2026-10-01T12:00:00Z,c-01,,"))
    assert [(one.row, one.column) for one in intake.problems] == [(2, "recorded_at")]
    assert "only into an empty register" in intake.problems[0].what


def test_the_store_itself_refuses_a_second_move_in_and_a_record_that_cannot_be_read(empty: World) -> None:
    """Whoever calls it, and whatever they checked before."""
    with empty.reading() as db:
        intake = look_at(db, NOON, BINDER)
        wrong = look_at(db, NOON, rows("x"))
    take_in(empty, BINDER)
    with pytest.raises(Refused, match="before the first one"), empty.writing() as db:
        move_in(db, NOON, "console", (), {}, lambda _: None)
    with pytest.raises(Refused, match="before the first one"), empty.writing() as db:
        store(db, NOON, CONSOLE, intake, "0" * 64, lambda _: None)
    with pytest.raises(Refused, match="it has 1 cells, the header 10"), empty.writing() as db:
        store(db, NOON, CONSOLE, wrong, "0" * 64, lambda _: None)


def test_records_made_after_a_move_in_get_names_that_nobody_has(empty: World) -> None:
    """Whatever the file called its own: here the name that the next number would have had."""
    lines = [f"r-{number:04d},v-001,attended,s-{number},2026-02-14,,,,," for number in (5, 2, 3, 4)]
    take_in(empty, rows(*lines, ",v-001,attended,s-9,2026-02-14,,,,,"))
    for _ in range(3):
        empty.hold("v-001", "module/safety")
    names = [one["record"] for one in cells_of(written_out(empty))]
    assert names == ["r-0005", "r-0002", "r-0003", "r-0004", "r-0009", "r-0010", "r-0011", "r-0012"]


def test_nothing_comes_in_before_an_edition_is_published(tmp_path_factory: pytest.TempPathFactory) -> None:
    """There would be nothing to check the items against, and a record never changes."""
    world = settle(make_world(tmp_path_factory.mktemp("unpublished") / "instance"))
    intake = take_in(world, BINDER)
    assert len(intake.problems) == 1
    assert "row 1: no edition of the program is published yet; publish the program first" in str(intake.problems[0])
    world.instance.database.close()


def test_an_item_of_an_earlier_edition_may_still_be_named(empty: World) -> None:
    """A history knows stations and skills that the program has given up since."""
    old = 'slug = "arrival-desk"\ntitle = "Arrival desk"\nkind = "duty"\nactivities = ["arrival"]'
    assert old in small_files()["program/stations.toml"]
    stations = small_files()["program/stations.toml"].replace(old, old.replace("arrival", "welcome"))
    empty.publish(small_files(program__stations_toml=stations), FRIDAY, number=2)
    with empty.reading() as db:
        known = known_names(db, NOON)
    assert known is not None
    scopes = {"", "balance-lane", "target-games", "arrival-desk", "welcome-desk"}
    tags = {"standing", "stepping", "throwing", "arrival", "welcome"}
    assert known.items["stood-down"] == scopes | {f"activity/{tag}" for tag in tags}


def test_any_category_of_hours_that_the_program_knows_may_be_brought(empty: World) -> None:
    """Those that every program has, whether or not a course or a rung asks for them."""
    with empty.reading() as db:
        known = known_names(db, NOON)
    assert known is not None
    assert known.items["hours"] == {"training", "orientation", "direct", "preparation"}


def test_a_module_that_was_completed_elsewhere_brings_no_hours_here(empty: World) -> None:
    """The hours of a move-in come with it, as rows of their own; only what is completed here enters training anew."""
    take_in(empty, BINDER)
    take_in(empty, rows("n-1,v-003,completed,module/safety@1,2026-10-10,,,v-003,,"), "c-01")
    with empty.writing() as db:
        program = require_edition(db, FRIDAY, NOON).program
        assert [enter_training_for(db, NOON, code, program) for code in ("v-001", "v-003")] == [[], []]
        record(db, NOON, "v-003", "v-003", "completed", "module/safety@1", FRIDAY)
        assert [row.minutes for row in enter_training_for(db, NOON, "v-003", program)] == [20]


def test_looking_at_a_file_stores_nothing(empty: World) -> None:
    """It says what would be new, and is asked through a session that only reads."""
    with empty.reading() as db:
        intake = look_at(db, NOON, BINDER)
    assert (len(intake.new), intake.people, intake.problems) == (15, 2, ())
    assert written_out(empty) == rows()


def test_how_far_an_import_is_is_told_in_rows_stored(empty: World) -> None:
    """For the bar on a terminal; the sum is the number of new rows."""
    told: list[int] = []
    with empty.writing() as db:
        import_register(db, NOON, CONSOLE, BINDER, told.append)
    assert sum(told) == 15


def test_an_import_that_breaks_off_in_the_middle_leaves_nothing(empty: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither of a move-in nor of later rows: the pieces are stored by one transaction."""
    monkeypatch.setattr(actions, "AT_ONCE", 4)

    def break_off(_stored: int) -> None:
        raise InterruptedError

    for text in (BINDER, rows(*(f",v-001,attended,s-{number},2026-02-14,,,,," for number in range(9)))):
        before, told = written_out(empty), journal(empty)
        with pytest.raises(InterruptedError), empty.writing() as db:
            import_register(db, NOON, CONSOLE, text, break_off)
        assert (written_out(empty), journal(empty)) == (before, told)
        assert take_in(empty, text).problems == ()
        assert len(written_out(empty)) > len(before)
