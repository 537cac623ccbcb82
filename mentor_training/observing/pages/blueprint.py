"""The blueprint that all pages of observing hang on, and the words they share."""

from __future__ import annotations

from flask import Blueprint

from mentor_training.observing.rules.results import MARK_MEANINGS, MARK_WORDS, RESULT_WORDS

pages = Blueprint("observing", __name__)
pages.add_app_template_filter(lambda marking: MARK_WORDS[marking], "show_mark")
pages.add_app_template_filter(lambda marking: MARK_MEANINGS[marking], "show_mark_meaning")
pages.add_app_template_filter(lambda result: RESULT_WORDS[result], "show_result")
