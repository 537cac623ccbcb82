"""What a certificate's PDF carries and shows, to be compared with what the program would print; pure."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator

import pikepdf

PDF_START = b"%PDF-"
BETWEEN_PAPERS = 817  # points: Letter is 792 long (11 in), A4 841.9 (297 mm)
DEEPEST = 40  # levels of a page's own objects; ours have fewer than ten


def attached_credential(data: bytes) -> bytes:
    """Return the credential attached to a PDF; ValueError where there is none, more than one, or no PDF at all."""
    with _opened(data) as pdf:
        found = [
            file.get_file().read_bytes() for name, file in pdf.attachments.items() if name.lower().endswith(".json")
        ]
    if len(found) != 1:
        raise ValueError(f"{len(found) or 'no'} credentials are attached to this PDF, and one should be")
    return found[0]


def pages_changed(data: bytes, wanted: bytes) -> tuple[str, ...]:
    """Return which pages of a PDF do not show what they should, by the whole of what draws them; of one that is drawn
    alike.
    """
    with _opened(data) as pdf, _opened(wanted) as other:
        found, expected = _pages(pdf), _pages(other)
    if len(found) != len(expected):
        return (f"It has {len(found)} pages, and the certificate {len(expected)}.",)
    pairs = enumerate(zip(found, expected, strict=True), 1)
    return tuple(f"Page {at} does not show what the certificate says." for at, (one, two) in pairs if one != two)


def are_drawn_alike(data: bytes, wanted: bytes) -> bool:
    """Say whether two PDFs are of the same edition of the renderer and of the same form: others draw the same in other
    ways, and their pages cannot be compared.
    """
    with _opened(data) as pdf, _opened(wanted) as other:
        return _makers(pdf) == _makers(other)


def paper_size(data: bytes) -> str:
    """Return the size of paper that a PDF's first page is nearer to, `letter` or `a4`, by its longer side in points."""
    with _opened(data) as pdf:
        sides = [float(one) for one in pdf.pages[0].mediabox] if len(pdf.pages) else [0.0]
    return "a4" if max(sides) > BETWEEN_PAPERS else "letter"


def identifier(data: bytes) -> bytes:
    """Return what a PDF is named by among all files (ISO 32000-1, 14.4), or nothing where it says none."""
    try:
        with _opened(data) as pdf:
            return bytes(pdf.trailer.get("/ID", [b""])[0])
    except ValueError:
        return b""


def _makers(pdf: pikepdf.Pdf) -> tuple[str, ...]:
    return tuple(str(pdf.docinfo.get(name, "")) for name in ("/Producer", "/Creator"))


def _opened(data: bytes) -> pikepdf.Pdf:
    try:
        return pikepdf.open(io.BytesIO(data))
    except (pikepdf.PdfError, pikepdf.PasswordError) as error:
        raise ValueError(f"it cannot be read as a PDF ({error})") from None


def _pages(pdf: pikepdf.Pdf) -> list[str]:
    return [_digest(page.obj) for page in pdf.pages]


def _digest(page: pikepdf.Object) -> str:
    made = hashlib.sha256()
    for name in ("/MediaBox", "/CropBox", "/Rotate", "/UserUnit", "/Annots", "/Contents", "/Resources"):
        made.update(name.encode())
        for part in _parts(page.get(name)):
            made.update(part)
    return made.hexdigest()


def _parts(value: object, level: int = 0) -> Iterator[bytes]:
    """Give all that an object of a page consists of, but for what leads back to the page or to its structure."""
    if level > DEEPEST:
        raise ValueError("its pages are nested too deeply")
    if isinstance(value, pikepdf.Stream):
        yield value.read_bytes()
    if isinstance(value, pikepdf.Dictionary | pikepdf.Stream):
        inside = value.stream_dict if isinstance(value, pikepdf.Stream) else value
        for name in sorted(inside.keys()):
            if name not in ("/Parent", "/P", "/StructParent", "/Length", "/Filter", "/DecodeParms", "/Dest"):
                yield name.encode()
                yield from _parts(inside[name], level + 1)
    elif isinstance(value, pikepdf.Array):
        for one in value:
            yield from _parts(one, level + 1)
    else:
        yield f"{value!s};".encode()
