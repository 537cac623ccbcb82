"""Passwords are kept as the OWASP Password Storage Cheat Sheet and RFC 9106 say.

OWASP Password Storage Cheat Sheet (read at commit 6b8819da): argon2id with at least 19 MiB of memory, two passes and
one lane. NIST SP 800-63B-4 (final of 2025, quoted by the OWASP Authentication Cheat Sheet and in ASVS issue 3242; check
against the current original): at least 15 characters where the password is the only factor.
"""

from __future__ import annotations

import hashlib
import re

import pytest
from argon2 import PasswordHasher, Type, extract_parameters
from argon2.low_level import ARGON2_VERSION, core, error_to_str, ffi
from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.people.actions import invite
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import person_for
from mentor_training.people.rules import HASHER, hash_password, password_faults, password_fits
from tests.builders import World

MINIMUM = 15
KIBIBYTES, PASSES, LANES = 19456, 2, 1
# The sheet's other choices of the same strength: memory in KiB, passes, lanes.
EQUALS = [(47104, 1, 1), (12288, 3, 1), (9216, 4, 1), (7168, 5, 1)]


def test_a_stored_password_is_argon2id_with_the_parameters_of_the_sheet() -> None:
    """m=19456 (19 MiB), t=2, p=1; version 1.3; read back from the stored text itself."""
    stored = hash_password("seven quiet herons stand")
    assert stored.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    found = extract_parameters(stored)
    assert (found.type, found.version) == (Type.ID, 19)
    assert (found.memory_cost, found.time_cost, found.parallelism) == (KIBIBYTES, PASSES, LANES)
    assert found.salt_len >= 16
    assert found.hash_len >= 32


def test_a_weaker_hash_is_known_as_one_to_be_made_anew() -> None:
    """Less memory, or fewer passes, than the sheet asks for."""
    for weaker in (PasswordHasher(time_cost=2, memory_cost=8192, parallelism=1),
                   PasswordHasher(time_cost=1, memory_cost=19456, parallelism=1)):  # fmt: skip
        assert HASHER.check_needs_rehash(weaker.hash("seven quiet herons stand"))
    assert not HASHER.check_needs_rehash(hash_password("seven quiet herons stand"))


@pytest.mark.parametrize(("memory", "passes", "lanes"), EQUALS)
def test_the_sheets_other_choices_are_read_too(memory: int, passes: int, lanes: int) -> None:
    """A hash from elsewhere carries its own parameters; the password fits all the same."""
    stored = PasswordHasher(time_cost=passes, memory_cost=memory, parallelism=lanes).hash("seven quiet herons stand")
    assert password_fits("seven quiet herons stand", stored)
    assert not password_fits("seven quiet herons stand.", stored)


def test_two_people_with_one_password_have_two_hashes() -> None:
    """A salt of its own for each: RFC 9106, section 3.1."""
    assert hash_password("seven quiet herons stand") != hash_password("seven quiet herons stand")


def argon2id(password: bytes, salt: bytes, secret: bytes, associated: bytes) -> bytes:
    """Call the library's own core with the inputs of the test vector: 32 KiB, three passes, four lanes, 32 bytes."""
    parts = {name: ffi.new("uint8_t[]", data) for name, data in
             (("pwd", password), ("salt", salt), ("secret", secret), ("ad", associated))}  # fmt: skip
    out = ffi.new("uint8_t[]", 32)
    context = ffi.new("argon2_context *", {
        "version": ARGON2_VERSION, "out": out, "outlen": 32, "t_cost": 3, "m_cost": 32, "lanes": 4, "threads": 1,
        "pwd": parts["pwd"], "pwdlen": len(password), "salt": parts["salt"], "saltlen": len(salt),
        "secret": parts["secret"], "secretlen": len(secret), "ad": parts["ad"], "adlen": len(associated),
        "allocate_cbk": ffi.NULL, "free_cbk": ffi.NULL, "flags": 0,
    })  # fmt: skip
    code = core(context, Type.ID.value)
    assert code == 0, error_to_str(code)
    return bytes(ffi.buffer(out))


def test_the_library_computes_the_vector_of_rfc_9106() -> None:
    """RFC 9106, section 5.3 (from memory; reproduced by a second library)."""
    found = argon2id(bytes([1] * 32), bytes([2] * 16), bytes([3] * 8), bytes([4] * 12))
    assert found.hex() == "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"


def test_a_password_is_counted_in_code_points_after_normalization() -> None:
    """NIST SP 800-63B-4: each Unicode code point is one character; a ligature counts as NFKC spells it."""
    assert password_faults("ä" * 3 + "ö" * 4 + "ü" * 4 + "é" * 4, MINIMUM) == ()
    assert password_faults("a\u0308b\u0308c\u0308d\u0308e\u0308f\u0308g\u0308", MINIMUM)
    assert password_fits("\ufb01ve quiet herons stand", hash_password("five quiet herons stand"))


def test_fifteen_characters_do_and_fourteen_do_not() -> None:
    """And sixty-four and more are allowed, with any characters, blanks included, and no rule of composition."""
    assert password_faults("quiet herons on", MINIMUM) == ()
    assert password_faults("quiet herons o", MINIMUM)
    assert password_faults("abcd efgh " * 10, MINIMUM) == ()


def test_common_values_and_ones_own_address_are_refused() -> None:
    """NIST SP 800-63B-4: compared with commonly used values and with what belongs to the account."""
    assert password_faults("correct horse battery staple", MINIMUM)
    assert password_faults("aaaaaaaaaaaaaaaaaaaa", MINIMUM)
    assert password_faults("v-001@marrowdale.example", MINIMUM, ("Odalys", "v-001@marrowdale.example"))


@settings(max_examples=15, deadline=None)
@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=80), st.text(max_size=5))
def test_only_the_password_itself_fits(password: str, more: str) -> None:
    """Whatever it is written in, and nothing is cut off at 72 bytes or any other length."""
    stored = hash_password(password)
    assert password_fits(password, stored)
    if more and re.sub(r"\s", "", more):
        assert password_fits(password + "x" + more, stored) is False


def test_nobody_fits_where_there_is_no_hash() -> None:
    """An invited person who has chosen none yet cannot sign in, by no password at all."""
    assert not password_fits("", None)
    assert not password_fits("nobody has this password", None)


def test_an_invitation_is_kept_as_its_hash(world: World) -> None:
    """OWASP Forgot Password Cheat Sheet: a token is stored as securely as a password. SHA-256 of 256 random bits."""
    world.add_person("v-001")
    with world.writing() as db:
        token = invite(db, world.clock.now(), CONSOLE, "v-001")
        assert person_for(db, "v-001").invitation_hash == hashlib.sha256(token.encode()).hexdigest()
        assert len(token) >= 43
