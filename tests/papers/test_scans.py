"""Scans kept, shared, looked at and deleted, on a real database and a real folder."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import select

from mentor_training.cli import main
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.queries import entries, find_break
from mentor_training.papers.actions.scans import MOST_KEPT, add_scan, look, share_scan
from mentor_training.papers.commands import papers
from mentor_training.papers.scans.folder import ScanFolder
from mentor_training.papers.tables import Scan, ScanDeletion
from mentor_training.serving import sweep_scans
from tests.builders import World
from tests.papers.desk import PLAIN, ZONE, actor, check, entry, folder, lay_out, put, swept, turn_down


@pytest.fixture
def desk(world: World) -> World:
    """Give the desk with the days as they usually are."""
    return lay_out(world)


def journal(world: World, kind: str) -> list[dict[str, object]]:
    with world.reading() as db:
        assert find_break(db) is None
        return [json.loads(one.record) for one in entries(db, kind=kind)]


def test_a_scan_is_on_the_disk_sealed_and_its_row_says_what_it_is_known_by(desk: World) -> None:
    """Hash, size, kind, who and when; the journal has the hash and no name of a file."""
    number = put(desk)
    with desk.reading() as db:
        row = db.scalars(select(Scan)).one()
    assert (row.person, row.sha256, row.size, row.kind, row.put_by) == (
        "v-001", PLAIN.sha256, len(PLAIN.data), "image/jpeg", "v-001",
    )  # fmt: skip
    assert folder(desk).names() == {row.name}
    assert folder(desk).read(row.name) == PLAIN.data
    assert journal(desk, "scan-put") == [
        {"entry": number, "scan": row.number, "sha256": PLAIN.sha256, "kind": "image/jpeg", "size": len(PLAIN.data)}
    ]


@pytest.mark.parametrize("decide", [check, turn_down])
def test_a_scan_goes_when_its_paper_is_decided_on(desk: World, decide: object) -> None:
    """At once where the program keeps it no longer; hash, day and reason stay, in its row and in the journal."""
    number = put(desk)
    assert swept(desk).deleted == ()
    assert callable(decide)
    decide(desk, number)
    assert [one.because for one in swept(desk).deleted] == ["decided"]
    assert folder(desk).names() == frozenset()
    shown = entry(desk, number).scan
    assert shown is not None
    assert (shown.deleted_at, shown.because) == (desk.clock.now(), "decided")
    assert journal(desk, "scan-deleted") == [{"scan": 1, "sha256": PLAIN.sha256, "because": "decided"}]
    assert swept(desk).deleted == ()


def test_the_program_may_keep_it_some_days_longer(world: World) -> None:
    """Two days after the decision: there on the next day, gone on the second."""
    desk = lay_out(world, kept_days=2)
    check(desk, put(desk))
    desk.clock.forward(hours=24)
    assert swept(desk).deleted == ()
    desk.clock.forward(hours=24)
    assert len(swept(desk).deleted) == 1


def test_what_nobody_decides_on_goes_in_time_and_the_paper_waits_on(desk: World) -> None:
    """After thirty days; the volunteer reads it, and may send another."""
    number = put(desk)
    desk.clock.forward(hours=29 * 24)
    assert swept(desk).deleted == ()
    desk.clock.forward(hours=24)
    assert [one.because for one in swept(desk).deleted] == ["unverified"]
    shown = entry(desk, number)
    assert (shown.state, shown.scan.because if shown.scan else "") == ("waiting", "unverified")
    with desk.writing() as db:
        add_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), number, folder(desk), PLAIN)
    assert len(folder(desk).names()) == 1


def test_one_picture_shows_two_papers_and_stays_until_both_are_decided_on(desk: World) -> None:
    """Two cards on one scan, each with its own dates."""
    first, second = put(desk), put(desk, "first-aid-card", scan=False)
    with desk.writing() as db:
        share_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), second, 1)
    check(desk, first)
    assert swept(desk).deleted == ()
    assert entry(desk, second).scan is not None
    check(desk, second, hands_on=None)
    assert len(swept(desk).deleted) == 1


def test_a_new_picture_takes_the_place_of_the_old_one(desk: World) -> None:
    """What no paper shows any more is of no use to anybody."""
    number = put(desk)
    with desk.writing() as db:
        add_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), number, folder(desk), PLAIN)
    assert [one.because for one in swept(desk).deleted] == ["unused"]
    assert len(folder(desk).names()) == 1


def test_what_may_not_be_sent_is_refused_and_no_file_is_left(desk: World) -> None:
    """A paper of which no picture is taken in, somebody else's, one decided on, and more than a dozen."""
    background, decided = put(desk, "background-check", scan=False), put(desk, scan=False)
    check(desk, decided)
    for number, by, refusal, says in (
        (background, "v-001", Refused, "only its outcome and its dates are kept"),
        (decided, "v-001", Refused, "decided on already"),
        (put(desk, "first-aid-card", scan=False), "v-002", NotAllowed, "somebody else"),
        (99, "v-001", NotFound, "99"),
    ):
        with pytest.raises(refusal, match=says), desk.writing() as db:
            add_scan(db, desk.clock.now(), ZONE, actor(desk, by), number, folder(desk), PLAIN)
    assert folder(desk).names() == frozenset()
    last = put(desk, "photo-choice", scan=False)
    with desk.writing() as db:
        for _ in range(MOST_KEPT):
            add_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), last, folder(desk), PLAIN)
    with pytest.raises(Refused, match="12 scans wait already"), desk.writing() as db:
        add_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), last, folder(desk), PLAIN)


