"""Ed25519, Multikey and the suite eddsa-jcs-2022 against published vectors, every value on the way.

Data Integrity EdDSA Cryptosuites v1.0 (W3C Recommendation, 15 May 2025), Appendix B; RFC 8032, section 7.1 (TEST 1 and
the seed of TEST 2 read in public test suites that quote them, the rest from memory, all reproduced by `cryptography`);
Open Badges 3.0, IdentityHash.
"""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from mentor_training.certificates.credential import identity_hash, public_of, sign, signed_bytes
from mentor_training.journal.chain import canonical, digest
from mentor_training.multikey import from_base58, public_bytes, public_text, secret_bytes, secret_text, to_base58

PUBLIC = "z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2"
SECRET = "z3u2en7t5LR2WtQH5PfFqMqwVHBeXouLzo6haApm8XHqvjxq"
METHOD = f"did:key:{PUBLIC}#{PUBLIC}"
CREATED = "2023-02-24T23:36:38Z"
CONTEXTS = ["https://www.w3.org/ns/credentials/v2", "https://www.w3.org/ns/credentials/examples/v2"]
UNSIGNED: dict[str, Any] = {
    "@context": CONTEXTS,
    "id": "urn:uuid:58172aac-d8ba-11ed-83dd-0b3aef56cc33",
    "type": ["VerifiableCredential", "AlumniCredential"],
    "name": "Alumni Credential",
    "description": "A minimum viable example of an Alumni Credential.",
    "issuer": "https://vc.example/issuers/5678",
    "validFrom": "2023-01-01T00:00:00Z",
    "credentialSubject": {"id": "did:example:abcdefgh", "alumniOf": "The School of Examples"},
}
CONFIG: dict[str, Any] = {
    "type": "DataIntegrityProof",
    "cryptosuite": "eddsa-jcs-2022",
    "created": CREATED,
    "verificationMethod": METHOD,
    "proofPurpose": "assertionMethod",
    "@context": CONTEXTS,
}
CANONICAL_DOCUMENT = (
    '{"@context":["https://www.w3.org/ns/credentials/v2","https://www.w3.org/ns/credentials/examples/v2"],'
    '"credentialSubject":{"alumniOf":"The School of Examples","id":"did:example:abcdefgh"},'
    '"description":"A minimum viable example of an Alumni Credential.",'
    '"id":"urn:uuid:58172aac-d8ba-11ed-83dd-0b3aef56cc33","issuer":"https://vc.example/issuers/5678",'
    '"name":"Alumni Credential","type":["VerifiableCredential","AlumniCredential"],'
    '"validFrom":"2023-01-01T00:00:00Z"}'
)
CANONICAL_PROOF = (
    '{"@context":["https://www.w3.org/ns/credentials/v2","https://www.w3.org/ns/credentials/examples/v2"],'
    '"created":"2023-02-24T23:36:38Z","cryptosuite":"eddsa-jcs-2022","proofPurpose":"assertionMethod",'
    '"type":"DataIntegrityProof",'
    '"verificationMethod":"did:key:z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2'
    '#z6MkrJVnaZkeFzdQyMZu1cgjg7k1pZZ6pvBQ7XJPt4swbTQ2"}'
)
PROOF_HASH = "66ab154f5c2890a140cb8388a22a160454f80575f6eae09e5a097cabe539a1db"
DOCUMENT_HASH = "59b7cb6251b8991add1ce0bc83107e3db9dbbab5bd2c28f687db1a03abc92f19"
SIGNATURE = (
    "407cd12654b33d718ecbb99179a1506daaa849450bf3fc523cce3e1c96f8b803"
    "51da3f253d725c6f00b07c9e5448d50b3ef78012b9ab54255116d069c6dd2808"
)
PROOF_VALUE = "z2HnFSSPPBzR36zdDgK8PbEHeXbR56YF24jwMpt3R1eHXQzJDMWS93FCzpvJpwTWd3GAVFuUfjoJdcnTMuVor51aX"

# Secret key, public key, message, signature.
RFC_8032 = {
    "TEST 1": (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        (
            "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
            "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
        ),
    ),
    "TEST 2": (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        (
            "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
            "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
        ),
    ),
    "TEST 3": (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        (
            "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
            "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"
        ),
    ),
}


