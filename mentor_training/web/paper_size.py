"""The size of paper that a print is asked for in, and how it leaves."""

from __future__ import annotations

from flask import Response, current_app, request
from werkzeug.exceptions import BadRequest

SIZES = {"letter": "Letter", "a4": "A4"}


def asked_size() -> str:
    """Return the size that the address asks for; the program's own where it says nothing."""
    size = request.args.get("size", str(current_app.config["PAPER"])).lower()
    if size not in SIZES:
        raise BadRequest(f"{size!r} is no size of paper here; write letter or a4.")
    return size


def as_pdf(content: bytes, name: str) -> Response:
    """Answer with a PDF under a file name, shown at once where the browser can."""
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(content, content_type="application/pdf", headers=headers)
