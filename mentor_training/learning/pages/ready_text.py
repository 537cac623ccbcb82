"""A module's text as ready HTML, made once for each content and kept.

Its key is all that it depends on: the module's whole content, and which of its cautions the reader has acknowledged. So
nobody is shown what another has done, and a changed text is another key.
"""

from __future__ import annotations

from functools import lru_cache

from flask import current_app
from markupsafe import Markup

from mentor_training.learning.markdown import render_section, sources_of, unplaced_cautions
from mentor_training.learning.rules.reading import Progress
from mentor_training.program.catalog import Module


@lru_cache(maxsize=256)
def ready_text(module: Module, acknowledged: frozenset[str] = frozenset()) -> Markup:
    """Return all sections of a module with its cautions, and its sources.

    The template is given nothing of the request, so that nothing of it can be kept.
    """
    template = current_app.jinja_env.get_template("learning/_text.html")
    text = template.render(
        module=module,
        sections=[(section, render_section(module, section, top=3)) for section in module.sections],
        unplaced=unplaced_cautions(module),
        progress=Progress(module, None, acknowledged=acknowledged),
        sources=sources_of(module),
    )
    # The template has escaped whatever is not HTML already.
    return Markup(text)  # noqa: S704
