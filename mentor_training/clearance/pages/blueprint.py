"""The blueprint that all pages about clearance hang on."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("clearance", __name__)
