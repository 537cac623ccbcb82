"""What went wrong, as a page in words with the way back."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias
from urllib.parse import urlsplit

from flask import current_app, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, InternalServerError

from mentor_training.errors import NotAllowed, NotFound, PdfUnavailable, Refused

if TYPE_CHECKING:
    from flask import Flask

Answer: TypeAlias = tuple[str, int]

_TITLES = {
    400: "This address cannot be read",
    401: "Sign in first",
    403: "This page is not open to you",
    404: "There is no such page",
    405: "This page cannot be used in that way",
    413: "That is too large to take in",
    429: "Too many tries",
}
_WORDS = {
    401: "Sign in, and then open the page again.",
    403: "Your roles in this program do not open it. The coordinator can say who may.",
    404: "The address may be mistyped, or what it led to is not there, or not for you to see.",
    405: "Go back to the page you came from and use its own buttons.",
    413: "Choose a smaller file, and then send it again.",
    429: "Wait a few minutes, and then try again.",
}


def register_error_pages(app: Flask) -> None:
    """Answer every refusal and every failure with a page that says what happened and where to go."""
    app.register_error_handler(Refused, refused)
    app.register_error_handler(NotFound, not_found)
    app.register_error_handler(NotAllowed, not_allowed)
    app.register_error_handler(PdfUnavailable, pdf_unavailable)
    app.register_error_handler(CSRFError, stale_form)
    app.register_error_handler(HTTPException, http_error)
    app.register_error_handler(InternalServerError, broken)


def refused(error: Refused) -> Answer:
    """Show why the rules do not allow an act, of which nothing was stored, or what a page waits for."""
    if request.method in ("GET", "HEAD"):
        return _page(422, "This cannot be shown yet", "Something else comes first.", error.reasons)
    return _page(422, "This was not done", "Nothing was stored.", error.reasons)


def not_found(error: NotFound) -> Answer:
    """Show that there is no such thing, or none that this person may know of."""
    return _page(404, "Not found", "There is nothing here by that name, or nothing that you may see.", (error.what,))


def not_allowed(error: NotAllowed) -> Answer:
    """Show that the person's roles do not open this."""
    words = f"Not open to your roles: {error.what}. The coordinator can say who may."
    return _page(403, "This is not open to you", words)


def pdf_unavailable(error: PdfUnavailable) -> Answer:
    """Show that this machine cannot make PDFs, and the one line that would change it; all else works."""
    return _page(503, "This machine cannot make PDFs yet", "Everything but PDF works.", (str(error),))


def stale_form(_error: CSRFError) -> Answer:
    """Show that a form was not taken because it cannot be told to come from a page of this program."""
    words = (
        "The form was not taken: the page had been open too long, or you had signed in or out since. "
        "Nothing was stored. Go back, copy what you had written, load the page again, and then send it."
    )
    return _page(400, "Open the page again", words)


def http_error(error: HTTPException) -> Answer | HTTPException:
    """Show any other answer that is not a page, with its own words where the code that raised it gave some."""
    code = error.code or 500
    if code < 400:
        return error
    given = error.description if error.description != type(error).description else None
    return _page(code, _TITLES.get(code, "This did not work"), given or _WORDS.get(code, error.name))


def broken(_error: InternalServerError) -> Answer:
    """Show that the program itself failed, on a page that needs nothing of what may be broken."""
    template = current_app.jinja_env.get_template("broken.html")
    return template.render(home=f"{request.script_root}/"), 500


def _page(code: int, title: str, words: str, reasons: tuple[str, ...] = ()) -> Answer:
    return render_template("error.html", title=title, words=words, reasons=reasons, back=_way_back()), code


def _way_back() -> str | None:
    """Return the page the person came from, if it is one of this program's and not this one."""
    came_from = urlsplit(request.referrer or "")
    if came_from.netloc != request.host or not came_from.path.startswith("/") or came_from.path.startswith("//"):
        return None
    address = came_from.path + (f"?{came_from.query}" if came_from.query else "")
    return None if request.method == "GET" and came_from.path == request.path else address