def test_the_keys_of_the_recommendation_are_read_and_written() -> None:
    """Appendix B.1: the Multikeys, and the bytes behind them."""
    public = bytes.fromhex("b00d8d938e7f773d51565aad36a623f5344f7f5d1960f9cf3e8e12620ea2810f")
    secret = bytes.fromhex("c96ef9ea10c5e414c471723aff9de72c35fa5b70fae97e8832ecac7d2e2b8ed6")
    assert from_base58(PUBLIC) == bytes.fromhex("ed01") + public
    assert from_base58(SECRET) == bytes.fromhex("8026") + secret
    assert (public_bytes(PUBLIC), public_text(public)) == (public, PUBLIC)
    assert (secret_bytes(SECRET), secret_text(secret)) == (secret, SECRET)
    assert public_of(SECRET) == PUBLIC


def test_the_key_of_the_open_badges_guide_is_read_and_written() -> None:
    """Open Badges 3.0 implementation guide: its private key gives its public key and Multikey."""
    secret = secret_text(bytes.fromhex("6241a409e6707bb640a0140a8a32bc3d193c33a661747284d6adfa4ed4180be4"))
    assert public_of(secret) == "z6MkjZRZv3aez3r18pB1RBFJR1kwUVJ5jHt92JmQwXbd5hwi"
    wanted = "4bdeafde2ea8beefadd8c699b5c7e0704cf51154d52e17b20b71337ca04cc5a5"
    assert public_bytes("z6MkjZRZv3aez3r18pB1RBFJR1kwUVJ5jHt92JmQwXbd5hwi").hex() == wanted


def test_the_canonical_texts_and_their_hashes_are_the_published_ones() -> None:
    """Appendix B.4: canonical document, canonical proof, and the SHA-256 of each."""
    assert (canonical(UNSIGNED), canonical(CONFIG)) == (CANONICAL_DOCUMENT, CANONICAL_PROOF)
    assert (digest(CANONICAL_PROOF), digest(CANONICAL_DOCUMENT)) == (PROOF_HASH, DOCUMENT_HASH)


def test_what_is_signed_is_the_proofs_hash_and_then_the_documents() -> None:
    """Section 3.3.4: in that order."""
    assert signed_bytes(UNSIGNED, CONFIG).hex() == PROOF_HASH + DOCUMENT_HASH


def test_the_signature_is_the_published_one() -> None:
    """Appendix B.4: the 64 bytes, their base58btc text, and the signed document."""
    signed = sign(UNSIGNED, SECRET, METHOD, CREATED)
    assert from_base58(signed["proof"]["proofValue"]).hex() == SIGNATURE
    assert to_base58(bytes.fromhex(SIGNATURE)) == PROOF_VALUE
    assert signed == {**UNSIGNED, "proof": {**CONFIG, "proofValue": PROOF_VALUE}}


@pytest.mark.parametrize("name", RFC_8032)
def test_ed25519_gives_the_signatures_of_its_rfc(name: str) -> None:
    """RFC 8032, section 7.1: key, signature and check, and a changed message is refused."""
    secret, public, message, signature = (bytes.fromhex(part) for part in RFC_8032[name])
    key = Ed25519PrivateKey.from_private_bytes(secret)
    assert key.public_key().public_bytes_raw() == public
    assert key.sign(message) == signature
    Ed25519PublicKey.from_public_bytes(public).verify(signature, message)
    with pytest.raises(InvalidSignature):
        Ed25519PublicKey.from_public_bytes(public).verify(signature, message + b"!")


def test_the_identity_hash_is_the_published_one() -> None:
    """Open Badges 3.0, IdentityHash: a@example.com salted with Kosher."""
    wanted = "sha256$b5809d8a92f8858436d7e6b87c12ebc0ae1eac4baecc2c0b913aee2c922ef399"
    assert identity_hash("a@example.com", "Kosher") == wanted
    assert wanted == "sha256$" + hashlib.sha256(b"a@example.comKosher").hexdigest()
