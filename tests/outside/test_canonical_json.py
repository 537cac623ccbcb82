"""Canonical JSON, on which the journal's hashes rest, against the published test vectors of RFC 8785.

The six pairs of input and output (arrays, french, structures, unicode, values, weird) are those of the reference test
data that RFC 8785 points to, in the repository cyberphone/json-canonicalization by A. Rundgren (Apache-2.0), typed in
here as values; the number texts are RFC 8785, Appendix B (five of them read in that repository's README, the others
from memory and reproduced by two independent libraries).
"""

from __future__ import annotations

import json
import math
import struct
from typing import Any

import pytest
import rfc8785

from mentor_training.journal.chain import canonical

VECTORS: dict[str, tuple[Any, str]] = {
    "arrays": ([56, {"d": True, "10": None, "1": []}], '[56,{"1":[],"10":null,"d":true}]'),
    "french": (
        {
            "peach": "This sorting order",
            "p\u00e9ch\u00e9": "is wrong according to French",
            "p\u00eache": "but canonicalization MUST",
            "sin": "ignore locale",
        },
        (
            '{"peach":"This sorting order","p\u00e9ch\u00e9":"is wrong according to French",'
            '"p\u00eache":"but canonicalization MUST","sin":"ignore locale"}'
        ),
    ),
    "structures": (
        {
            "1": {"f": {"f": "hi", "F": 5}, "\n": 56.0},
            "10": {},
            "": "empty",
            "a": {},
            "111": [{"e": "yes", "E": "no"}],
            "A": {},
        },
        '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}',
    ),
    "unicode": ({"Unnormalized Unicode": "A\u030a"}, '{"Unnormalized Unicode":"A\u030a"}'),
    "values": (
        {
            "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
            "literals": [None, True, False],
        },
        (
            '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
            '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
        ),
    ),
    "weird": (
        {
            "\u20ac": "Euro Sign",
            "\r": "Carriage Return",
            "\u000a": "Newline",
            "1": "One",
            "\u0080": "Control\u007f",
            "\U0001f602": "Smiley",
            "\u00f6": "Latin Small Letter O With Diaeresis",
            "\ufb33": "Hebrew Letter Dalet With Dagesh",
            "</script>": "Browser Challenge",
        },
        (
            '{"\\n":"Newline","\\r":"Carriage Return","1":"One","</script>":"Browser Challenge",'
            '"\u0080":"Control\u007f","\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign",'
            '"\U0001f602":"Smiley","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
        ),
    ),
}
# The length in bytes of each output, from the hexadecimal files beside the vectors: typing errors would show.
LENGTHS = {"arrays": 32, "french": 130, "structures": 98, "unicode": 30, "values": 118, "weird": 214}

NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


@pytest.mark.parametrize("name", VECTORS)
def test_a_published_vector_comes_out_byte_for_byte(name: str) -> None:
    """Names in the order of their UTF-16 code units, numbers as ECMAScript writes them, nothing normalized."""
    value, wanted = VECTORS[name]
    found = canonical({"v": value}).removeprefix('{"v":').removesuffix("}")
    assert found == wanted
    assert len(found.encode("utf-8")) == LENGTHS[name]


def test_plain_json_with_sorted_keys_would_not_do() -> None:
    """Two of the six come out otherwise, by number form and by order beyond the basic plane."""
    wrong = {
        name
        for name, (value, wanted) in VECTORS.items()
        if json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False) != wanted
    }
    assert wrong >= {"structures", "weird"}


@pytest.mark.parametrize("bits", NUMBERS)
def test_a_double_is_written_as_the_appendix_says(bits: str) -> None:
    """RFC 8785, Appendix B: IEEE 754 bits and their one text."""
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical({"n": number}) == f'{{"n":{NUMBERS[bits]}}}'


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(number: float) -> None:
    """RFC 8785, Appendix B: NaN and Infinity are errors."""
    with pytest.raises(rfc8785.FloatDomainError):
        canonical({"n": number})


def test_a_whole_number_that_a_double_would_change_is_refused() -> None:
    """2^53 + 1 has no exact double (RFC 7493, section 2.2): better an error than a hash over another number."""
    assert canonical({"n": 2**53 - 1}) == '{"n":9007199254740991}'
    with pytest.raises(rfc8785.IntegerDomainError):
        canonical({"n": 2**53 + 1})
