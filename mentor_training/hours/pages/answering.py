"""What the pages of hours share: the day asked about, and files to take away."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from flask import Response

from mentor_training.people.access import instance, now
from mentor_training.web.as_of import current_as_of

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def asked() -> tuple[date, datetime]:
    """Return the day that this request is asked about, and the moment whose knowledge counts."""
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def file(content: bytes | Iterator[bytes], name: str) -> Response:
    """Answer with a file to take away."""
    kind = KINDS[name.rpartition(".")[2]]
    return Response(content, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
