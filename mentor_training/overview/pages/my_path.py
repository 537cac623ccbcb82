"""A volunteer's own path: the one next step, and how everything stands."""

from __future__ import annotations

from datetime import timedelta

from flask import render_template, url_for

from mentor_training.clearance.decision import ground_in_words
from mentor_training.overview.pages.blueprint import asked, nothing_yet, pages
from mentor_training.overview.queries.path import name_of, path_of
from mentor_training.overview.wording import first_to_do, promise
from mentor_training.papers.queries import SOON_DAYS
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act

SOON = timedelta(days=14)


@pages.get("/path")
@guarded(Act.SEE_OWN_PATH)
def my_path() -> str:
    """Show a volunteer what is next and what it opens, and how everything stands."""
    nothing = nothing_yet()
    if nothing:
        return nothing
    day, known_at = asked()
    path = path_of(db(), me().code, day, known_at, instance().settings.zone, now())
    first = first_to_do(path)
    return render_template(
        "overview/my_path.html",
        path=path,
        step=first[0] if first else None,
        to_do=first[1] if first else None,
        address=url_for(first[1].endpoint, **first[1].values) if first else "",
        promises={name_of(step): promise(step, path.program) for step in path.steps if step.opens},
        promise=promise(first[0], path.program) if first else "",
        pauses=[ground_in_words(one, path.program, path.decisions[0].holdings) for one in path.pauses],
        soon=day + SOON,
        papers_soon=SOON_DAYS,
        ends_before=path.ends_before,
    )
