"""The blueprint on which the pages of hours hang."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("hours", __name__)
