"""A certificate as an Open Badges 3.0 credential, signed by eddsa-jcs-2022; pure: no file, no store, no network.

Open Badges 3.0 (1EdTech), Verifiable Credentials 2.0, Data Integrity 1.0 and its suite eddsa-jcs-2022 (W3C): canonical
JSON (RFC 8785), SHA-256, Ed25519 (RFC 8032). The suite signs every member, and so nothing in a credential can be
changed unseen; a member that the two contexts do not define means nothing to a reader, and is never put in.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from mentor_training.certificates.credential_terms import undefined
from mentor_training.journal.chain import canonical
from mentor_training.multikey import public_text, secret_bytes, to_base58

CONTEXTS = ("https://www.w3.org/ns/credentials/v2", "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json")
SUITE = "eddsa-jcs-2022"
KEYS_CONTEXT = "https://www.w3.org/ns/cid/v1"  # Controlled Identifiers 1.0; its address from memory
BY_EMAIL, BY_CODE = "emailAddress", "systemId"  # of the standard's identifier types


@dataclass(frozen=True)
class Holder:
    """Who a credential is about, as a salted hash of an identifier and what kind of identifier that is."""

    hash: str
    salt: str
    kind: str


@dataclass(frozen=True)
class Award:
    """What a credential says of a certificate.

    `address` is where the certificate is verified, `issuer` where the issuer's profile is published, `achievement`
    where the kind of certificate is. `grounds` are what it rests on, each with how that was shown. Moments with zone.
    """

    address: str
    issuer: str
    program: str
    site: str
    achievement: str
    title: str
    text: str
    limits: str
    grounds: Sequence[tuple[str, str]]
    holder: Holder
    valid_from: datetime
    valid_until: datetime | None = None


def identity_hash(identifier: str, salt: str) -> str:
    """Return the IdentityHash of Open Badges 3.0: SHA-256 over identifier and salt in UTF-8, in hexadecimal."""
    return "sha256$" + hashlib.sha256((identifier + salt).encode()).hexdigest()


def credential(award: Award) -> dict[str, Any]:
    """Return a certificate as an Open Badges credential that nobody has signed yet."""
    made: dict[str, Any] = {
        "@context": list(CONTEXTS),
        "id": award.address,
        "type": ["VerifiableCredential", "OpenBadgeCredential"],
        "name": award.title,
        "description": award.limits,
        "issuer": {"id": award.issuer, "type": ["Profile"], "name": award.program, "url": award.site},
        "validFrom": moment_text(award.valid_from),
        "credentialSubject": {
            "type": ["AchievementSubject"],
            "identifier": [_identity(award.holder)],
            "achievement": achievement(award.achievement, award.title, award.text, award.limits),
        },
    }
    if award.valid_until:
        made["validUntil"] = moment_text(award.valid_until)
    if award.grounds:
        made["evidence"] = [{"type": ["Evidence"], "name": what, "description": how} for what, how in award.grounds]
    return made


def achievement(address: str, title: str, text: str, limits: str) -> dict[str, Any]:
    """Return a kind of certificate as an Achievement: what it is, and what was needed for it."""
    return {
        "id": address, "type": ["Achievement"], "achievementType": "Certificate", "name": title, "description": limits,
        "criteria": {"narrative": text},
    }  # fmt: skip


def _identity(holder: Holder) -> dict[str, Any]:
    return {
        "type": "IdentityObject", "hashed": True, "identityHash": holder.hash, "identityType": holder.kind,
        "salt": holder.salt,
    }  # fmt: skip


def moment_text(moment: datetime) -> str:
    """Write a moment as the standards want it: with its zone, here always UTC, to the second."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def method_of(issuer: str, public: str) -> str:
    """Return the address of a key within its issuer's published profile; the key itself is the fragment."""
    return f"{issuer}#{public}"


def issuer_profile(issuer: str, name: str, site: str, keys: Sequence[str]) -> dict[str, Any]:
    """Return who issues, as Open Badges' Profile and as the W3C's controlled identifier document in one.

    `keys` are all public Multikeys that ever signed: what an earlier one signed stays verifiable.
    """
    methods = [method_of(issuer, key) for key in keys]
    return {
        "@context": [KEYS_CONTEXT, CONTEXTS[1]], "id": issuer, "type": ["Profile"], "name": name, "url": site,
        "verificationMethod": [
            {"id": method, "type": "Multikey", "controller": issuer, "publicKeyMultibase": key}
            for method, key in zip(methods, keys, strict=True)
        ],
        "assertionMethod": methods,
    }  # fmt: skip


def sign(document: Mapping[str, Any], secret: str, method: str, created: str) -> dict[str, Any]:
    """Return a document with a proof by eddsa-jcs-2022 (Data Integrity EdDSA Cryptosuites 1.0, section 3.3).

    `secret` is a secret Multikey, `method` the address of the public key, `created` an XML Schema dateTime with zone.
    The same input gives the same signature (RFC 8032). ValueError for a document that has a proof.
    """
    if "proof" in document:
        raise ValueError("it is signed already")
    config = {
        "type": "DataIntegrityProof", "cryptosuite": SUITE, "created": created, "verificationMethod": method,
        "proofPurpose": "assertionMethod", "@context": document["@context"],
    }  # fmt: skip
    signature = Ed25519PrivateKey.from_private_bytes(secret_bytes(secret)).sign(signed_bytes(document, config))
    return {**document, "proof": {**config, "proofValue": to_base58(signature)}}


def signed_bytes(document: Mapping[str, Any], config: Mapping[str, Any]) -> bytes:
    """Return what is signed: the hash of the proof's own members, then the hash of the document."""
    return b"".join(hashlib.sha256(canonical(part).encode()).digest() for part in (config, document))


def public_of(secret: str) -> str:
    """Return the public Multikey that belongs to a secret one."""
    key = Ed25519PrivateKey.from_private_bytes(secret_bytes(secret))
    return public_text(key.public_key().public_bytes_raw())


def signed_credential(award: Award, secret: str, created: datetime) -> bytes:
    """Return a certificate's credential, signed, as canonical JSON in UTF-8: the file that is handed out."""
    made = sign(credential(award), secret, method_of(award.issuer, public_of(secret)), moment_text(created))
    strange = undefined(made)
    if strange:
        raise ValueError(f"not defined by Open Badges 3.0: {', '.join(strange)}")
    return canonical(made).encode()
