"""What a PDF carries and shows, to be compared with what the program would print; pure."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterator, Mapping

import pikepdf

PDF_START = b"%PDF-"
BETWEEN_PAPERS = 817  # points: Letter is 792 long (11 in), A4 841.9 (297 mm)
# A line of a font's table of letters: a glyph, and the UTF-16 of what it stands for (ISO 32000, 9.10.3).
GLYPH = re.compile(r"^<([0-9a-fA-F]{4})> <((?:[0-9a-fA-F]{4})+)>$", re.MULTILINE)
DEEPEST = 40  # levels of a page's own objects; ours have fewer than ten


def attached_files(data: bytes) -> dict[str, bytes]:
    """Return the files that a PDF carries, by their names; ValueError for what is no PDF."""
    with _opened(data) as pdf:
        return {name: file.get_file().read_bytes() for name, file in pdf.attachments.items()}


def pages_changed(data: bytes, wanted: bytes, what: str) -> tuple[str, ...]:
    """Return which pages of a PDF do not show what `what` says, by the whole of what draws them; of one that is drawn
    alike.
    """
    with _opened(data) as pdf, _opened(wanted) as other:
        found, expected = _pages(pdf), _pages(other)
    if len(found) != len(expected):
        return (f"It has {len(found)} pages, and the {what} {len(expected)}.",)
    pairs = enumerate(zip(found, expected, strict=True), 1)
    return tuple(f"Page {at} does not show what the {what} says." for at, (one, two) in pairs if one != two)


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


def words_on_pages(data: bytes) -> list[list[str]]:
    """Return the pieces of text on each page, one for each line of a cell or paragraph, in the order of their drawing.

    Letters are told by each font's own table; where it has none they are taken as Latin 1, which is a guess.
    """
    with _opened(data) as pdf:
        return [_words(page) for page in pdf.pages]


def _words(page: pikepdf.Page) -> list[str]:
    fonts = page.obj.get("/Resources", pikepdf.Dictionary()).get("/Font", pikepdf.Dictionary())
    letters = {name: _letters(fonts[name]) for name in dict(fonts.items())}
    pieces: list[str] = []
    font, said = "", ""
    for told in pikepdf.parse_content_stream(page):
        match str(told.operator):
            case "Tf":
                font = str(told.operands[0])
            case "BT":
                said = ""
            case "Tj" | "TJ" | "'" | '"':
                said += "".join(_text(part, letters.get(font)) for part in _strings(told.operands[-1]))
            case "ET" if said.strip():
                pieces.append(" ".join(said.split()))
    return pieces


def _strings(operand: object) -> Iterator[bytes]:
    for one in operand if isinstance(operand, pikepdf.Array) else (operand,):
        if isinstance(one, pikepdf.String):
            yield bytes(one)


def _text(said: bytes, letters: Mapping[int, str] | None) -> str:
    if letters is None:
        return said.decode("latin-1")
    return "".join(letters.get(int.from_bytes(said[at : at + 2], "big"), "?") for at in range(0, len(said), 2))


def _letters(font: pikepdf.Object) -> dict[int, str] | None:
    """Return which letters a font's glyphs stand for, None for a font of single bytes."""
    if str(font.get("/Subtype")) != "/Type0":
        return None
    table = font.get("/ToUnicode")
    text = table.read_bytes().decode("latin-1") if isinstance(table, pikepdf.Stream) else ""
    return {int(glyph, 16): _utf16(letters) for glyph, letters in GLYPH.findall(text)}


def _utf16(written: str) -> str:
    return bytes.fromhex(written).decode("utf-16-be", "replace")


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
