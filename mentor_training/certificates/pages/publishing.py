"""What anybody's program needs to check a credential: who issues, by which keys, and what a kind of certificate is."""

from __future__ import annotations

from typing import Any

from flask import Response

from mentor_training.certificates.credential import CONTEXTS, achievement, issuer_profile
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.certificates.queries import kind_for
from mentor_training.certificates.rules import LIMITS
from mentor_training.certificates.signing import achievement_address, issuer_address
from mentor_training.database.signing_keys import signing_keys
from mentor_training.journal.chain import canonical
from mentor_training.people.access import db, instance, public
from mentor_training.program.queries import as_published, edition_for


@pages.get("/issuer")
@public
def issuer() -> Response:
    """Publish the issuer's profile with its keys, the earlier ones too, which go on verifying what they signed."""
    settings = instance().settings
    keys = [key.public for key in signing_keys(settings.folder / "keys")]
    return _published(issuer_profile(issuer_address(settings.address), settings.title, settings.address, keys))


@pages.get("/issuer/<int:edition>/<kind>")
@public
def achieved(edition: int, kind: str) -> Response:
    """Publish what a kind of certificate is, as an edition of the program has it."""
    found = kind_for(as_published(db(), edition_for(db(), edition)).program, kind)
    address = achievement_address(instance().settings.address, edition, kind)
    made = achievement(address, found.title, found.text.strip(), LIMITS)
    return _published({"@context": list(CONTEXTS), **made})


def _published(document: dict[str, Any]) -> Response:
    """Answer with a document that any site's script may read: it is for everybody, and asks for no cookie."""
    headers = {"Access-Control-Allow-Origin": "*", "Cache-Control": "public, max-age=300"}
    return Response(canonical(document), content_type="application/json", headers=headers)
