"""What every answer tells the browser not to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import request

if TYPE_CHECKING:
    from flask import Flask, Response

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
# No page uses the camera, the microphone or where the device is, but the two that scan name tags.
PERMISSIONS_POLICY = "camera=(), microphone=(), geolocation=()"
WITH_CAMERA = PERMISSIONS_POLICY.replace("camera=()", "camera=(self)")


def protect(app: Flask) -> None:
    """Set the protecting headers on every answer of `app`."""
    app.after_request(add_protecting_headers)


def add_protecting_headers(response: Response) -> Response:
    """Allow nothing but the program's own scripts, styles, pictures and forms; keep pages out of caches and frames.

    The referrer stays within the site and does not vanish altogether: over HTTPS the forms' own protection compares it.
    Everything but the program's own static files may show a person's records, so nothing else is kept by a browser or
    anything between, unless a page has said otherwise itself.
    """
    # What is no page, such as a picture that somebody sent, sets a stricter one itself.
    response.headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["X-Frame-Options"] = "DENY"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
    if not _is_static() and "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-store"
    return response


def _is_static() -> bool:
    return (request.endpoint or "").rpartition(".")[2] == "static"
