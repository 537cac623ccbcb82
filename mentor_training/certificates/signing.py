"""From a stored certificate to its signed credential, by the instance's key."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from mentor_training.certificates.credential import BY_CODE, BY_EMAIL, Award, Holder, identity_hash, signed_credential
from mentor_training.certificates.rules import grouped
from mentor_training.certificates.tables import Certificate
from mentor_training.database.signing_keys import SigningKey, key_in_use
from mentor_training.settings import Settings


def credential_of(row: Certificate, settings: Settings) -> bytes:
    """Return a certificate's credential as it is handed out and attached: signed, canonical JSON in UTF-8.

    The same certificate gives the same bytes as long as the same key is in use. Refused where no key is.
    """
    return credential_by(row, settings.address, settings.zone, key_in_use(settings.folder / "keys"))


def credential_by(row: Certificate, site: str, zone: ZoneInfo, key: SigningKey) -> bytes:
    """Return a certificate's credential signed by a key; `site` is the server's public address."""
    since = key.first_moment
    created = max(row.issued_at, since) if since else row.issued_at
    return signed_credential(award_of(row, site, zone), key.secret, created)


def award_of(row: Certificate, site: str, zone: ZoneInfo) -> Award:
    """Return what a credential says of a certificate, from the content that was frozen when it was issued."""
    content = row.content
    return Award(
        address=f"{site}/verify/{row.number}/{grouped(row.verification_code)}",
        issuer=issuer_address(site),
        program=content["program"],
        site=site,
        achievement=achievement_address(site, content["edition"], content["kind"]),
        title=content["title"],
        text=content["text"],
        limits=content["limits"],
        grounds=_grounds(content),
        holder=_holder(row),
        valid_from=row.issued_at,
        valid_until=_valid_until(content, zone),
    )


def issuer_address(site: str) -> str:
    """Return where the issuer's profile and keys are published."""
    return f"{site}/issuer"


def achievement_address(site: str, edition: int, kind: str) -> str:
    """Return where a kind of certificate is described, as it was in an edition of the program."""
    return f"{site}/issuer/{edition}/{kind}"


def holder_content(email: str, salt: str) -> dict[str, str]:
    """Return how a certificate's content names its holder for a credential: by the salted hash of their address.

    In small letters, as in `people`. The salt is drawn anew for each certificate, so that two credentials of one
    person cannot be told to be of the same.
    """
    return {"hash": identity_hash(email.strip().lower(), salt), "salt": salt, "kind": BY_EMAIL}


def _holder(row: Certificate) -> Holder:
    kept = row.content.get("holder")
    if kept:
        return Holder(kept["hash"], kept["salt"], kept["kind"])
    # Issued before credentials were: what identifies its holder is the code, salted by what only this paper carries.
    return Holder(identity_hash(row.person, row.verification_code), row.verification_code, BY_CODE)


def _grounds(content: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    rests_on = [
        (one["what"], one["how"] + (f", since {one['since']}" if one["since"] else "")) for one in content["rests_on"]
    ]
    hours = [(f"Hours: {name}", f"{minutes} minutes approved") for name, minutes in content["minutes"].items()]
    return tuple(rests_on + hours)


def _valid_until(content: Mapping[str, Any], zone: ZoneInfo) -> datetime | None:
    """Return the end of a certificate's last day in the program's zone; None where it does not lapse."""
    written = content.get("last_day")
    return datetime.combine(date.fromisoformat(written) + timedelta(days=1), time(), zone) if written else None
