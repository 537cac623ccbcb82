"""What a camera writes beside the picture in a JPEG, taken out without decoding it; pure (ITU-T T.81, annex B)."""

from __future__ import annotations

START, SCAN, COMMENT, ADOBE = b"\xff\xd8", 0xDA, 0xFE, 0xEE
FIRST_APPLICATION, LAST_APPLICATION = 0xE0, 0xEF


def without_notes(data: bytes) -> bytes:
    """Return a JPEG without its comments and what applications noted (place, device, time); as it is if it is none.

    The one note that stays, Adobe's, says how its colors are to be read. Everything from the first scan on is kept.
    """
    if not data.startswith(START):
        return data
    kept, at = [START], len(START)
    while at + 4 <= len(data) and data[at] == 0xFF and data[at + 1] != SCAN:
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if not _is_note(data[at + 1]):
            kept.append(data[at:end])
        at = end
    return b"".join((*kept, data[at:]))


def _is_note(marker: int) -> bool:
    return marker == COMMENT or (FIRST_APPLICATION <= marker <= LAST_APPLICATION and marker != ADOBE)
