"""PDFs: what every one of them carries, what none of them fetches, and what happens without Pango."""

from __future__ import annotations

import http.server
import io
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import suppress
from importlib.machinery import ModuleSpec
from types import ModuleType

import pikepdf
import pytest
from jinja2 import UndefinedError

from mentor_training.application import create_app
from mentor_training.errors import PdfUnavailable
from mentor_training.web import pdf as web_pdf
from mentor_training.web.pdf import data_url, fill, render_pdf
from tests.builders import World

PIXEL = data_url(
    b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M0 0h9v9z"/></svg>', "image/svg+xml"
)


def fonts_in(content: bytes) -> set[str]:
    with pikepdf.open(io.BytesIO(content)) as opened:
        found = (one for one in opened.objects if isinstance(one, pikepdf.Dictionary))
        return {str(one["/FontName"]) for one in found if one.get("/Type") == "/FontDescriptor"}


def test_a_pdf_names_its_language_and_title_and_is_tagged() -> None:
    """So that a screen reader speaks the right language, and a window shows the title and not the file's name."""
    with pikepdf.open(io.BytesIO(render_pdf("<h1>Log</h1>", "Hours of <v-001> & more"))) as opened:
        assert str(opened.Root.Lang) == "en-US"
        assert bool(opened.Root.MarkInfo.Marked)
        assert bool(opened.Root.ViewerPreferences.DisplayDocTitle)
        with opened.open_metadata() as told:
            assert told["dc:title"] == "Hours of <v-001> & more"
            assert told["pdfuaid:part"] == "1"


def test_the_same_body_gives_the_same_bytes() -> None:
    """A print made again is the same print."""
    assert render_pdf("<p>17 Oct</p>", "Plan") == render_pdf("<p>17 Oct</p>", "Plan")


def test_the_typeface_is_the_programs_own_on_every_page_and_at_its_foot() -> None:
    """A name such as Łódź takes its letters from two files of the typeface, and no other font comes in."""
    assert {name.partition("+")[2] for name in fonts_in(render_pdf("<p>Łódź</p>", "x"))} == {
        "Atkinson-Hyperlegible-Next",
        "Atkinson-Hyperlegible-Next-Extended",
    }


class Asked(http.server.BaseHTTPRequestHandler):
    """Notes every address it is asked for."""

    paths: list[str] = []  # noqa: RUF012

    def do_GET(self) -> None:
        self.paths.append(self.path)
        self.send_error(404)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002
        return


@pytest.fixture
def listener() -> Iterator[str]:
    """Give the address of a server on this machine that notes what it is asked for."""
    server = http.server.HTTPServer(("127.0.0.1", 0), Asked)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    Asked.paths.clear()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize(
    "part",
    [
        '<img alt="x" src="{}/picture.png">',
        '<p style="background: url({}/background.png)">x</p>',
        '<link rel="stylesheet" href="{}/sheet.css">',
        "<style>@import url({}/more.css);</style>",
        '<object data="{}/thing.svg"></object>',
        '<link rel="attachment" href="file:///etc/passwd">',
        '<img alt="x" src="file:///etc/passwd">',
    ],
)
def test_nothing_is_fetched_from_the_network_or_from_files(part: str, listener: str) -> None:
    """Whatever asks for it stops the print, or stays out of it; nobody is asked."""
    with suppress(ValueError):
        content = render_pdf(part.replace("{}", listener), "x")
        assert b"root:" not in content
        with pikepdf.open(io.BytesIO(content)) as opened:
            assert not opened.attachments
    assert Asked.paths == []


def test_a_picture_from_outside_stops_the_print_with_an_ordinary_error() -> None:
    """The renderer's own error would pass every error page by."""
    with pytest.raises(ValueError, match="only use what is embedded"):
        render_pdf('<img alt="x" src="http://127.0.0.1:9/x.png">', "x")


def test_a_picture_that_is_embedded_is_printed_with_its_words(caplog: pytest.LogCaptureFixture) -> None:
    """The alternative text of a picture comes along, and nothing is missed by the renderer."""
    content = render_pdf(f'<img alt="A drawn slope" src="{PIXEL}">', "x")
    with pikepdf.open(io.BytesIO(content)) as opened:
        alternatives = [str(one.Alt) for one in opened.objects if isinstance(one, pikepdf.Dictionary) and "/Alt" in one]
    assert alternatives == ["A drawn slope"]
    assert not [one for one in caplog.records if one.levelname == "ERROR"]


def test_a_value_left_out_of_a_print_is_an_error_and_a_typed_one_is_escaped() -> None:
    """A statement with a hole in it would be worse than none."""
    with pytest.raises(UndefinedError):
        fill("hours/_statement_print.html", program="x")


class NoPango:
    """Stands in for a machine without Pango: importing the library fails as it fails there."""

    def find_spec(self, name: str, path: Sequence[str] | None, target: ModuleType | None = None) -> ModuleSpec | None:
        if name.partition(".")[0] == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return None


@pytest.fixture
def without_pango(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give a machine without Pango."""
    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(sys, "meta_path", [NoPango(), *sys.meta_path])


def test_without_pango_a_pdf_says_in_one_line_what_to_install(without_pango: None) -> None:
    """The command for Debian and Ubuntu, to copy."""
    with pytest.raises(PdfUnavailable, match=r"sudo apt-get install libpango-1\.0-0 "):
        render_pdf("<p>x</p>", "x")


def test_without_pango_a_page_answers_503_with_that_line(world: World, without_pango: None) -> None:
    """Everything but PDF still works, and the page says so."""
    app = create_app(world.instance, testing=True)

    @app.get("/try")
    def try_it() -> bytes:
        return web_pdf.render_pdf("<p>x</p>", "x")

    answer = app.test_client().get("/try")
    assert answer.status_code == 503
    assert "sudo apt-get install libpango-1.0-0" in answer.text
