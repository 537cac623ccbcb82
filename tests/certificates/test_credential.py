"""What a certificate's credential says, and what makes one no credential."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.certificates import credential_check
from mentor_training.certificates.credential import (
    BY_EMAIL,
    CONTEXTS,
    Award,
    Holder,
    credential,
    identity_hash,
    issuer_profile,
    method_of,
    public_of,
    sign,
    signed_credential,
)
from mentor_training.certificates.credential_check import CHANGED, check, differences, names_holder, read_document
from mentor_training.certificates.credential_terms import missing, undefined
from mentor_training.journal.chain import canonical
from mentor_training.multikey import from_base58, secret_text, to_base58

SECRET, OTHER = secret_text(bytes(range(32))), secret_text(bytes(range(1, 33)))
MOMENT = datetime(2026, 10, 16, 16, 0, tzinfo=UTC)
ADDRESS = "v-001@marrowdale.example"
AWARD = Award(
    address="https://copperfinch.example/verify/C-2026-0001/ABCD-EFGH-JKLM-NPQR",
    issuer="https://copperfinch.example/issuer",
    program="Copperfinch Movement Mornings",
    site="https://copperfinch.example",
    achievement="https://copperfinch.example/issuer/1/lane-mentor",
    title="Balance lane mentor",
    text="Guards a balance task, and keeps the line of sight — über alles gesehen.",
    limits="It is not a license.",
    grounds=(("Guarding a balance task", "signed off, since 2026-10-01"), ("Hours: direct", "1800 minutes approved")),
    holder=Holder(identity_hash(ADDRESS, "5a1t"), "5a1t", BY_EMAIL),
    valid_from=MOMENT,
    valid_until=datetime(2028, 10, 17, 4, 0, tzinfo=UTC),
)
SIGNED = signed_credential(AWARD, SECRET, MOMENT)
WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
# From 2^53 on a float and a whole number can no longer be told apart, and are refused; credentials hold neither.
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.floats(-1e15, 1e15) | WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=20,
)


def what_is_wrong(data: bytes) -> str:
    """Return the faults of a credential, or why it is none; nothing where it is whole."""
    try:
        return "\n".join(check(data).faults)
    except ValueError as error:
        return str(error)


def test_a_signed_credential_is_whole_and_names_its_key() -> None:
    """Canonical JSON, no fault, and the key is the one that signed."""
    found = check(SIGNED)
    assert (found.faults, found.key) == ((), public_of(SECRET))
    assert canonical(json.loads(SIGNED)).encode() == SIGNED
    assert found.document["validUntil"] == "2028-10-17T04:00:00Z"


def test_a_credential_names_its_holder_only_by_the_salted_hash() -> None:
    """No name, no address, no code of a person; whoever knows the address can check it, in any case of letters."""
    text = SIGNED.decode()
    assert ADDRESS not in text
    assert "v-001" not in text
    document = json.loads(SIGNED)
    assert set(document["credentialSubject"]) == {"type", "identifier", "achievement"}
    assert names_holder(document, ADDRESS.upper())
    assert not names_holder(document, "v-002@marrowdale.example")


def test_a_lapsing_and_rests_are_left_out_where_there_are_none() -> None:
    """An empty member would say something else than none."""
    made = credential(replace(AWARD, grounds=(), valid_until=None))
    assert not {"evidence", "validUntil"} & set(made)


@given(st.integers(0, len(SIGNED) - 1), st.integers(1, 255))
def test_any_changed_byte_of_a_signed_credential_is_refused(at: int, by: int) -> None:
    """Wherever it stands, the signature itself included: a fault is named, or it is no credential any more."""
    changed = bytearray(SIGNED)
    changed[at] ^= by
    assert what_is_wrong(bytes(changed))


@given(st.integers(0, len(SIGNED) - 1))
def test_a_credential_that_was_cut_off_is_refused(end: int) -> None:
    """At any place."""
    with pytest.raises(ValueError, match=r"."):
        check(SIGNED[:end])


@given(st.binary(max_size=200) | VALUES.map(lambda value: json.dumps(value).encode()))
def test_whatever_comes_is_answered_with_a_reason(data: bytes) -> None:
    """Bytes or JSON of any form: never an error of the program's own, never whole."""
    assert what_is_wrong(data)


@given(st.sampled_from(["issuer", "credentialSubject", "proof", "type", "@context", "id", "evidence"]), VALUES)
def test_a_member_of_any_form_is_answered_with_a_reason(name: str, value: Any) -> None:
    """What stands in a member's place may be of any kind."""
    document = json.loads(SIGNED)
    if document[name] == value:
        return
    assert what_is_wrong(json.dumps({**document, name: value}).encode())


@given(st.dictionaries(WORDS, VALUES, max_size=5))
def test_the_canonical_form_is_stable(value: dict[str, Any]) -> None:
    """Read and written again it is the same, whatever the order and the blanks of the text it came from."""
    once = canonical(value)
    assert canonical(json.loads(once)) == once
    assert canonical(json.loads(json.dumps(dict(reversed(value.items())), indent=3))) == once


