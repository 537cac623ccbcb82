"""One typeface on screens, in print and in PDFs."""

from __future__ import annotations

import base64
import io
import re

import pikepdf
import weasyprint

from mentor_training.web.typeface import FAMILY, font_faces
from tests.web.contrast import STATIC


def faces() -> list[str]:
    return re.findall(r"@font-face\s*\{.*?\}", font_faces(), re.DOTALL)


def test_the_faces_carry_their_files_within_themselves() -> None:
    """Two weights of two files, each whole, none fetched from anywhere."""
    assert len(faces()) == 4
    for face in faces():
        address = re.search(r'url\("data:font/woff2;base64,([^"]+)"\)', face)
        assert address is not None
        assert base64.b64decode(address[1], validate=True).startswith(b"wOF2")
    assert len(re.findall(r"url\(", font_faces())) == 4


def test_no_two_files_share_a_family_and_a_weight() -> None:
    """WeasyPrint 70 draws wrong letters where two files share both: Łęcka came out garbled."""
    names = [re.findall(r"font-(?:family|weight): ([^;]+);", face) for face in faces()]
    assert len({tuple(name) for name in names}) == len(names)
    assert all(family in FAMILY for family, _ in names)


def test_a_name_from_anywhere_in_europe_is_set_in_the_typeface() -> None:
    """A PDF embeds the faces for both parts of such a name and falls back on no other font."""
    page = f"<style>{font_faces()} body {{ font-family: {FAMILY} }}</style><p>Ansa Kowalczyk-Łęcka"
    pdf = weasyprint.HTML(string=page).write_pdf()
    assert pdf is not None
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        fonts = {str(font.BaseFont).split("+")[1] for font in opened.pages[0].Resources.Font.values()}
    assert fonts == {"Atkinson-Hyperlegible-Next", "Atkinson-Hyperlegible-Next-Extended"}


def test_the_license_lies_beside_the_fonts() -> None:
    """The SIL Open Font License asks that its text goes wherever the fonts go."""
    text = (STATIC / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "Atkinson Hyperlegible Next Project Authors" in text
