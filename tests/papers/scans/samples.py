"""Pictures and PDFs of an invented card, sound ones and such as nobody should send."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from typing import Any

import pikepdf
from PIL import Image

SCRIPT = b"<!doctype html><script>alert(1)</script>"


def picture(kind: str = "JPEG", size: tuple[int, int] = (640, 400), **more: Any) -> bytes:
    """Return a picture of a card: light above, dark below, so that it shows which way is up."""
    card = Image.new("RGB", size, (240, 240, 230))
    card.paste((40, 60, 90), (0, size[1] // 2, *size))
    return encoded(card, kind, **more)


def encoded(card: Image.Image, kind: str, **more: Any) -> bytes:
    out = BytesIO()
    card.save(out, kind, **more)
    return out.getvalue()


def tagged_picture() -> bytes:
    """Return what a phone writes: lying on its side with the mark to turn it, the place, the device, a comment."""
    card = Image.new("RGB", (640, 400), (240, 240, 230))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned by a quarter to the right
    exif[0x010F] = "Invented camera of Odalys"
    exif.get_ifd(0x8825).update({1: "N", 2: (42.0, 21.0, 30.0), 3: "W", 4: (71.0, 3.0, 12.0)})
    return encoded(card, "JPEG", exif=exif, comment=b"at home", xmp=b"<x>Marrowdale</x>")


def document(pages: int = 1, **root: Any) -> bytes:
    """Return a PDF; `root` is put into its root."""
    made = pikepdf.new()
    for _ in range(pages):
        made.add_blank_page()
    for name, value in root.items():
        made.Root[f"/{name}"] = value
    return saved(made)


def saved(made: pikepdf.Pdf, **how: Any) -> bytes:
    out = BytesIO()
    made.save(out, **how)
    return out.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    """Return one chunk of a PNG (its standard, 5.3)."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def bomb(width: int = 60_000, height: int = 60_000) -> bytes:
    """Return a PNG of a few kB that claims, and would unpack to, more than three thousand million pixels."""
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * (width // 8 + 1) * 200, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def unpacking_document() -> bytes:
    """Return a PDF whose list of objects, a few hundred kB, unpacks to 200 MB."""
    packed = zlib.compress(b"\0" * 200_000_000, 9)
    head = b"%PDF-1.5\n"
    words = f"/Type /XRef /Size 4 /W [1 2 1] /Root 1 0 R /Filter /FlateDecode /Length {len(packed)}"
    return (
        head + f"4 0 obj <<{words}>> stream\n".encode() + packed + b"\nendstream endobj\n"
        + f"startxref\n{len(head)}\n%%EOF\n".encode()
    )  # fmt: skip


def active_documents() -> dict[str, bytes]:
    """Return PDFs that do something, each by what the answer says it does."""
    name, words = pikepdf.Name, pikepdf.Dictionary
    inside = pikepdf.new()
    inside.add_blank_page()
    inside.attachments["report.txt"] = b"the whole report"
    linked = pikepdf.new()
    linked.add_blank_page()
    send = words(S=name.SubmitForm, F="https://elsewhere.example")
    linked.pages[0].Annots = pikepdf.Array([words(Type=name.Annot, Subtype=name.Link, Rect=[0, 0, 9, 9], A=send)])
    deep = words(S=name.GoTo, Next=pikepdf.Array([words(S=name.Launch, F="run.exe")]))
    return {
        "it holds a script": document(OpenAction=words(S=name.JavaScript, JS="app.alert(1)")),
        "it has another file inside": saved(inside),
        "it would send or open something by itself": saved(linked),
        "something by itself": document(OpenAction=deep),
        "it is a form that is filled in": document(AcroForm=words(XFA="<xdp/>", Fields=pikepdf.Array())),
        "sound, film or a model": document(Extra=words(Type=name.Annot, Subtype=name.RichMedia)),
    }
