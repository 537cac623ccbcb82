"""Files of certificates, looked through on the command line; keys that change; what the server publishes."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from click.testing import CliRunner, Result

from mentor_training.application import create_app
from mentor_training.certificates.attachments import attached_credential
from mentor_training.certificates.commands.certifying import certificates
from mentor_training.certificates.credential import identity_hash
from mentor_training.certificates.pdf import certificate_pdf
from mentor_training.certificates.signing import credential_by, credential_of
from mentor_training.certificates.tables import Certificate
from mentor_training.database.signing_keys import SigningKey, key_in_use, signing_keys
from mentor_training.errors import Refused
from mentor_training.journal.tables import JournalEntry
from tests.builders import World
from tests.certificates.holders import add_people, issued
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]


@pytest.fixture
def class_of(world: World) -> World:
    add_people(world)
    issued(world)
    return world


def row_of(world: World) -> Certificate:
    with world.reading() as db:
        found = db.get(Certificate, "C-2026-0001")
    assert found
    return found


def credential(world: World) -> bytes:
    return credential_of(row_of(world), world.instance.settings)


def paper(world: World) -> bytes:
    """Return the certificate's PDF with its one credential."""
    with world.reading() as db:
        return certificate_pdf(db, row_of(world), world.instance.settings.address, credential(world))


def saved(pdf: pikepdf.Pdf) -> bytes:
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(certificates, list(words), obj=world.instance)


def look(world: World, folder: Path, data: bytes, *more: str) -> Result:
    file = folder / "given"
    file.write_bytes(data)
    return run(world, "verify", str(file), *more)


def changed(data: bytes, change: Callable[[Any], None]) -> bytes:
    document = json.loads(data)
    change(document)
    return json.dumps(document).encode()


def test_a_credential_is_whole_signed_by_the_key_in_use_and_valid(class_of: World, tmp_path: Path) -> None:
    """Status 0, the number, the key and how the certificate stands; the bare file and the PDF alike."""
    key = key_in_use(class_of.instance.settings.folder / "keys").public
    for data in (credential(class_of), paper(class_of)):
        done = look(class_of, tmp_path, data)
        assert (done.exit_code, done.output.splitlines()) == (0, [
            "C-2026-0001  Balance lane mentor",
            f"signed by  {key}, in use from the beginning",
            "it is      valid",
            "whole: nothing in it was changed",
        ]), done.output  # fmt: skip


def test_who_it_was_given_to_is_answered_for_an_address_and_told_to_nobody(class_of: World, tmp_path: Path) -> None:
    """The file holds no name; whoever knows the address can hold it to the file."""
    data = credential(class_of)
    for word in (b"Odalys", b"marrowdale", b"v-001"):
        assert word not in data
    mine = look(class_of, tmp_path, data, "--holder", "V-001@marrowdale.example")
    assert (mine.exit_code, "given to   V-001@" in mine.output) == (0, True)
    other = look(class_of, tmp_path, data, "--holder", "v-002@marrowdale.example")
    assert (other.exit_code, "not given to v-002@" in other.output) == (1, True)


def test_a_tampered_credential_is_told_with_what_does_not_match(class_of: World, tmp_path: Path) -> None:
    """The signature, and the very member with both values."""

    def grander(document: Any) -> None:
        document["credentialSubject"]["achievement"]["name"] = "Program director"

    done = look(class_of, tmp_path, changed(credential(class_of), grander))
    assert done.exit_code == 1
    assert "The signature does not match" in done.output
    named = 'credentialSubject.achievement.name: it says "Program director", the certificate "Balance lane mentor".'
    assert named in done.output
    assert "nothing in it was changed" not in done.output


def test_a_credential_signed_anew_by_a_strange_key_is_refused(class_of: World, tmp_path: Path) -> None:
    """Its signature holds, its words are the certificate's own; the key is not ours."""
    settings = class_of.instance.settings
    strange = SigningKey("", "z3u2en7t5LR2WtQH5PfFqMqwVHBeXouLzo6haApm8XHqvjxq")
    done = look(class_of, tmp_path, credential_by(row_of(class_of), settings.address, settings.zone, strange))
    assert done.exit_code == 1
    assert "signed by a key that is none of this program's" in done.output
    assert "The signature does not match" not in done.output


