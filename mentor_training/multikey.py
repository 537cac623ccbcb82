"""Ed25519 keys and signatures as text: W3C Multikey and base58btc (Controlled Identifiers 1.0, section 2.2.2); pure."""

from __future__ import annotations

ALPHABET = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"
# What stands before the 32 bytes of a key, so that one says what it is (multicodec, as unsigned varints).
PUBLIC, SECRET = b"\xed\x01", b"\x80\x26"
KEY_BYTES, SIGNATURE_BYTES = 32, 64
LONGEST = 200  # signs; nothing of ours has more than 100, and decoding takes the square of it


def to_base58(data: bytes) -> str:
    """Write bytes as base58btc with the letter z before it (multibase); each leading zero byte is a 1."""
    number, text = int.from_bytes(data), ""
    while number:
        number, rest = divmod(number, 58)
        text = ALPHABET[rest] + text
    return "z" + "1" * (len(data) - len(data.lstrip(b"\0"))) + text


def from_base58(text: str) -> bytes:
    """Read what `to_base58` wrote; ValueError for any other text."""
    if not text.startswith("z") or len(text) > LONGEST or set(text[1:]) - set(ALPHABET):
        raise ValueError("it is not base58btc, which begins with z and has no 0, O, I or l")
    number = 0
    for sign in text[1:]:
        number = number * 58 + ALPHABET.index(sign)
    zeros = len(text) - 1 - len(text[1:].lstrip("1"))
    return b"\0" * zeros + number.to_bytes((number.bit_length() + 7) // 8)


def public_text(key: bytes) -> str:
    """Write a public Ed25519 key of 32 bytes as a Multikey, which begins with z6Mk."""
    return to_base58(PUBLIC + key)


def secret_text(key: bytes) -> str:
    """Write a secret Ed25519 key of 32 bytes as a Multikey, which begins with z3u2."""
    return to_base58(SECRET + key)


def public_bytes(text: str) -> bytes:
    """Return the 32 bytes of a public Ed25519 Multikey; ValueError for any other text."""
    return _bytes(text, PUBLIC, "a public Ed25519 key")


def secret_bytes(text: str) -> bytes:
    """Return the 32 bytes of a secret Ed25519 Multikey; ValueError for any other text."""
    return _bytes(text, SECRET, "a secret Ed25519 key")


def _bytes(text: str, before: bytes, what: str) -> bytes:
    data = from_base58(text)
    if not data.startswith(before) or len(data) != len(before) + KEY_BYTES:
        raise ValueError(f"it is not {what}")
    return data[len(before) :]