@given(st.binary(max_size=70))
def test_base58_comes_back_as_it_went(data: bytes) -> None:
    """Leading zeros too; what is not in the alphabet is refused."""
    assert from_base58(to_base58(data)) == data
    for wrong in (to_base58(data)[1:], to_base58(data) + "0", "z" + "1" * 500):
        with pytest.raises(ValueError, match="base58btc"):
            from_base58("Q" + wrong if wrong == to_base58(data)[1:] else wrong)


def test_blanks_between_members_change_nothing() -> None:
    """A file that some other program wrote anew says the same, and the signature is over what it says."""
    again = json.dumps(json.loads(SIGNED), indent=4).encode()
    assert check(again).faults == ()


def test_a_name_that_stands_twice_is_refused() -> None:
    """One reader takes the first, another the last: what is signed would not be what is shown."""
    twice = SIGNED.replace(b'{"@context"', b'{"name":"Something grand","@context"', 1)
    with pytest.raises(ValueError, match="twice"):
        read_document(twice)


def test_a_credential_signed_by_somebody_else_names_their_key() -> None:
    """Its signature holds, and the key is another: whose, only the issuer's keys tell."""
    found = check(signed_credential(AWARD, OTHER, MOMENT))
    assert (found.faults, found.key) == ((), public_of(OTHER))


def test_a_key_of_another_issuer_is_named() -> None:
    """The address of the key lies within the issuer's own profile, or is the key's own."""
    document = credential(AWARD)
    strange = sign(
        document, SECRET, method_of("https://elsewhere.example/issuer", public_of(SECRET)), "2026-10-16T16:00:00Z"
    )
    assert any("elsewhere.example" in one for one in check(canonical(strange).encode()).faults)
    own = sign(document, SECRET, f"did:key:{public_of(SECRET)}#{public_of(SECRET)}", "2026-10-16T16:00:00Z")
    assert check(canonical(own).encode()).faults == ()


def test_what_was_signed_with_an_undefined_member_is_named() -> None:
    """The signature holds, the member means nothing: it is never put in, and never passed over."""
    document = credential(AWARD)
    document["credentialSubject"]["hoursWorked"] = "30"
    signed = sign(document, SECRET, method_of(AWARD.issuer, public_of(SECRET)), "2026-10-16T16:00:00Z")
    (fault,) = check(canonical(signed).encode()).faults
    assert fault.startswith("credentialSubject.hoursWorked is defined by no context")


@pytest.mark.parametrize(
    ("path", "named"),
    [
        (("issuer",), "issuer"),
        (("validFrom",), "validFrom"),
        (("id",), "id"),
        (("@context",), "@context"),
        (("credentialSubject", "achievement", "criteria"), "credentialSubject.achievement.criteria"),
        (("credentialSubject", "achievement", "description"), "credentialSubject.achievement.description"),
        (("credentialSubject", "identifier"), "credentialSubject.id or credentialSubject.identifier"),
        (("issuer", "type"), "issuer.type"),
    ],
)
def test_what_open_badges_requires_is_missed_by_its_path(path: tuple[str, ...], named: str) -> None:
    """The data model of Open Badges 3.0: cardinality 1 or 1..*."""
    document = inner = credential(AWARD)
    assert missing(document) == ()
    for name in path[:-1]:
        inner = inner[name]
    del inner[path[-1]]
    assert missing(document) == (named,)


def test_a_changed_context_of_the_proof_is_named() -> None:
    """A proof for another context would be a proof of other words."""
    document = json.loads(SIGNED)
    document["proof"]["@context"] = list(reversed(CONTEXTS))
    faults = check(json.dumps(document).encode()).faults
    assert "proof.@context is not the credential's own @context." in faults
    assert CHANGED in faults


def test_differences_are_named_by_path_with_both_values() -> None:
    """The proof is no part of what a credential says."""
    wanted, found = credential(AWARD), json.loads(SIGNED)
    assert differences(found, wanted) == ()
    found["credentialSubject"]["achievement"]["name"] = "Station lead"
    del found["validUntil"]
    found["evidence"].pop()
    assert [one.partition(":")[0] for one in differences(found, wanted)] == [
        "credentialSubject.achievement.name", "validUntil", "evidence",
    ]  # fmt: skip
    assert 'it says "Station lead", the certificate "Balance lane mentor"' in differences(found, wanted)[0]


def test_a_file_too_large_to_be_one_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before anything is parsed."""
    monkeypatch.setattr(credential_check, "LARGEST", 100)
    with pytest.raises(ValueError, match="more than 100 bytes"):
        check(SIGNED)


def test_the_profile_lists_every_key_under_the_address_by_which_credentials_name_it() -> None:
    """The W3C's controlled identifier document: its own address, each key with its controller, each for assertions."""
    keys = [public_of(SECRET), public_of(OTHER)]
    profile = issuer_profile(AWARD.issuer, "Copperfinch", AWARD.site, keys)
    assert json.loads(SIGNED)["proof"]["verificationMethod"] in profile["assertionMethod"]
    assert [one["publicKeyMultibase"] for one in profile["verificationMethod"]] == keys
    assert {one["controller"] for one in profile["verificationMethod"]} == {profile["id"]} == {AWARD.issuer}
    assert undefined(json.loads(SIGNED)) == ()
