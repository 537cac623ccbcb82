"""The day a page is asked about is read exactly, or refused in words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from flask import Flask, g, url_for
from werkzeug.exceptions import BadRequest

from mentor_training.web.as_of import AsOf, carry_as_of, current_as_of, read_as_of

NEW_YORK = ZoneInfo("America/New_York")
NOW = datetime(2026, 11, 5, 3, 30, tzinfo=UTC)
TODAY = date(2026, 11, 4)


@pytest.mark.parametrize("arguments", [{}, {"on": ""}, {"on": " ", "known_at": ""}, {"on": "2026-11-04"}])
def test_a_page_is_about_today_unless_another_day_is_asked_for(arguments: Mapping[str, str]) -> None:
    """Today is today in the program's zone: at 03:30 UTC it is still the evening before in New York."""
    assert read_as_of(arguments, NOW, NEW_YORK) == AsOf(TODAY, None, chosen=False)


@pytest.mark.parametrize("day", [date(2026, 9, 12), date(2026, 12, 1), date(2026, 11, 5)])
def test_another_day_behind_or_ahead_is_chosen(day: date) -> None:
    """A day ahead may be asked about too: that is how a lapse is seen coming."""
    assert read_as_of({"on": day.isoformat()}, NOW, NEW_YORK) == AsOf(day, None, chosen=True)


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-10-16T18:00:00Z", datetime(2026, 10, 16, 18, tzinfo=UTC)),
        ("2026-10-16T14:00:00-04:00", datetime(2026, 10, 16, 18, tzinfo=UTC)),
        ("2026-10-16T20:00:00 02:00", datetime(2026, 10, 16, 18, tzinfo=UTC)),
        ("2026-10-16T14:00", datetime(2026, 10, 16, 18, tzinfo=UTC)),
        ("2026-11-01T01:30", datetime(2026, 11, 1, 5, 30, tzinfo=UTC)),
        ("2026-03-08T02:30", datetime(2026, 3, 8, 7, 30, tzinfo=UTC)),
        ("2026-11-05T03:30:00Z", NOW),
    ],
)
def test_the_moment_of_knowledge_is_read_with_or_without_an_offset(text: str, moment: datetime) -> None:
    """Without an offset it is local; a doubled time is its first, and a missing one takes the offset before the gap.

    Source: RFC 5545 section 3.3.5, form 3, whose own zone is America/New_York.
    """
    assert read_as_of({"known_at": text}, NOW, NEW_YORK) == AsOf(TODAY, moment, chosen=True)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"on": "17.10.2026"}, "'17.10.2026' is not a day"),
        ({"on": "2026-02-29"}, "such as 2026-10-17"),
        ({"on": "2026-10-17T10:00"}, "is not a day"),
        ({"on": "0001-01-01"}, "too far off"),
        ({"on": "9999-12-31"}, "too far off"),
        ({"known_at": "yesterday"}, "'yesterday' is not a moment"),
        ({"known_at": "2026-10-16T25:00"}, "such as 2026-10-16T18:00:00Z"),
        ({"known_at": "0001-01-01T00:00:00+14:00"}, "is not a moment"),
        ({"known_at": "2026-11-05T03:30:01Z"}, "still ahead"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_would_be_right(arguments: Mapping[str, str], words: str) -> None:
    """The page that refuses it (400) says what was written and how to write it."""
    with pytest.raises(BadRequest) as refused:
        read_as_of(arguments, NOW, NEW_YORK)
    assert words in str(refused.value.description)


def test_a_request_reads_it_once_and_can_still_show_its_refusal() -> None:
    """The first look refuses; after it the page of the refusal itself is shown as of today."""
    app = Flask(__name__)
    with app.test_request_context("/?on=never"):
        with pytest.raises(BadRequest):
            current_as_of(NOW, NEW_YORK)
        assert current_as_of(NOW, NEW_YORK) == AsOf(TODAY, None, chosen=False)


def test_the_links_of_a_page_about_another_day_keep_that_day() -> None:
    """Pages carry the day and the moment; the program's own files, and pages about today, carry nothing."""
    app = Flask(__name__)
    app.add_url_rule("/board", "board", lambda: "")
    carry_as_of(app)
    with app.test_request_context("/?on=2026-09-12&known_at=2026-09-11T14:00&page=2"):
        current_as_of(NOW, NEW_YORK)
        assert url_for("board") == "/board?on=2026-09-12&known_at=2026-09-11T14:00"
        assert url_for("board", on="2026-09-13", known_at=None) == "/board?on=2026-09-13"
        assert url_for("static", filename="ink.css") == "/static/ink.css"
    with app.test_request_context("/?on=2026-11-04"):
        current_as_of(NOW, NEW_YORK)
        assert url_for("board") == "/board"
    with app.test_request_context("/?on=2026-09-12", method="POST"):
        current_as_of(NOW, NEW_YORK)
        assert g.as_of.chosen
        assert url_for("board") == "/board"