def test_nobody_shares_a_scan_of_somebody_else(desk: World) -> None:
    """Nor one that is gone."""
    put(desk)
    other, own = put(desk, person="v-002", scan=False), put(desk, "first-aid-card", scan=False)
    with pytest.raises(NotAllowed), desk.writing() as db:
        share_scan(db, desk.clock.now(), ZONE, actor(desk, "v-002"), other, 1)
    turn_down(desk, 1)
    swept(desk)
    with pytest.raises(NotFound), desk.writing() as db:
        share_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), own, 1)


def test_each_look_of_the_coordinator_is_journaled_and_nobody_else_looks(desk: World) -> None:
    """The door is in the act too, not only on the page."""
    put(desk)
    with desk.writing() as db:
        look(db, desk.clock.now(), actor(desk, "c-01"), 1)
    assert journal(desk, "looked") == [{"at": "scan", "scan": 1}]
    for code in ("v-001", "v-002", "o-01"):
        with pytest.raises(NotAllowed), desk.writing() as db:
            look(db, desk.clock.now(), actor(desk, code), 1)


def test_the_file_of_an_upload_that_failed_is_swept_and_no_other(desk: World) -> None:
    """It was written before its row, which never came; the journal says how many, for there is nothing else to say."""
    put(desk)
    kept = folder(desk).names()
    with desk.instance.database.open_writer() as db:
        add_scan(db, desk.clock.now(), ZONE, actor(desk, "v-001"), 1, folder(desk), PLAIN)
        db.rollback()
    assert len(folder(desk).names()) == 2
    assert swept(desk).strays == 1
    assert folder(desk).names() == kept
    assert journal(desk, "scans-swept") == [{"strays": 1}]


def test_broken_off_between_the_file_and_its_row_the_next_sweep_ends_it(desk: World) -> None:
    """The file is gone, the row is not written: it is due still, and written down then."""
    check(desk, put(desk))
    folder(desk).delete(next(iter(folder(desk).names())))
    assert [one.because for one in swept(desk).deleted] == ["decided"]
    assert len(journal(desk, "scan-deleted")) == 1


def test_what_cannot_be_deleted_is_said_and_tried_again(desk: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is written down as gone that is not."""
    check(desk, put(desk))

    def stuck(_folder: ScanFolder, _name: str) -> None:
        raise PermissionError("read-only")

    with monkeypatch.context() as patched:
        patched.setattr(ScanFolder, "delete", stuck)
        assert swept(desk).failed == ("scan 1",)
        done = CliRunner().invoke(papers, ["sweep"], obj=desk.instance)
        assert (done.exit_code, "scan 1 could not be deleted" in done.output) == (1, True)
    with desk.reading() as db:
        assert db.scalars(select(ScanDeletion)).all() == []
    assert len(swept(desk).deleted) == 1


def test_the_command_and_the_start_of_the_server_sweep(desk: World) -> None:
    """What a process that died left behind does not wait for the next verification."""
    check(desk, put(desk))
    done = CliRunner().invoke(papers, ["sweep"], obj=desk.instance)
    assert (done.exit_code, done.output.splitlines()) == (
        0, ["scan 1 deleted: decided", "1 deleted; 0 files of failed uploads taken away"],
    )  # fmt: skip
    check(desk, put(desk, person="v-002"))
    sweep_scans(desk.instance)
    assert folder(desk).names() == frozenset()


def test_a_backup_holds_no_scan_and_a_restored_instance_goes_on(desk: World, tmp_path: Path) -> None:
    """On purpose: a backup would keep what is to be deleted. The paper waits on, its picture is not there."""
    put(desk)
    where = str(desk.instance.settings.folder)
    made = CliRunner().invoke(main, ["--instance", where, "backup", str(tmp_path / "b.tar.gz")])
    assert "left out on purpose: pictures of papers" in made.output
    restored = CliRunner().invoke(main, ["restore", str(tmp_path / "b.tar.gz"), str(tmp_path / "new")])
    assert restored.exit_code == 0
    assert not (tmp_path / "new" / "scans").exists()
    again = CliRunner().invoke(main, ["--instance", str(tmp_path / "new"), "papers", "sweep"])
    assert again.output.splitlines() == [
        "scan 1 deleted: unverified",
        "1 deleted; 0 files of failed uploads taken away",
    ]


def test_a_question_about_an_earlier_moment_shows_the_scan_as_it_was(desk: World) -> None:
    """Deleted since, it is shown as kept then."""
    number = put(desk)
    desk.clock.forward(hours=1)
    check(desk, number)
    swept(desk)
    shown = entry(desk, number).scan
    assert shown is not None
    assert not shown.is_kept
    desk.clock.moment -= timedelta(hours=1)
    shown = entry(desk, number).scan
    assert shown is not None
    assert shown.is_kept
