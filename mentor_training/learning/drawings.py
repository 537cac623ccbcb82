"""A module's line drawing as part of its page: it takes the page's own ink, by day, by night and on paper."""

from __future__ import annotations

from markupsafe import Markup

from mentor_training.program.catalog import Picture

_FIGURE = Markup(
    '<figure class="picture"><svg viewBox="{box}" role="img" aria-label="{alternative}" focusable="false">'
    "{shapes}</svg>{caption}{words}</figure>"
)
_CAPTION = Markup("<figcaption>{}</figcaption>")
_WORDS = Markup('<details class="in-words"><summary>The picture in words</summary><p>{}</p></details>')


def figure_of(picture: Picture, alternative: str, caption: str) -> Markup:
    """Return a picture with its alternative, its caption, and folded away all that it shows in words."""
    return _FIGURE.format(
        box=picture.box,
        alternative=alternative or picture.title,
        # The reader of pictures has let in nothing but shapes and words, and has escaped them.
        shapes=Markup(picture.shapes),  # noqa: S704
        caption=_CAPTION.format(caption) if caption else "",
        words=_WORDS.format(picture.words) if picture.words else "",
    )
