"""Paper: print templates filled without a running site, and rendered as accessible PDF."""

from __future__ import annotations

import atexit
import base64
import hashlib
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from functools import cache
from html import escape
from pathlib import Path
from threading import Lock
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from mentor_training.errors import PdfUnavailable
from mentor_training.system_packages import FOR_PDF, how_to_install
from mentor_training.web.display import show_day, show_hours
from mentor_training.web.typeface import font_faces

HERE = Path(__file__).parent
VARIANT, ARCHIVAL = "pdf/ua-1", "pdf/a-3a"
# The one date that an attached file carries, so that the same gives the same bytes.
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
# Pango's font map, shared between prints, must not be used by two threads at once.
_ONE_AT_A_TIME = Lock()


def fill(template: str, **values: Any) -> str:
    """Fill a print template; pages and commands do it alike, and a value left out is an error."""
    return _templates().get_template(template).render(**values)


def render_pdf(
    body: str,
    title: str,
    sheets: Iterable[str] = ("pdf.css",),
    language: str = "en-US",
    attached: Mapping[str, bytes] | None = None,
    made_by: str = "",
    identifier: bytes | None = None,
) -> bytes:
    """Render HTML for between <body> and </body> as a tagged PDF that names its title and language.

    Pictures are embedded as data: URLs; nothing is fetched from files or the network, so that nothing a person typed
    can reach either. The same body gives the same bytes on the same machine. Raises PdfUnavailable where Pango is
    missing, and ValueError for a body that asks for anything from outside. With files `attached`, by name, it is made
    to be kept for long: PDF/A-3 at its accessible level, each file another form of what the pages say. `made_by` stands
    in the file as what made it, such as `form_of`, and `identifier` as what names it among all files.
    """
    weasyprint = _library()
    maker = f'<meta name="generator" content="{escape(made_by)}">' if made_by else ""
    document = (
        f'<!doctype html><html lang="{escape(language)}"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"{maker}</head><body>{body}</body></html>"
    )
    with _ONE_AT_A_TIME:
        try:
            styles = [_style(name) for name in ("fonts", *sheets)]
            html = weasyprint.HTML(string=document, url_fetcher=_embedded_only())
            files = [
                weasyprint.Attachment(string=data, name=name, relationship="Alternative", created=EPOCH, modified=EPOCH)
                for name, data in (attached or {}).items()
            ]
            variant = ARCHIVAL if files else VARIANT
            pdf = html.write_pdf(
                stylesheets=styles, font_config=_fonts(), pdf_variant=variant, attachments=files or None,
                pdf_identifier=identifier,
            )  # fmt: skip
        except weasyprint.urls.FatalURLFetchingError as error:
            # It is a BaseException, which no error page would catch.
            raise ValueError(f"a print may only use what is embedded in it: {error}") from None
    return bytes(pdf)


@cache
def form_of(template: str, sheets: tuple[str, ...], parts: tuple[str, ...] = ()) -> str:
    """Return a name of the form that a print has: another as soon as its template or a sheet of its style is another.

    `parts` are further templates that it is made of. Two prints of one form and one renderer can be compared sign by
    sign; others draw the same in other ways.
    """
    files = [*(HERE / "templates" / name for name in (template, *parts)), *(HERE / "static" / name for name in sheets)]
    texts = [one.read_bytes() for one in files]
    return "form " + hashlib.sha256(b"\0".join((*texts, font_faces().encode()))).hexdigest()[:16]


def data_url(content: bytes, media_type: str) -> str:
    """Return a data: URL, the only kind that a print may use."""
    return f"data:{media_type};base64,{base64.b64encode(content).decode('ascii')}"


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    environment.filters.update(show_day=show_day, show_hours=show_hours)
    return environment


def _library() -> Any:
    """Import WeasyPrint only when something is printed: it takes a second, and it fails where Pango is missing."""
    try:
        import weasyprint
        import weasyprint.urls
    except (ImportError, OSError):
        raise PdfUnavailable(how_to_install("Pango, which PDFs need,", FOR_PDF)) from None
    return weasyprint


def _embedded_only() -> Any:
    from weasyprint.urls import URLFetcher

    return URLFetcher(allowed_protocols=("data",), fail_on_errors=True)


@cache
def _fonts() -> Any:
    from weasyprint.text.fonts import FontConfiguration

    # Let go of it while the interpreter is still whole, or it complains on its way out.
    atexit.register(_forget_fonts)
    return FontConfiguration()


def _forget_fonts() -> None:
    _style.cache_clear()
    _fonts.cache_clear()


@cache
def _style(name: str) -> Any:
    from weasyprint import CSS

    text = font_faces() if name == "fonts" else (HERE / "static" / name).read_text(encoding="utf-8")
    return CSS(string=text, font_config=_fonts(), url_fetcher=_embedded_only())
