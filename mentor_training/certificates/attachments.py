"""The credential that a certificate's PDF carries; pure."""

from __future__ import annotations

from mentor_training.web.pdf_pages import attached_files


def attached_credential(data: bytes) -> bytes:
    """Return the credential attached to a PDF; ValueError where there is none, more than one, or no PDF at all."""
    found = [content for name, content in attached_files(data).items() if name.lower().endswith(".json")]
    if len(found) != 1:
        raise ValueError(f"{len(found) or 'no'} credentials are attached to this PDF, and one should be")
    return found[0]
