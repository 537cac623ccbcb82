"""Whether a signed credential is whole, who signed it, and what in it does not match; pure, and needs no network.

Data Integrity EdDSA Cryptosuites 1.0, section 3.3.2: the key is the fragment of the verification method's address,
as in a did:key. Whose key it is, this cannot know: that is for whoever has the issuer's keys.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from mentor_training.certificates.credential import CONTEXTS, SUITE, identity_hash, signed_bytes
from mentor_training.certificates.credential_terms import missing, undefined
from mentor_training.multikey import SIGNATURE_BYTES, from_base58, public_bytes

LARGEST = 1_000_000  # bytes; one of ours has about three thousand
CHANGED = "The signature does not match: something in it was changed after it was signed, or it was signed otherwise."


@dataclass(frozen=True)
class Checked:
    """A credential that was looked at: what it says, the public Multikey that it names, and all that is wrong."""

    document: Mapping[str, Any]
    key: str
    faults: tuple[str, ...]


def check(data: bytes) -> Checked:
    """Look a credential through: its form, its terms, its signature. ValueError for what is no signed credential."""
    document = read_document(data)
    proof = document.get("proof")
    if not isinstance(proof, dict):
        raise ValueError("it carries no signature (no `proof`, or more than one)")
    faults = [*_form_faults(document), *_proof_faults(document, proof)]
    try:
        key = key_named(proof, _issuer_of(document))
    except ValueError as error:
        return Checked(document, "", (*faults, f"The key that it names cannot be used: {error}."))
    if not _holds(document, proof, key):
        faults.append(CHANGED)
    return Checked(document, key, tuple(faults))


def read_document(data: bytes) -> dict[str, Any]:
    """Read one JSON object in which no name stands twice, as I-JSON asks (RFC 7493); ValueError for anything else."""
    if len(data) > LARGEST:
        raise ValueError(f"it has more than {LARGEST:,} bytes")
    try:
        found = json.loads(data.decode("utf-8"), object_pairs_hook=_once_each, parse_constant=_no_number)
        rfc8785.dumps(found)
    except (RecursionError, UnicodeError, rfc8785.CanonicalizationError) as error:
        raise ValueError(f"it is not JSON that could be signed ({type(error).__name__})") from None
    if not isinstance(found, dict):
        raise ValueError("it is not a JSON object")
    return found


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return found


def _no_number(text: str) -> None:
    raise ValueError(f"{text} is not a number in JSON")


def _form_faults(document: Mapping[str, Any]) -> Iterator[str]:
    context = document.get("@context")
    if not isinstance(context, list) or context[:2] != list(CONTEXTS):
        yield f"@context does not begin with {' and '.join(CONTEXTS)}."
    for path in missing(document):
        yield f"{path} is missing."
    for path in undefined(document):
        yield f"{path} is defined by no context of the credential, and means nothing."
    for name in ("validFrom", "validUntil"):
        if name in document and not _is_moment(document[name]):
            yield f"{name} is no moment with a zone."


def _is_moment(value: Any) -> bool:
    try:
        return isinstance(value, str) and datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


def _proof_faults(document: Mapping[str, Any], proof: Mapping[str, Any]) -> Iterator[str]:
    wanted = {"type": "DataIntegrityProof", "cryptosuite": SUITE, "proofPurpose": "assertionMethod"}
    for name, value in wanted.items():
        if proof.get(name) != value:
            yield f"proof.{name} is {proof.get(name)!r}, not {value!r}."
    if "@context" in proof and proof["@context"] != document.get("@context"):
        yield "proof.@context is not the credential's own @context."
    if "created" in proof and not _is_moment(proof["created"]):
        yield "proof.created is no moment with a zone."


def _issuer_of(document: Mapping[str, Any]) -> str:
    issuer = document.get("issuer")
    return str(issuer.get("id", "")) if isinstance(issuer, dict) else str(issuer or "")


def key_named(proof: Mapping[str, Any], issuer: str) -> str:
    """Return the public Multikey that a proof names, as a key of the issuer's profile or as a did:key.

    ValueError where it names none, or one of somebody else's profile.
    """
    address, _, key = str(proof.get("verificationMethod")).partition("#")
    public_bytes(key)
    if address not in (issuer, f"did:key:{key}"):
        raise ValueError(f"it is a key of {address}, and the issuer is {issuer}")
    return key


def _holds(document: Mapping[str, Any], proof: Mapping[str, Any], key: str) -> bool:
    config = {name: value for name, value in proof.items() if name != "proofValue"}
    bare = {name: value for name, value in document.items() if name != "proof"}
    try:
        signature = from_base58(str(proof.get("proofValue")))
        if len(signature) != SIGNATURE_BYTES:
            return False
        Ed25519PublicKey.from_public_bytes(public_bytes(key)).verify(signature, signed_bytes(bare, config))
    except (InvalidSignature, ValueError):
        return False
    return True


def differences(found: Any, wanted: Any, path: str = "") -> tuple[str, ...]:
    """Return where what a credential says differs from what the certificate says, each by its path; proofs apart."""
    if isinstance(found, dict) and isinstance(wanted, dict):
        names = [*wanted, *(name for name in found if name not in wanted and (path or name != "proof"))]
        parts = [
            differences(found.get(name), wanted.get(name), f"{path}.{name}" if path else name) for name in names
        ]  # fmt: skip
        return tuple(one for part in parts for one in part)
    if isinstance(found, list) and isinstance(wanted, list) and len(found) == len(wanted):
        pairs = enumerate(zip(found, wanted, strict=True))
        return tuple(line for at, (one, other) in pairs for line in differences(one, other, f"{path}[{at}]"))
    return () if found == wanted else (f"{path}: it says {_shown(found)}, the certificate {_shown(wanted)}.",)


def _shown(value: Any) -> str:
    if value is None:
        return "nothing"
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 120 else text[:119] + "…"


def names_holder(document: Mapping[str, Any], address: str) -> bool:
    """Say whether a credential was given to whoever has an e-mail address (Open Badges 3.0, IdentityHash)."""
    subject = document.get("credentialSubject")
    identities = subject.get("identifier", []) if isinstance(subject, dict) else []
    return any(
        one.get("identityHash") == identity_hash(address.strip().lower(), str(one.get("salt", "")))
        for one in (identities if isinstance(identities, list) else [identities])
        if isinstance(one, dict) and one.get("hashed") is True
    )
