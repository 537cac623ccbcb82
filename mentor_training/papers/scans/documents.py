"""A PDF of a paper: looked through for everything that does something, and written anew without the rest."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from mentor_training.errors import Refused
from mentor_training.papers.scans.jpeg import without_notes

if TYPE_CHECKING:
    from pikepdf import Pdf

MOST_PAGES = 10
MOST_OBJECTS = 20_000
MOST_BYTES_OF_A_STREAM = 64 * 1024 * 1024
DEEPEST = 40

SCRIPT = "it holds a script"
FILE_INSIDE = "it has another file inside"
ACTION = "it would send or open something by itself"
FORM = "it is a form that is filled in"
MEDIA = "it holds sound, film or a model"
LOCKED = "it is locked by a password or against copying"
INSTEAD = "Send a picture of the paper instead, or print the PDF into a new one."

# ISO 32000-2: the entries and the action types (12.6.4) by which a file does more than show pages.
_KEYS = {"/JS": SCRIPT, "/JavaScript": SCRIPT, "/EmbeddedFiles": FILE_INSIDE, "/EF": FILE_INSIDE, "/XFA": FORM}
_ACTIONS = {
    "/JavaScript": SCRIPT, "/Launch": ACTION, "/SubmitForm": ACTION, "/ImportData": ACTION, "/GoToE": ACTION,
    "/GoToR": ACTION, "/Rendition": MEDIA, "/Sound": MEDIA, "/Movie": MEDIA, "/RichMediaExecute": MEDIA,
    "/GoTo3DView": MEDIA,
}  # fmt: skip
_TYPES = {
    "/EmbeddedFile": FILE_INSIDE, "/FileAttachment": FILE_INSIDE, "/RichMedia": MEDIA, "/Movie": MEDIA,
    "/Screen": MEDIA, "/Sound": MEDIA, "/3D": MEDIA,
}  # fmt: skip
# What is left out when it is written anew: who made it, where, with what, small pictures of earlier states, and what
# it does unasked when it is opened, closed or turned over (12.6.3), such as calling up an address.
_LEFT_OUT = ("/Metadata", "/PieceInfo", "/Thumb", "/OpenAction", "/AA")


def plain_document(data: bytes) -> tuple[bytes, int]:
    """Return a PDF written anew, and how many pages it has; refused where it is locked, active, too long or damaged."""
    # Imported late: only an upload needs it, and every command would wait for it.
    import pikepdf

    _set_limits()
    try:
        with pikepdf.open(BytesIO(data)) as opened:
            pages = _looked_through(opened)
            return _written_anew(opened), pages
    except pikepdf.PasswordError:
        raise Refused(f"The PDF is not taken in: {LOCKED}. {INSTEAD}") from None
    except (pikepdf.PdfError, pikepdf.DataDecodingError, RuntimeError, ValueError, TypeError, KeyError):
        raise Refused(
            f"The PDF cannot be read to its end: it is damaged, or only a part of it arrived. {INSTEAD}"
        ) from None


@cache
def _set_limits() -> None:
    """Bound what a small file may unpack to; the limits are those of the whole process, and are set once."""
    import pikepdf

    most = MOST_BYTES_OF_A_STREAM
    pikepdf.settings.set_qpdf_limits(
        flate_max_memory=most, run_length_max_memory=most, png_max_memory=most, tiff_max_memory=most,
        dct_max_memory=most, parser_max_container_size=200_000, doc_max_warnings=100,
    )  # fmt: skip


def _looked_through(opened: Pdf) -> int:
    pages, objects = len(opened.pages), len(opened.objects)
    if opened.is_encrypted:
        raise Refused(f"The PDF is not taken in: {LOCKED}. {INSTEAD}")
    if not 1 <= pages <= MOST_PAGES:
        raise Refused(f"The PDF has {pages} pages; one to {MOST_PAGES} are taken in. Send only the page with the card.")
    if objects > MOST_OBJECTS:
        raise Refused(f"The PDF is made of too many parts ({objects:,}). {INSTEAD}")
    why = {reason for part in opened.objects for reason in _reasons(part)}
    if why:
        raise Refused(f"The PDF is not taken in: {' and '.join(sorted(why))}. {INSTEAD}")
    return pages


def _reasons(part: Any, depth: int = 0) -> Iterator[str]:
    """Yield why one part of a PDF is refused, with those that stand within it; what it refers to has its own turn."""
    import pikepdf

    if depth > DEEPEST:
        yield "it is nested too deeply"
    elif isinstance(part, pikepdf.Array):
        for one in part:
            if not _is_reference(one):
                yield from _reasons(one, depth + 1)
    elif isinstance(part, pikepdf.Dictionary | pikepdf.Stream):
        for key in list(part.keys()):
            value = part.get(key)
            yield from _reason_of(key, value)
            if not _is_reference(value):
                yield from _reasons(value, depth + 1)


def _is_reference(value: Any) -> bool:
    """Say whether a value stands elsewhere: it is looked at there, once."""
    return bool(getattr(value, "is_indirect", False))


def _reason_of(key: str, value: Any) -> Iterator[str]:
    import pikepdf

    if key in _KEYS:
        yield _KEYS[key]
    if isinstance(value, pikepdf.Name):
        known = _ACTIONS if key == "/S" else _TYPES if key in ("/Type", "/Subtype") else {}
        if str(value) in known:
            yield known[str(value)]


def _written_anew(opened: Pdf) -> bytes:
    """Return the file with what its pages show and nothing that no page refers to, such as what follows its end."""
    import pikepdf

    if "/Info" in opened.trailer:
        del opened.trailer["/Info"]
    for part in list(opened.objects):
        if isinstance(part, pikepdf.Dictionary | pikepdf.Stream):
            for key in _LEFT_OUT:
                if key in part:
                    del part[key]
        photo = _photo_in(opened, part) if isinstance(part, pikepdf.Stream) else None
        if photo is not None:
            part.write(without_notes(photo), filter=pikepdf.Name.DCTDecode)
    out = BytesIO()
    opened.save(out, stream_decode_level=pikepdf.StreamDecodeLevel.none, deterministic_id=True)
    return out.getvalue()


def _photo_in(opened: Pdf, part: Any) -> bytes | None:
    """Return the JPEG that a stream holds, also where it was packed once more; None where it holds none."""
    import pikepdf

    packed = part.get("/Filter")
    names = list(packed) if isinstance(packed, pikepdf.Array) else [packed]
    if not names or names[-1] != pikepdf.Name.DCTDecode:
        return None
    if len(names) == 1:
        return bytes(part.read_raw_bytes())
    # No page refers to this one, so it is not written.
    return bytes(opened.make_stream(part.read_raw_bytes(), Filter=pikepdf.Array(names[:-1])).read_bytes())
