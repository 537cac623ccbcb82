"""The blueprint on which the pages of letters hang, and how a letter leaves."""

from __future__ import annotations

from flask import Blueprint, Response

pages = Blueprint("letters", __name__)


def pdf(content: bytes, name: str) -> Response:
    """Answer with a letter to take away."""
    headers = {"Content-Disposition": f'attachment; filename="{name}.pdf"'}
    return Response(content, content_type="application/pdf", headers=headers)
