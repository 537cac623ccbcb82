"""QR codes for paper: an address that a phone's camera opens."""

from __future__ import annotations

import io

import segno

from mentor_training.web.pdf import data_url


def qr_code(address: str) -> str:
    """Return an address as a QR code (ISO/IEC 18004, error correction M), an SVG in a data: URL."""
    out = io.BytesIO()
    segno.make_qr(address, error="m").save(out, kind="svg", border=4, xmldecl=False, svgns=True, scale=4)
    return data_url(out.getvalue(), "image/svg+xml")