def test_a_file_writes_nothing_to_the_screen_but_what_can_be_seen(class_of: World, tmp_path: Path) -> None:
    """Its sender chose its words: signs that a terminal obeys are replaced, and there is an end to the list."""

    def hostile(document: Any) -> None:
        document["name"] = "\x1b]0;all is well\x07\u202e"
        document["id"] = "urn:x:\x00"
        document |= {f"\x1b[2J{number}": 1 for number in range(100)}

    done = look(class_of, tmp_path, changed(credential(class_of), hostile))
    assert done.exit_code == 1
    assert not set(done.output) & set("\x1b\x07\x00\u202e")
    assert "it is      unknown" in done.output
    assert done.output.endswith(" more\n")
    for odd in (b'{"proof":{},"a":"\\ud800"}', b"[" * 100_000, b'{"proof":{},"a":1e999}', b'{"proof":{},"a":NaN}'):
        assert isinstance(look(class_of, tmp_path, odd).exception, Refused)


def test_the_command_writes_the_credential_that_the_holder_gets(class_of: World, tmp_path: Path) -> None:
    """To the byte; not of one that was withdrawn."""
    assert run(class_of, "credential", "C-2026-0001", "--output", str(tmp_path / "out")).exit_code == 0
    assert (tmp_path / "out" / "C-2026-0001.json").read_bytes() == credential(class_of)
    run(class_of, "revoke", "C-2026-0001", "--reason", "Shown by mistake.")
    assert isinstance(run(class_of, "credential", "C-2026-0001", "--output", str(tmp_path)).exception, Refused)


def test_a_pdf_whose_page_was_changed_is_told(class_of: World, tmp_path: Path) -> None:
    """Its credential is untouched, and the page shows something else."""
    with pikepdf.open(io.BytesIO(paper(class_of))) as pdf:
        page = pdf.pages[0]
        page.contents_add(b"BT ET", prepend=False)
        data = saved(pdf)
    done = look(class_of, tmp_path, data)
    assert done.exit_code == 1
    assert "Page 1 does not show what the certificate says." in done.output
    assert "The signature does not match" not in done.output


def test_the_pdf_to_keep_says_that_it_is_one(class_of: World) -> None:
    """PDF/A-3 at its accessible level: tagged, with language and title, the credential another form of the pages."""
    data = paper(class_of)
    assert data == paper(class_of)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        told = pdf.Root.Metadata.read_bytes()
        assert b'pdfaid:part="3"' in told
        assert b'pdfaid:conformance="A"' in told
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-US"
        assert "/StructTreeRoot" in pdf.Root
        assert {str(one.AFRelationship) for one in pdf.Root.AF} == {"/Alternative"}


def test_a_pdf_without_its_one_credential_is_refused(class_of: World, tmp_path: Path) -> None:
    """None, or two; and what is no PDF and no JSON at all."""
    with pikepdf.open(io.BytesIO(paper(class_of))) as pdf:
        pdf.attachments["other.json"] = pikepdf.AttachedFileSpec(pdf, b"{}")
        with pytest.raises(ValueError, match="2 credentials"):
            attached_credential(saved(pdf))
        for name in list(pdf.attachments):
            del pdf.attachments[name]
        bare = saved(pdf)
    for data, reason in ((bare, "no credentials are attached"), (b"%PDF-1.7 torn", "as a PDF"), (b"hello", "signed")):
        done = look(class_of, tmp_path, data)
        assert isinstance(done.exception, Refused)
        assert reason in str(done.exception)
    assert run(class_of, "verify", str(tmp_path / "nothing")).exit_code == 2


def test_a_withdrawn_certificates_file_is_whole_and_not_valid(class_of: World, tmp_path: Path) -> None:
    """Nothing was changed in it; it does not stand any more."""
    data = credential(class_of)
    run(class_of, "revoke", "C-2026-0001", "--reason", "Shown by mistake.")
    done = look(class_of, tmp_path, data)
    assert done.exit_code == 1
    assert "it is      valid" not in done.output
    assert "does not match" not in done.output


