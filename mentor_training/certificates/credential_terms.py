"""What a credential may and must have: the terms of its two contexts, and the properties that are required; pure.

The terms are those of the W3C credentials context v2 and of the Open Badges context 3.0.3, type by type; what is
required is the Open Badges 3.0 data model. Under some suites of signing a member that no context defines is left out
before signing, so that anybody could change it; here such a member is an error whatever the suite.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

ANYWHERE = frozenset({"id", "type", "name", "description", "image", "url", "narrative", "endorsement", "alignment"})


@dataclass(frozen=True)
class Terms:
    """One type of object: its own terms, those of them that hold another type, and those that it must have."""

    own: frozenset[str]
    holds: Mapping[str, str] = field(default_factory=dict)
    required: tuple[str, ...] = ()


def _terms(own: str, required: str = "", **holds: str) -> Terms:
    return Terms(frozenset(own.split()) | holds.keys() | ANYWHERE, holds, tuple(required.split()))


TYPES = {
    "credential": _terms(
        "@context validFrom validUntil refreshService termsOfUse",
        "@context id type issuer validFrom credentialSubject",
        issuer="Profile", credentialSubject="AchievementSubject", evidence="Evidence", proof="proof",
        credentialSchema="reference", credentialStatus="reference",
    ),
    "Profile": _terms(
        "additionalName address dateOfBirth email familyName familyNamePrefix givenName honorificPrefix "
        "honorificSuffix otherIdentifier parentOrg patronymicName phone official",
        "id type",
    ),
    "AchievementSubject": _terms(
        "activityEndDate activityStartDate creditsEarned licenseNumber role source term", "type achievement",
        achievement="Achievement", identifier="IdentityObject", result="Result",
    ),
    "Achievement": _terms(
        "achievementType creditsAvailable fieldOfStudy humanCode otherIdentifier related specialization tag version "
        "creator",
        "id type criteria description name",
        criteria="Criteria", resultDescription="ResultDescription",
    ),
    "Criteria": _terms(""),
    "IdentityObject": _terms(
        "hashed identityHash identityType salt", "type hashed identityHash identityType"
    ),
    "Result": _terms("achievedLevel resultDescription status value", "type"),
    "ResultDescription": _terms(
        "allowedValue requiredLevel requiredValue resultType rubricCriterionLevel valueMax valueMin",
        "id type name resultType",
    ),
    "Evidence": _terms("audience genre", "type"),
    "reference": _terms("", "id type"),
    "proof": _terms(
        "@context created cryptosuite domain challenge nonce expires proofPurpose proofValue verificationMethod",
        "type proofPurpose verificationMethod proofValue",
    ),
}  # fmt: skip
# The types by which an object says what it is.
MARKS = {
    "credential": "VerifiableCredential", "Profile": "Profile", "AchievementSubject": "AchievementSubject",
    "Achievement": "Achievement", "IdentityObject": "IdentityObject", "Evidence": "Evidence",
}  # fmt: skip


def undefined(document: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the paths of all members that neither context defines where they stand."""
    return tuple(
        f"{path}{name}" for path, kind, one in _objects(document) for name in one if name not in TYPES[kind].own
    )


def missing(document: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what is required and not there, each as a path; empty when nothing is missing."""
    found = []
    for path, kind, one in _objects(document):
        found += [f"{path}{name}" for name in TYPES[kind].required if one.get(name) in (None, "", [], {})]
        mark = MARKS.get(kind)
        if mark and "type" in one and mark not in _listed(one["type"]):
            found.append(f"{path}type {mark}")
        if kind == "AchievementSubject" and not (one.get("id") or one.get("identifier")):
            found.append(f"{path}id or {path}identifier")
    if not {"OpenBadgeCredential", "AchievementCredential"} & {str(one) for one in _listed(document.get("type"))}:
        found.append("type OpenBadgeCredential")
    return tuple(found)


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _objects(one: Mapping[str, Any], kind: str = "credential", path: str = "") -> Iterator[tuple[str, str, Any]]:
    """Give every object whose type is known, with its path, from the document inward."""
    yield path, kind, one
    for name, held in TYPES[kind].holds.items():
        inner = one.get(name)
        several = isinstance(inner, list)
        for at, part in enumerate(_listed(inner)):
            if isinstance(part, dict):
                yield from _objects(part, held, f"{path}{name}[{at}]." if several else f"{path}{name}.")
