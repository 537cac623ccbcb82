"""Certificates on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mentor_training.certificates.commands import certificates
from mentor_training.errors import Refused
from tests.builders import World
from tests.certificates.holders import KIND, add_people


@pytest.fixture
def class_of(world: World) -> World:
    return add_people(world)


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(certificates, list(words), obj=world.instance)


def test_a_certificate_is_issued_verified_and_revoked(class_of: World, tmp_path: Path) -> None:
    """Number, verification address and path are printed; valid is status 0, revoked and unknown status 1."""
    done = run(class_of, "issue", "v-001", KIND, "--output", str(tmp_path))
    assert done.exit_code == 0, done.output
    said, path = done.output.splitlines()
    number, _, address = said.partition("  ")
    assert (number, path) == ("C-2026-0001", str(tmp_path / "C-2026-0001.pdf"))
    assert Path(path).read_bytes().startswith(b"%PDF-")
    code = address.rpartition("/")[2]
    assert address == f"http://127.0.0.1:8765/verify/{number}/{code}"
    asked = run(class_of, "verify", number, code)
    assert (asked.exit_code, asked.output) == (0, "valid\n")
    assert run(class_of, "revoke", number, "--reason", "Shown by mistake.").exit_code == 0
    asked = run(class_of, "verify", number, code)
    assert (asked.exit_code, asked.output) == (1, "revoked\n")
    asked = run(class_of, "verify", number, "2222-2222-2222-2222")
    assert (asked.exit_code, asked.output) == (1, "unknown\n")
    assert isinstance(run(class_of, "export", number, "--output", str(tmp_path)).exception, Refused)


def test_a_certificate_written_again_is_the_same_to_the_byte(class_of: World, tmp_path: Path) -> None:
    """On one machine."""
    run(class_of, "issue", "v-001", KIND, "--output", str(tmp_path / "one"))
    assert run(class_of, "export", "C-2026-0001", "--output", str(tmp_path / "two")).exit_code == 0
    one, two = (tmp_path / name / "C-2026-0001.pdf" for name in ("one", "two"))
    assert one.read_bytes() == two.read_bytes()


def test_what_is_missing_refuses_and_writes_no_file(class_of: World, tmp_path: Path) -> None:
    """All reasons at once."""
    done = run(class_of, "issue", "v-002", KIND, "--output", str(tmp_path / "out"))
    assert isinstance(done.exception, Refused)
    assert done.exception.reasons == ("Missing: Guarding a balance task (skill).",)
    assert not (tmp_path / "out").exists()
