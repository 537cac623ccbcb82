"""Certificates on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mentor_training.certificates.commands.certifying import certificates
from mentor_training.errors import Refused
from tests.builders import World
from tests.certificates.holders import KIND, add_people, void


@pytest.fixture
def class_of(world: World) -> World:
    return add_people(world)


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(certificates, list(words), obj=world.instance)


def test_a_certificate_is_issued_verified_and_revoked(class_of: World, tmp_path: Path) -> None:
    """Number, verification address and path are printed; valid is status 0, withdrawn and unknown status 1."""
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
    assert (asked.exit_code, asked.output) == (1, "withdrawn\n")
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


def test_a_certificate_in_doubt_is_named_and_issued_anew(class_of: World, tmp_path: Path) -> None:
    """Status 1 while there is one; issued anew it names the record that counts now, and the old one is withdrawn."""
    run(class_of, "issue", "v-001", KIND, "--output", str(tmp_path))
    asked = run(class_of, "doubts")
    assert (asked.exit_code, asked.output) == (0, "no valid certificate is in doubt\n")
    void(class_of, "r-0002")
    asked = run(class_of, "doubts")
    assert asked.exit_code == 1
    assert "C-2026-0001  v-001  its requirement does not hold on its day" in asked.output
    assert "missing: Guarding a balance task (skill)" in asked.output
    class_of.hold("v-001", "skill/guarding")
    assert "C-2026-0001  v-001  can be issued anew" in run(class_of, "doubts").output
    made = run(class_of, "reissue", "C-2026-0001", "--reason", "Names the wrong record.", "--output", str(tmp_path))
    assert made.exit_code == 0, made.output
    assert (tmp_path / "C-2026-0002.pdf").is_file()
    assert run(class_of, "doubts").exit_code == 0
