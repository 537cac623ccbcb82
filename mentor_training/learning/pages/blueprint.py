"""The blueprint that all pages about modules and quizzes hang on, and what they all ask."""

from __future__ import annotations

from fractions import Fraction
from math import floor
from typing import cast

from flask import Blueprint, g

from mentor_training.learning.queries import Known, known
from mentor_training.people.access import db, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.web.as_of import AsOf, current_as_of

pages = Blueprint("learning", __name__)


@pages.app_template_filter()
def show_points(points: Fraction) -> str:
    """Write points with at most two decimals, rounded down: what is not reached never reads as reached."""
    return f"{floor(points * 100) / 100:g}"


@pages.app_template_filter()
def show_percent(share: Fraction) -> str:
    """Write a share of 0 to 1 as percent with at most one decimal, rounded down: 0.7999 reads 79.9%, never 80%."""
    return f"{floor(share * 1000) / 10:g}%"


def as_of() -> AsOf:
    """Return the day this page is asked about."""
    return current_as_of(now(), instance().settings.zone)


def known_then() -> Known:
    """Return what the page is about: the program in force on the day looked at, as known at the moment looked from."""
    if "known_then" not in g:
        g.known_then = known(db(), as_of().known_at or now(), instance().settings.zone, as_of().day)
    return cast(Known, g.known_then)


def known_now() -> Known:
    """Return the program in force now; quizzes are taken now, whatever day is looked at."""
    return known(db(), now(), instance().settings.zone)


def takes_part() -> bool:
    """Say whether what the reader does here is recorded: a volunteer's, unless another day is looked at."""
    return me().may(Act.COMPLETE_MODULES) and not as_of().chosen
