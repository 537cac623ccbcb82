"""What is kept of a file that was sent, and what is refused: by its content, whatever it is called."""

from __future__ import annotations

import resource
import zlib
from io import BytesIO

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFile

from mentor_training.errors import Refused
from mentor_training.papers.scans.jpeg import without_notes
from mentor_training.papers.scans.kinds import LARGEST_FILE, fault_of, kind_of
from mentor_training.papers.scans.pictures import LONGEST_SIDE
from mentor_training.papers.scans.reading import read_scan
from tests.papers.scans.samples import (
    SCRIPT,
    active_documents,
    bomb,
    document,
    encoded,
    picture,
    saved,
    tagged_picture,
    unpacking_document,
)


def opened(data: bytes) -> Image.Image:
    found = Image.open(BytesIO(data))
    found.load()
    return found


def no(data: bytes) -> str:
    """Return why a file is refused."""
    with pytest.raises(Refused) as refusal:
        read_scan(data)
    return " ".join(refusal.value.reasons)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_kept_as_a_plain_jpeg(kind: str) -> None:
    """It shows what it showed."""
    plain = read_scan(picture(kind))
    shown = opened(plain.data)
    assert (plain.kind, plain.pages, shown.format, shown.size) == ("image/jpeg", 1, "JPEG", (640, 400))
    top, bottom = shown.getpixel((320, 50)), shown.getpixel((320, 350))
    assert isinstance(top, tuple)
    assert isinstance(bottom, tuple)
    assert min(top) > 200
    assert max(bottom) < 120


def test_what_a_phone_writes_beside_the_picture_is_gone_and_it_stands_upright() -> None:
    """Place, device, comment; the mark to turn it is obeyed before it goes."""
    came = tagged_picture()
    assert Image.open(BytesIO(came)).getexif().get_ifd(0x8825)
    plain = read_scan(came).data
    shown = opened(plain)
    assert shown.size == (400, 640)
    assert not shown.getexif()
    assert set(shown.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for trace in (b"Odalys", b"home", b"Marrowdale", b"Exif"):
        assert trace in came
        assert trace not in plain


def test_a_large_picture_becomes_smaller_and_what_is_transparent_becomes_paper() -> None:
    """Two thousand pixels are enough to read a date by."""
    assert max(opened(read_scan(picture(size=(5000, 3000))).data).size) == LONGEST_SIDE
    clear = encoded(Image.new("RGBA", (50, 50), (0, 0, 0, 0)), "PNG")
    assert opened(read_scan(clear).data).getpixel((25, 25)) == (255, 255, 255)
    assert opened(read_scan(encoded(Image.new("1", (9, 9)), "PNG")).data).size == (9, 9)


def test_grey_of_sixteen_bits_shows_what_it_shows() -> None:
    """Scanners write it; cut off at eight bits it would be an empty sheet."""
    for grey in (0, 10_000, 60_000, 65_535):
        shown = opened(read_scan(encoded(Image.new("I;16", (40, 40), grey), "PNG")).data)
        assert shown.convert("L").getpixel((20, 20)) == pytest.approx(grey / 256, abs=2)


def test_whatever_stands_behind_the_end_of_a_picture_or_pdf_is_not_kept() -> None:
    """A file that is two things at once is one afterwards."""
    for data in (picture(), picture("PNG"), document()):
        plain = read_scan(data + SCRIPT + b"PK\x03\x04")
        assert b"script" not in plain.data
        assert b"PK\x03\x04" not in plain.data


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (SCRIPT, "neither a picture nor a PDF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "neither a picture nor a PDF"),
        (b"GIF89a" + b"\0" * 40, "neither a picture nor a PDF"),
        (b"PK\x03\x04" + document(), "neither a picture nor a PDF"),
        (SCRIPT + picture(), "neither a picture nor a PDF"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 40, "HEIC or AVIF picture"),
        (b"\0" * (LARGEST_FILE + 1), "8 MB are the most"),
        (b"\xff\xd8\xff" + SCRIPT, "damaged"),
        (b"\x89PNG\r\n\x1a\n" + SCRIPT, "damaged"),
        (b"RIFF\0\0\0\0WEBP" + SCRIPT, "damaged"),
        (b"%PDF-1.7\n" + SCRIPT, "damaged"),
        (picture()[:-200], "only a part of it arrived"),
        (picture("PNG", (900, 900))[:-60], "only a part of it arrived"),
        (picture("WEBP")[:60], "only a part of it arrived"),
        (document()[:200], "damaged"),
        (bomb(), "million pixels"),
        (bomb(9000, 9000), "million pixels"),
        (document(pages=11), "11 pages; one to 10"),
        (document(pages=0), "damaged"),
    ],
)
def test_what_cannot_be_looked_at_is_refused_with_the_reason(data: bytes, says: str) -> None:
    """Markup dressed as a picture, half a picture, another format, too much of anything."""
    assert says in no(data)


