"""The keys that sign credentials, as files."""

from __future__ import annotations

import json
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mentor_training.certificates.credential import public_of
from mentor_training.database import signing_keys
from mentor_training.database.making import make_keys
from mentor_training.database.signing_keys import key_in_use, make_first_key, rotate
from mentor_training.errors import Refused

LATER = datetime(2027, 1, 4, 15, 0, tzinfo=UTC)


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    make_keys(tmp_path)
    return tmp_path / "keys"


def test_a_new_instance_has_one_key_that_only_its_owner_can_read(keys: Path) -> None:
    """Its secret belongs to its public key; asked again, no second one is made."""
    key = key_in_use(keys)
    assert public_of(key.secret) == key.public
    assert (key.since, key.until, key.first_moment) == ("", "", None)
    assert stat.S_IMODE((keys / "signing-0001.json").stat().st_mode) == 0o600
    assert stat.S_IMODE(keys.stat().st_mode) == 0o700
    assert make_first_key(keys) is None


def test_after_a_rotation_the_old_key_stays_and_cannot_sign(keys: Path) -> None:
    """No file holds its secret any more, and nothing unfinished is left behind."""
    old = key_in_use(keys)
    new = rotate(keys, LATER)
    assert key_in_use(keys) == new
    assert new.first_moment == LATER
    kept, last = signing_keys.signing_keys(keys)
    assert (kept.public, kept.secret, kept.until, last) == (old.public, "", "2027-01-04T15:00:00+00:00", new)
    assert sorted(path.name for path in keys.iterdir()) == ["secret-key", "signing-0001.json", "signing-0002.json"]
    assert all(old.secret not in path.read_text() for path in keys.iterdir())
    assert all(stat.S_IMODE(path.stat().st_mode) == 0o600 for path in keys.iterdir())


def test_a_rotation_that_broke_off_is_ended_by_the_next(keys: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed after the new key was made, before the old secret was taken out: the new one signs."""
    with monkeypatch.context() as killed:
        killed.setattr(signing_keys, "_put", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            rotate(keys, LATER)
    first, second = signing_keys.signing_keys(keys)
    assert first.secret
    assert key_in_use(keys) == second
    rotate(keys, LATER)
    assert [bool(key.secret) for key in signing_keys.signing_keys(keys)] == [False, False, True]


def test_two_rotations_at_once_make_one_key(keys: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second, which looked before the first had written, is refused and leaves nothing."""
    before = signing_keys._files(keys)
    new = rotate(keys, LATER)
    monkeypatch.setattr(signing_keys, "_files", lambda _: before)
    with pytest.raises(Refused, match="at this moment"):
        rotate(keys, LATER)
    monkeypatch.undo()
    assert key_in_use(keys) == new
    assert len(list(keys.iterdir())) == 3


def test_without_a_key_it_is_said_how_to_come_by_one(tmp_path: Path) -> None:
    """And a file that is no key is named."""
    with pytest.raises(Refused, match="rotate-key"):
        key_in_use(tmp_path)
    (tmp_path / "signing-0001.json").write_text(json.dumps({"private": 1}))
    with pytest.raises(Refused, match=r"signing-0001\.json cannot be read"):
        key_in_use(tmp_path)
