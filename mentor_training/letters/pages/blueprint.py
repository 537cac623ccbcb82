"""The blueprint on which the pages of letters hang."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("letters", __name__)