def test_after_a_rotation_old_files_verify_and_new_ones_carry_the_new_key(class_of: World, tmp_path: Path) -> None:
    """The journal holds the public halves and nothing else of the keys."""
    keys = class_of.instance.settings.folder / "keys"
    old, before = key_in_use(keys), credential(class_of)
    class_of.clock.moment += timedelta(days=90)
    done = run(class_of, "rotate-key")
    new = key_in_use(keys)
    assert (done.exit_code, new.public in done.output, new.secret in done.output) == (0, True, False)
    told = look(class_of, tmp_path, before)
    assert (told.exit_code, f"{old.public}, an earlier key of this program, until 2027-01-14" in told.output) == (
        0,
        True,
    )
    after = credential(class_of)
    assert after != before
    assert after == credential(class_of)
    assert f"{new.public}, in use since 2027-01-14" in look(class_of, tmp_path, after).output
    with class_of.reading() as db:
        entry = db.query(JournalEntry).filter_by(kind="signing-key-rotated").one()
    assert (entry.subject, json.loads(entry.record)) == (new.public, {"instead_of": old.public})
    assert all(one.secret not in entry.record for one in (old, new))


def test_a_credential_dated_after_its_keys_end_is_refused(class_of: World, tmp_path: Path) -> None:
    """Whoever found the old secret in an old backup, and dates honestly, is found out."""
    settings = class_of.instance.settings
    old = key_in_use(settings.folder / "keys")
    class_of.clock.moment += timedelta(days=90)
    run(class_of, "rotate-key")
    late = SigningKey(old.public, old.secret, "2027-03-01T00:00:00+00:00")
    done = look(class_of, tmp_path, credential_by(row_of(class_of), settings.address, settings.zone, late))
    assert done.exit_code == 1
    assert "signed after its key was taken out of use on 2027-01-14" in done.output


def test_the_server_publishes_its_keys_and_kinds_to_anybody(class_of: World) -> None:
    """At the very addresses that a credential names, the earlier keys among them, and no secret."""
    client = create_app(class_of.instance, testing=True).test_client()
    run(class_of, "rotate-key")
    document, site = json.loads(credential(class_of)), class_of.instance.settings.address
    profile = client.get(document["issuer"]["id"].removeprefix(site))
    assert (profile.status_code, profile.content_type) == (200, "application/json")
    assert profile.headers["Access-Control-Allow-Origin"] == "*"
    keys = signing_keys(class_of.instance.settings.folder / "keys")
    assert profile.json
    assert [one["publicKeyMultibase"] for one in profile.json["verificationMethod"]] == [key.public for key in keys]
    assert document["proof"]["verificationMethod"] in profile.json["assertionMethod"]
    assert "z3u2" not in profile.text
    kind = document["credentialSubject"]["achievement"]
    shown = client.get(kind["id"].removeprefix(site))
    assert shown.json
    assert {name: value for name, value in shown.json.items() if name != "@context"} == kind
    assert client.get("/issuer/1/no-such-kind").status_code == client.get("/issuer/9/lane-mentor").status_code == 404


def test_a_holder_takes_the_credential_away_and_nobody_else_does(class_of: World, visitor: Visit) -> None:
    """As the same file that the program signs; withdrawn, it is not handed out."""
    mine = visitor("v-001")
    assert "/certificates/C-2026-0001.json" in mine.get("/certificates").text
    kept = mine.get("/certificates/C-2026-0001/archival.pdf")
    assert (kept.status_code, kept.data) == (200, paper(class_of))
    assert attached_credential(kept.data) == credential(class_of)
    answer = mine.get("/certificates/C-2026-0001.json")
    assert (answer.status_code, answer.data) == (200, credential(class_of))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="C-2026-0001.json"'
    assert visitor("v-002").get("/certificates/C-2026-0001.json").status_code == 403
    run(class_of, "revoke", "C-2026-0001", "--reason", "Shown by mistake.")
    assert mine.get("/certificates/C-2026-0001.json").status_code == 422


def test_a_certificate_ends_with_its_last_day_where_the_program_is(class_of: World) -> None:
    """Midnight after 16 October 2028 in New York, which is four hours later in UTC."""
    row, settings = row_of(class_of), class_of.instance.settings
    row.content = row.content | {"last_day": "2028-10-16"}
    assert json.loads(credential_of(row, settings))["validUntil"] == "2028-10-17T04:00:00Z"


def test_a_certificate_from_before_credentials_names_its_holder_by_the_salted_code(class_of: World) -> None:
    """Its content froze no address; the code is hashed with what only this paper carries."""
    row, settings = row_of(class_of), class_of.instance.settings
    row.content = {name: value for name, value in row.content.items() if name != "holder"}
    (identity,) = json.loads(credential_of(row, settings))["credentialSubject"]["identifier"]
    assert (identity["identityType"], identity["salt"]) == ("systemId", row.verification_code)
    assert identity["identityHash"] == identity_hash("v-001", row.verification_code)
