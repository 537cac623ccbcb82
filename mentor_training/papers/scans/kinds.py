"""What a file is by its first bytes, whatever its name says; pure. Signatures are those of the formats' standards."""

from __future__ import annotations

JPEG, PNG, WEBP, PDF = "image/jpeg", "image/png", "image/webp", "application/pdf"
PICTURES = frozenset({JPEG, PNG, WEBP})
# What a browser offers to choose from. A phone hands a picture over as JPEG where the list asks for that by name.
ACCEPTED = f"{JPEG},{PNG},{WEBP},{PDF}"
LARGEST_FILE = 8 * 1024 * 1024
WHAT_TO_SEND = "Send a JPEG, PNG or WebP picture, or a PDF."

# ISO/IEC 14496-12, 4.3: a file of this family names its brand in the box `ftyp` at its beginning.
_BRANDS_OF_HEIF = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis"})


def kind_of(data: bytes) -> str | None:
    """Return which kind of file the bytes begin: JPEG (FF D8 FF), PNG, WebP (RIFF), PDF; None for everything else."""
    if data.startswith(b"\xff\xd8\xff"):
        return JPEG
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return WEBP
    return PDF if data.startswith(b"%PDF-") else None


def fault_of(data: bytes) -> str | None:
    """Return why a file is not even opened: empty, too large, or none of the four kinds; None when it may be."""
    if not data:
        return "The file is empty. Take the picture again, and send that."
    if len(data) > LARGEST_FILE:
        return (
            f"The file has {len(data) / 1024 / 1024:.1f} MB; {LARGEST_FILE // 1024 // 1024} MB are the most. "
            "Take the picture in a lower resolution, or send a picture of the picture on the screen."
        )
    if kind_of(data):
        return None
    if data[4:8] == b"ftyp" and data[8:12] in _BRANDS_OF_HEIF:
        return (
            "This is a HEIC or AVIF picture, which cannot be read here. Set the camera to save JPEG, or take a "
            "picture of the screen, and send that."
        )
    return f"This is neither a picture nor a PDF, whatever its name says. {WHAT_TO_SEND}"
