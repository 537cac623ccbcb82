"""The picture of an invented card, as a phone takes one."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

SIZE, LEFT, TOP, STEP, LETTERS = (1600, 1000), 120, 120, 130, 64
PAPER, INK = (236, 231, 214), (34, 48, 60)


def picture_of_card(lines: Sequence[str]) -> bytes:
    """Return a card with lines printed on it, as a JPEG."""
    # Imported late: only the story and an upload need it.
    from PIL import Image, ImageDraw, ImageFont

    card = Image.new("RGB", SIZE, PAPER)
    pen, letters = ImageDraw.Draw(card), ImageFont.load_default(LETTERS)
    pen.rectangle((40, 40, SIZE[0] - 40, SIZE[1] - 40), outline=INK, width=6)
    for place, line in enumerate(lines):
        pen.text((LEFT, TOP + place * STEP), line, INK, letters)
    out = BytesIO()
    card.save(out, "JPEG")
    return out.getvalue()
