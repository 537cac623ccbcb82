"""Where scans lie: sealed, under names nobody chose, for their owner's account only."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from mentor_training.errors import NotFound, Refused
from mentor_training.papers.scans.folder import NAME, ScanFolder

CARD = b"a card of Odalys Brannagh" * 40


def test_what_is_kept_can_be_read_again_and_only_by_its_own_name(tmp_path: Path) -> None:
    """Two scans with the same content lie under two names, and neither opens as the other."""
    folder = ScanFolder(tmp_path / "scans", "5" * 64)
    first, second = folder.keep(CARD), folder.keep(CARD)
    assert folder.read(first) == folder.read(second) == CARD
    assert folder.names() == {first, second}
    (folder.path / first).write_bytes((folder.path / second).read_bytes())
    with pytest.raises(Refused, match="cannot be opened"):
        folder.read(first)


def test_the_file_shows_nothing_and_is_its_owners(tmp_path: Path) -> None:
    """Sealed with the instance's secret key; folder 0700, files 0600."""
    folder = ScanFolder(tmp_path / "scans", "5" * 64)
    file = folder.path / folder.keep(CARD)
    assert NAME.fullmatch(file.name)
    assert b"Odalys" not in file.read_bytes()
    assert stat.S_IMODE(folder.path.stat().st_mode) == 0o700
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with pytest.raises(Refused, match="secret key was"):
        ScanFolder(folder.path, "6" * 64).read(file.name)
    with pytest.raises(Refused, match="secret key is missing"):
        ScanFolder(folder.path, "").read(file.name)


def test_a_file_changed_or_cut_short_is_refused(tmp_path: Path) -> None:
    """One changed byte is enough."""
    folder = ScanFolder(tmp_path / "scans", "5" * 64)
    name = folder.keep(CARD)
    sealed = (folder.path / name).read_bytes()
    for changed in (sealed[:-1] + bytes([sealed[-1] ^ 1]), sealed[:20], b""):
        (folder.path / name).write_bytes(changed)
        with pytest.raises(Refused, match="cannot be opened"):
            folder.read(name)


@pytest.mark.parametrize("name", ["../keys/secret-key", "/etc/passwd", "", ".", "A" * 32, "0" * 31, "0" * 32 + "\n"])
def test_a_name_that_no_scan_has_reaches_no_file(tmp_path: Path, name: str) -> None:
    """Neither to read nor to delete."""
    (tmp_path / "keys").mkdir()
    secret = tmp_path / "keys" / "secret-key"
    secret.write_text("5" * 64)
    folder = ScanFolder(tmp_path / "scans", "5" * 64)
    folder.keep(CARD)
    with pytest.raises(NotFound):
        folder.read(name)
    with pytest.raises(NotFound):
        folder.delete(name)
    assert secret.is_file()


def test_what_is_deleted_is_gone_and_may_be_deleted_again(tmp_path: Path) -> None:
    """A sweep that was broken off begins again; other files in the folder are nobody's scans."""
    folder = ScanFolder(tmp_path / "scans", "5" * 64)
    folder.delete("0" * 32)
    name = folder.keep(CARD)
    (folder.path / "notes.txt").write_text("not a scan")
    folder.delete(name)
    folder.delete(name)
    assert folder.names() == frozenset()
    assert (folder.path / "notes.txt").is_file()
    with pytest.raises(NotFound):
        folder.read(name)
