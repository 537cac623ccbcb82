"""A certificate's credential against the W3C's own schema and the required properties of Open Badges 3.0.

The schema is `credential_schema.SCHEMA`; it is run by jsonschema, which has no part in the program. The Open Badges
schemas could not be had, so that its required properties are those of its published data model.
"""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.certificates.test_credential import SIGNED
from tests.outside.credential_schema import SCHEMA
from tests.outside.test_credential_signatures import CONFIG, UNSIGNED

VALIDATOR = Draft202012Validator(SCHEMA)
OPEN_BADGES_CONTEXT = r"https://purl\.imsglobal\.org/spec/ob/v3p0/context(-3\.\d\.\d)*\.json"


def faults(document: Any) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(document)]


def test_the_schema_is_one_and_takes_the_recommendations_own_example() -> None:
    """A check that refuses everything, or nothing, is no check."""
    Draft202012Validator.check_schema(SCHEMA)
    assert faults({**UNSIGNED, "proof": CONFIG}) == []
    assert "'issuer' is a required property" in faults({key: UNSIGNED[key] for key in UNSIGNED if key != "issuer"})


def test_a_certificates_credential_is_one_by_the_w3cs_schema() -> None:
    """With its proof, its evidence and its end."""
    assert faults(json.loads(SIGNED)) == []


@pytest.mark.parametrize("name", ["@context", "type", "issuer", "credentialSubject"])
def test_without_what_the_schema_requires_it_is_none(name: str) -> None:
    """Verifiable Credentials Data Model 2.0: the four required properties."""
    document = json.loads(SIGNED)
    del document[name]
    assert faults(document) == [f"'{name}' is a required property"]


def test_it_has_all_that_open_badges_requires() -> None:
    """Open Badges 3.0, by class: cardinality 1 or 1..*, the two contexts in their order, a moment with its zone."""
    document = json.loads(SIGNED)
    assert document["@context"][0] == "https://www.w3.org/ns/credentials/v2"
    assert re.fullmatch(OPEN_BADGES_CONTEXT, document["@context"][1])
    assert {"id", "issuer", "validFrom", "credentialSubject"} <= set(document)
    assert set(document["type"]) >= {"VerifiableCredential", "OpenBadgeCredential"}
    assert re.fullmatch(SCHEMA["properties"]["validFrom"]["pattern"], document["validFrom"])
    subject = document["credentialSubject"]
    assert "AchievementSubject" in subject["type"]
    assert {"id", "type", "criteria", "description", "name"} <= set(subject["achievement"])
    assert {"id", "type"} <= set(document["issuer"])
    assert "Profile" in document["issuer"]["type"]
    (identity,) = subject["identifier"]
    assert {"type", "hashed", "identityHash", "identityType"} <= set(identity)
    assert identity["type"] == "IdentityObject"
