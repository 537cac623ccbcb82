"""A picture of a paper, decoded in full and drawn anew: nothing of the file that came in is kept but what it shows."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from threading import Lock
from typing import TYPE_CHECKING

from mentor_training.errors import Refused

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS = 50_000_000
LONGEST_SIDE = 2000
QUALITY = 85


def plain_picture(data: bytes) -> bytes:
    """Return a picture as a plain JPEG, upright, at most 2,000 pixels long; refused where it cannot be decoded whole.

    What a phone writes beside the picture (where it was taken, when, by which device) is gone, and so is whatever
    stood behind its end: the pixels are laid onto a new sheet.
    """
    # Imported late: only an upload needs it, and every command would wait for it.
    from PIL import Image, ImageOps

    try:
        with _whole_ones_only(), Image.open(BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise _too_many(opened)
            # Made small before anything else is done to it: a JPEG is even decoded small where that is enough.
            opened.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(opened)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refused(_MANY) from None
    except (OSError, SyntaxError, ValueError, TypeError, IndexError, KeyError, EOFError, struct.error):
        raise Refused(
            "The picture cannot be read to its end: it is damaged, or only a part of it arrived. Send it again."
        ) from None
    return _as_jpeg(_on_white(upright))


_LOCK = Lock()


@contextmanager
def _whole_ones_only() -> Iterator[None]:
    """Have half a picture refused here: what makes the PDFs allows it, for the whole process, once it is imported."""
    from PIL import ImageFile

    with _LOCK:
        before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


_MANY = (
    f"The picture has more than {MOST_PIXELS // 1_000_000} million pixels. "
    "Take it in a lower resolution, and send that."
)


def _too_many(opened: Image) -> Refused:
    return Refused(f"The picture is {opened.width} by {opened.height} pixels. {_MANY}")


def _on_white(picture: Image) -> Image:
    """Return a new picture with nothing but the pixels; what is transparent is paper."""
    from PIL import Image

    seen = _of_eight_bits(picture).convert("RGBA")
    sheet = Image.new("RGB", seen.size, "white")
    sheet.paste(seen, mask=seen.getchannel("A"))
    return sheet


def _of_eight_bits(picture: Image) -> Image:
    """Return grey of sixteen bits, as scanners write it, in eight: converted as it is, all but black would be white."""
    if not picture.mode.startswith("I"):
        return picture
    return picture.convert("I").point(lambda value: value * (1 / 256)).convert("L")


def _as_jpeg(picture: Image) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
