"""What statements and certificates look like to others: a QR decoder, a PDF library, a text extractor.

The QR code is read back by zxing-cpp from the page as poppler's pdftoppm draws it. The structure is asserted with
pikepdf after what ISO 14289-1 (PDF/UA-1) asks of a file; no validator of it is at hand, so this is a check of
structure and no validation.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
import zxingcpp
from PIL import Image

from mentor_training.certificates.pdf import certificate_pdf, verification_address
from mentor_training.certificates.tables import Certificate
from mentor_training.hours.pdf import statement_pdf
from mentor_training.hours.tables import Statement
from tests.builders import World
from tests.certificates import holders
from tests.hours import term
from tests.missing import give_up


def codes_on(content: bytes, folder: Path, resolution: int) -> list[str]:
    """Return what a QR decoder reads on the first page of a PDF, drawn at so many dots per inch."""
    if not shutil.which("pdftoppm"):
        give_up("pdftoppm is missing; it comes with poppler-utils")
    (folder / "x.pdf").write_bytes(content)
    subprocess.run(["pdftoppm", "-r", str(resolution), "-png", "-singlefile", "x.pdf", "x"], cwd=folder, check=True)
    with Image.open(folder / "x.png") as page:
        return [code.text for code in zxingcpp.read_barcodes(page)]


def text_of(content: bytes, folder: Path) -> str:
    """Return the text of a PDF, laid out as on the page."""
    if not shutil.which("pdftotext"):
        give_up("pdftotext is missing; it comes with poppler-utils")
    (folder / "x.pdf").write_bytes(content)
    done = subprocess.run(
        ["pdftotext", "-layout", "x.pdf", "-"], cwd=folder, check=True, capture_output=True, text=True
    )
    return done.stdout


@pytest.fixture
def certificate(world: World) -> Iterator[tuple[bytes, str]]:
    """Give a certificate as PDF, and its verification address."""
    holders.add_people(world)
    number, _ = holders.issued(world)
    site = "https://movement-mornings.marrowdale.example"
    with world.reading() as db:
        row = db.get(Certificate, number)
        assert row
        yield certificate_pdf(db, row, site), verification_address(site, row)


@pytest.fixture
def statement(world: World) -> bytes:
    """Give a statement of two volunteers as PDF."""
    term.add_people(world)
    term.approved(world, "v-001", *[97] * 12)
    term.approved(world, "v-002", 100)
    number = term.stated(world)
    with world.reading() as db:
        row = db.get(Statement, number)
        assert row
        return statement_pdf(db, row, "Small program", world.instance.settings.zone)


@pytest.mark.parametrize("resolution", [110, 300])
def test_the_qr_code_on_the_printed_page_reads_as_the_verification_address(
    resolution: int, certificate: tuple[bytes, str], tmp_path: Path
) -> None:
    """Drawn at 110 dots per inch and at 300, as a screen and a printer would."""
    content, address = certificate
    assert codes_on(content, tmp_path, resolution) == [address]


def test_the_printed_address_is_the_one_in_the_qr_code(certificate: tuple[bytes, str], tmp_path: Path) -> None:
    """For whoever types; the number and the name stand on the sheet too."""
    content, address = certificate
    text = text_of(content, tmp_path)
    assert address in "".join(text.split())
    assert "Odalys Brannagh" in text
    assert "C-2026-0001" in text
    assert "not a license" in " ".join(text.split())


def test_a_statement_prints_its_figures_rule_and_hash(statement: bytes, tmp_path: Path) -> None:
    """1164 minutes, 19.40 h, stated as 19.50; with 100 minutes, 1.67 h, as 1.75 the sum is 21.25."""
    text = " ".join(text_of(statement, tmp_path).split())
    for words in ("v-001 Odalys Brannagh 19.50 19.50", "v-002 Teodor Łęcki 1.75 1.75", "Sum 2 volunteers 21.25 21.25"):
        assert words in text
    assert "v-001 Odalys Brannagh direct 12 1164 19.40 19.50" in text
    assert "Sum 13 1264 21.07 21.25" in text
    assert "to the nearest quarter of an hour, half up" in text
    assert "Approved by Hadrian Mossop (i-01)" in text


def structure(opened: pikepdf.Pdf, kind: str) -> list[pikepdf.Dictionary]:
    """Return the elements of one kind in the structure tree."""
    return [
        one
        for one in opened.objects
        if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/StructElem" and str(one.get("/S")) == kind
    ]


@pytest.mark.parametrize("which", ["certificate", "statement"])
def test_a_print_has_the_structure_that_assistive_technology_needs(
    which: str, request: pytest.FixtureRequest, caplog: pytest.LogCaptureFixture
) -> None:
    """Language, title, tags, a heading, header cells, words for every picture; and the renderer missed nothing.

    The renderer claims its variant whatever it is given and only logs what is missing, so both are looked at.
    """
    made = request.getfixturevalue(which)
    with pikepdf.open(io.BytesIO(made[0] if which == "certificate" else made)) as opened:
        assert str(opened.Root.Lang) == "en-US"
        assert bool(opened.Root.MarkInfo.Marked)
        assert bool(opened.Root.ViewerPreferences.DisplayDocTitle)
        assert not opened.is_encrypted
        with opened.open_metadata() as told:
            # A statement is made to be kept: PDF/A-3 at its accessible level, with its CSV files in it.
            claimed = ("pdfuaid:part",) if which == "certificate" else ("pdfaid:part", "pdfaid:conformance")
            assert [told[name] for name in claimed] == (["1"] if which == "certificate" else ["3", "A"])
            assert told["dc:title"].startswith("Certificate C-2026-0001" if which == "certificate" else "Statement of")
        assert len(structure(opened, "/H1")) == 1
        assert structure(opened, "/TH")
        figures = structure(opened, "/Figure")
        assert len(figures) == (1 if which == "certificate" else 0)
        assert all(str(figure.Alt).startswith("QR code of the address https://") for figure in figures)
    assert [one.getMessage() for one in caplog.records if one.levelname in ("ERROR", "CRITICAL")] == []


@pytest.mark.parametrize("which", ["certificate", "statement"])
def test_every_font_of_a_print_is_the_programs_own_and_embedded(which: str, request: pytest.FixtureRequest) -> None:
    """ISO 14289-1 asks for embedded fonts; a fallback font would mean letters that the typeface lacks."""
    made = request.getfixturevalue(which)
    with pikepdf.open(io.BytesIO(made[0] if which == "certificate" else made)) as opened:
        fonts = [
            one
            for one in opened.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor"
        ]
        assert fonts
        for font in fonts:
            assert "Atkinson-Hyperlegible-Next" in str(font.FontName)
            assert "/FontFile2" in font or "/FontFile3" in font


@pytest.mark.parametrize("which", ["certificate", "statement"])
def test_qpdf_finds_nothing_wrong_in_a_print(which: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    """`qpdf --check`: syntax and streams."""
    if not shutil.which("qpdf"):
        give_up("qpdf is missing")
    made = request.getfixturevalue(which)
    (tmp_path / "x.pdf").write_bytes(made[0] if which == "certificate" else made)
    done = subprocess.run(["qpdf", "--check", "x.pdf"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