def test_half_a_picture_is_refused_also_once_something_was_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    """What makes the PDFs lets half a picture pass in the whole process; here it never does, and there it still may."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    for half in (picture()[:-200], picture("PNG", (900, 900))[:-60]):
        assert "only a part of it arrived" in no(half)
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


@pytest.mark.parametrize("says", sorted(active_documents()))
def test_a_pdf_that_does_something_is_refused(says: str) -> None:
    """With what it does, and what to send instead."""
    answer = no(active_documents()[says])
    assert says in answer
    assert "Send a picture of the paper instead" in answer


def test_nothing_is_left_that_a_pdf_does_unasked() -> None:
    """When it is opened or closed, or a page is turned over: an address called up says who looked, and when."""
    words = pikepdf.Dictionary
    call = [words(S=pikepdf.Name.URI, URI="https://elsewhere.example") for _ in range(3)]
    turned = pikepdf.new()
    turned.add_blank_page()
    turned.pages[0].AA = words(O=call[0])
    for came in (document(OpenAction=call[1]), document(AA=words(WC=call[2])), saved(turned)):
        plain = read_scan(came).data
        assert b"elsewhere" in came
        assert b"elsewhere" not in plain
        assert read_scan(plain).pages == 1


def test_a_locked_pdf_is_refused_with_a_password_and_without_one() -> None:
    """Nobody could look at it in ten years, and what is in it cannot be looked through."""
    made = pikepdf.new()
    made.add_blank_page()
    for user in ("", "open"):
        assert "locked by a password" in no(saved(made, encryption=pikepdf.Encryption(owner="own", user=user)))


def test_a_pdf_is_kept_without_what_it_says_about_its_making() -> None:
    """Author, program, earlier states; its pages stay."""
    made = pikepdf.new()
    made.add_blank_page()
    made.docinfo["/Author"] = "Odalys Brannagh"
    with made.open_metadata() as about:
        about["dc:creator"] = ["Odalys Brannagh"]
    came = saved(made, compress_streams=False, object_stream_mode=pikepdf.ObjectStreamMode.disable)
    assert b"Odalys" in came
    plain = read_scan(came)
    assert (plain.kind, plain.pages) == ("application/pdf", 1)
    assert b"Odalys" not in plain.data
    with pikepdf.open(BytesIO(plain.data)) as kept:
        assert len(kept.pages) == 1
        assert "/Metadata" not in kept.Root


@pytest.mark.parametrize("how", [pikepdf.Name.DCTDecode, pikepdf.Array([pikepdf.Name.DCTDecode])])
def test_a_photo_within_a_pdf_loses_what_the_phone_wrote_beside_it(how: pikepdf.Object) -> None:
    """Place, device and comment are taken out of the JPEG where it stands; the picture stays to the last pixel."""
    made, photo = pikepdf.new(), tagged_picture()
    made.add_blank_page()
    shown = made.make_stream(photo, Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=640, Height=400)
    shown.update({"/Filter": how, "/ColorSpace": pikepdf.Name.DeviceRGB, "/BitsPerComponent": 8})
    made.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Card=shown))
    plain = read_scan(saved(made)).data
    for trace in (b"Odalys", b"home", b"Marrowdale", b"Exif"):
        assert trace in photo
        assert trace not in plain
    with pikepdf.open(BytesIO(plain)) as kept:
        inside = kept.pages[0].Resources.XObject.Card.read_raw_bytes()
    assert opened(inside).tobytes() == opened(photo).tobytes()


def test_a_photo_packed_twice_within_a_pdf_loses_them_too() -> None:
    """Some programs pack a JPEG once more, which makes it no smaller and hides what stands in it."""
    made, photo = pikepdf.new(), tagged_picture()
    made.add_blank_page()
    name = pikepdf.Name
    shown = made.make_stream(zlib.compress(photo), Subtype=name.Image, Width=640, Height=400)
    shown.update({"/Filter": pikepdf.Array([name.FlateDecode, name.DCTDecode]), "/ColorSpace": name.DeviceRGB})
    made.pages[0].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(Card=shown))
    with pikepdf.open(BytesIO(read_scan(saved(made)).data)) as kept:
        card = kept.pages[0].Resources.XObject.Card
        inside, how = card.read_raw_bytes(), card.get("/Filter")
    assert how == name.DCTDecode
    assert b"Odalys" not in inside
    assert opened(inside).tobytes() == opened(photo).tobytes()


@given(st.binary(max_size=300))
def test_taking_notes_out_of_anything_only_ever_makes_it_shorter(data: bytes) -> None:
    """What is no JPEG is left alone."""
    for one in (data, b"\xff\xd8" + data):
        plain = without_notes(one)
        assert len(plain) <= len(one)
        assert plain == one or one.startswith(b"\xff\xd8")


def test_a_small_file_that_unpacks_to_much_is_refused_before_it_does() -> None:
    """The most memory that this process ever took does not grow by what the bombs would take."""
    read_scan(document())
    small = unpacking_document()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert len(small) < 300_000
    assert "damaged" in no(small)
    assert "million pixels" in no(bomb())
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    assert grown < 150


WHOLE = (picture(size=(64, 48)), picture("PNG", (64, 48)), picture("WEBP", (64, 48)), document())


@given(st.sampled_from(WHOLE), st.lists(st.tuples(st.integers(0, 4000), st.integers(0, 255)), max_size=12))
def test_a_file_with_any_bytes_changed_is_kept_plain_or_refused_and_nothing_else(
    data: bytes, changes: list[tuple[int, int]]
) -> None:
    """No damage, however placed, gets past as an error of the program."""
    damaged = bytearray(data)
    for place, value in changes:
        damaged[place % len(damaged)] = value
    try:
        plain = read_scan(bytes(damaged))
    except Refused:
        return
    assert plain.data.startswith((b"\xff\xd8\xff", b"%PDF-"))


@given(st.binary(max_size=200))
def test_only_what_begins_as_one_of_the_four_is_opened(data: bytes) -> None:
    """Whatever else it is, there is a reason."""
    assert (kind_of(data) is None) == (fault_of(data) is not None)
