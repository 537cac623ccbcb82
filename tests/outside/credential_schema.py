"""The W3C's own JSON Schema of a verifiable credential, typed in as it is published.

https://www.w3.org/2022/credentials/v2/verifiable-credential-schema.json, read in the W3C's repository of the Verifiable
Credentials Data Model 2.0 (W3C Software and Document License).
"""

from __future__ import annotations

from typing import Any

# An XML Schema dateTime with its zone.
MOMENT = (
    r"-?([1-9][0-9]{3,}|0[0-9]{3})-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
    r"T(([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\.[0-9]+)?|(24:00:00(\.0+)?))"
    r"(Z|(\+|-)((0[0-9]|1[0-3]):[0-5][0-9]|14:00))"
)

SCHEMA: dict[str, Any] = {
    "$id": "https://www.w3.org/2022/credentials/v2/verifiable-credential-schema.json",
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "description": "JSON Schema for a Verifiable Credential according to the Verifiable Credentials Data Model v2",
    "type": "object",
    "$defs": {
        "type": {"oneOf": [{"type": "string"}, {"type": "array", "minItems": 1}]},
        "credentialSubject": {"type": "object", "properties": {"id": {"type": "string"}}, "minProperties": 1},
        "credentialSchema": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "type": {"$ref": "#/$defs/type"}},
            "required": ["id", "type"],
            "additionalProperties": True,
        },
        "credentialStatus": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "type": {"$ref": "#/$defs/type"}},
            "required": ["type"],
            "additionalProperties": True,
        },
        "refreshService": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "type": {"$ref": "#/$defs/type"}},
            "required": ["id", "type"],
            "additionalProperties": True,
        },
        "termsOfUse": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "type": {"$ref": "#/$defs/type"}},
            "required": ["type"],
            "additionalProperties": True,
        },
        "evidence": {
            "type": "object",
            "properties": {"id": {"type": "string"}, "type": {"$ref": "#/$defs/type"}},
            "required": ["type"],
            "additionalProperties": True,
        },
        "proof": {
            "type": "object",
            "properties": {
                "type": {"$ref": "#/$defs/type"},
                "proofPurpose": {"type": "string"},
                "verificationMethod": {
                    "oneOf": [
                        {"type": "string"},
                        {
                            "type": "array",
                            "minItems": 1,
                            "items": {
                                "type": "object",
                                "properties": {
                                    "id": {"type": "string"},
                                    "type": {"type": "string"},
                                    "controller": {"type": "string"},
                                },
                                "required": ["id", "type", "controller"],
                                "additionalProperties": True,
                            },
                        },
                    ]
                },
                "created": {"type": "string"},
                "domain": {"type": "string"},
                "challenge": {"type": "string"},
                "proofValue": {"type": "string"},
            },
            "required": ["type", "proofPurpose", "verificationMethod"],
            "additionalProperties": True,
        },
    },
    "properties": {
        "@context": {
            "type": "array",
            "contains": {"const": "https://www.w3.org/ns/credentials/v2"},
            "minItems": 1,
            "items": {
                "oneOf": [
                    {"type": "string", "minLength": 1},
                    {"type": "object", "minProperties": 1, "propertyNames": {"type": "string", "minLength": 1}},
                ]
            },
            "prefixItems": [{"const": "https://www.w3.org/ns/credentials/v2"}],
            "uniqueItems": True,
        },
        "id": {"type": "string"},
        "type": {
            "oneOf": [
                {"type": "array", "contains": {"const": "VerifiableCredential"}},
                {"type": "string", "enum": ["VerifiableCredential"]},
            ]
        },
        "issuer": {
            "oneOf": [
                {"type": "string"},
                {
                    "type": "object",
                    "properties": {"id": {"type": "string"}},
                    "required": ["id"],
                    "additionalProperties": True,
                },
            ]
        },
        "validFrom": {
            "type": "string",
            "pattern": MOMENT,
        },
        "validUntil": {
            "type": "string",
            "pattern": MOMENT,
        },
        "credentialSubject": {
            "oneOf": [
                {"$ref": "#/$defs/credentialSubject"},
                {"type": "array", "items": {"$ref": "#/$defs/credentialSubject"}, "minItems": 1},
            ]
        },
        "credentialStatus": {
            "oneOf": [
                {"$ref": "#/$defs/credentialStatus"},
                {"type": "array", "items": {"$ref": "#/$defs/credentialStatus"}, "minItems": 1},
            ]
        },
        "credentialSchema": {
            "oneOf": [
                {"$ref": "#/$defs/credentialSchema"},
                {"type": "array", "items": {"$ref": "#/$defs/credentialSchema"}, "minItems": 1},
            ]
        },
        "refreshService": {
            "oneOf": [
                {"$ref": "#/$defs/refreshService"},
                {"type": "array", "items": {"$ref": "#/$defs/refreshService"}, "minItems": 1},
            ]
        },
        "termsOfUse": {
            "oneOf": [
                {"$ref": "#/$defs/termsOfUse"},
                {"type": "array", "items": {"$ref": "#/$defs/termsOfUse"}, "minItems": 1},
            ]
        },
        "evidence": {
            "oneOf": [
                {"$ref": "#/$defs/evidence"},
                {"type": "array", "items": {"$ref": "#/$defs/evidence"}, "minItems": 1},
            ]
        },
        "proof": {
            "oneOf": [{"$ref": "#/$defs/proof"}, {"type": "array", "items": {"$ref": "#/$defs/proof"}, "minItems": 1}]
        },
    },
    "required": ["@context", "type", "issuer", "credentialSubject"],
    "additionalProperties": True,
}
