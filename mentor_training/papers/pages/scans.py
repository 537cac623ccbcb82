"""A scan itself: given to the coordinator, whose look is journaled, and to whom it belongs; to nobody else."""

from __future__ import annotations

from flask import Response

from mentor_training.errors import NotAllowed
from mentor_training.papers import queries
from mentor_training.papers.access import scan_folder
from mentor_training.papers.actions.scans import look
from mentor_training.papers.pages.blueprint import pages
from mentor_training.papers.scans.kinds import PDF
from mentor_training.papers.tables import Scan
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act

# Nothing in it may run, load or frame anything, should it ever be taken for a page.
POLICY = "default-src 'none'; frame-ancestors 'none'; form-action 'none'; base-uri 'none'"
SANDBOX = f"{POLICY}; sandbox"


@pages.get("/papers/scans/<int:number>")
@guarded(Act.VERIFY_PAPERS)
def seen_scan(number: int) -> Response:
    """Give a scan to the coordinator; each look is journaled."""
    queries.scan_for(db(), number)
    with instance().database.writing() as writer:
        row = look(writer, now(), me(), number)
    return _given(row)


@pages.get("/papers/own/scans/<int:number>")
@guarded(Act.PUT_OWN_PAPER)
def own_scan(number: int) -> Response:
    """Give somebody what they sent themselves."""
    row = queries.scan_for(db(), number)
    if row.person != me().code:
        raise NotAllowed("somebody else's papers")
    return _given(row)


def _given(row: Scan) -> Response:
    ending, policy = ("pdf", POLICY) if row.kind == PDF else ("jpg", SANDBOX)
    headers = {
        "Content-Disposition": f"inline; filename=paper-scan-{row.number}.{ending}",
        "Content-Security-Policy": policy,
        "Cross-Origin-Resource-Policy": "same-origin",
        "Cache-Control": "no-store",
    }
    return Response(scan_folder().read(row.name), mimetype=row.kind, headers=headers)
