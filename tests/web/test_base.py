"""The frame around every page: the way past it, the day looked at, the person, what was done, and what print needs."""

from __future__ import annotations

import re

import pytest
from flask import Flask, flash, render_template_string

from tests.web.site import PAGE, Someone, make_site


def page_of(app: Flask, address: str = "/") -> str:
    return app.test_client().get(address).get_data(as_text=True)


def test_the_page_has_one_heading_its_title_and_landmarks() -> None:
    """The title is the heading too, and is escaped; the first link leads past the frame."""
    page = page_of(make_site(Someone(), journal_head=""))
    assert "<title>Balance <lane> | Copperfinch Movement Mornings</title>" in page
    assert len(re.findall("<h1>", page)) == 1
    assert [page.count(f"<{name}") for name in ("header", "main", "footer", "nav")] == [1, 1, 1, 1]
    assert page.index('href="#content"') < page.index("<header")
    assert 'id="content"' in page


def test_nothing_is_written_that_the_content_policy_would_block() -> None:
    """No inline style, script or handler stands in the frame."""
    page = page_of(make_site(Someone()), "/?on=2026-09-12")
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)


def test_today_is_said_quietly_and_another_day_on_a_band() -> None:
    """A chosen day, and the moment whose knowledge is shown, stand on every page that is about them."""
    assert "As of today, Sat 17 Oct 2026" in page_of(make_site(Someone()))
    assert "as-of-band" not in page_of(make_site(Someone()))
    page = page_of(make_site(Someone()), "/?on=2026-09-12&known_at=2026-09-11T14:00&page=2")
    band = page[page.index("as-of-band") :].split("</div>")[0]
    assert "Sat 12 Sep 2026" in band
    assert "Fri 11 Sep 2026, 14:00" in band
    assert '<a href="/">Back to today</a>' in band
    assert '<input type="hidden" name="page" value="2">' in page
    assert 'id="on" href="/?on=2026-09-12&amp;known_at=2026-09-11T14:00"' in page


def test_a_stranger_sees_no_day_no_pages_and_no_name() -> None:
    """Somebody who is not signed in is shown the program's name and the page alone."""
    page = page_of(make_site())
    assert "Copperfinch Movement Mornings" in page
    assert not re.search(r'class="as-of|<nav|class="person"|Sign out', page)


def test_the_person_can_sign_out_by_a_button_that_no_other_site_can_press() -> None:
    """Signing out is a post with the token."""
    page = page_of(make_site(Someone(), sign_out_address="/out"))
    form = page[page.index('action="/out"') :].split("</form>")[0]
    assert re.search(r'name="csrf_token" value="[^"]{20,}"', form)


def test_what_was_done_is_said_in_a_live_region_and_escaped() -> None:
    """Messages are announced; what has to be seen is marked."""
    app = make_site(Someone())
    with app.test_request_context("/"):
        flash("Stored <b>")
        flash("Not stored", "error")
        page = render_template_string(PAGE, name="")
    region = page[page.index('role="status"') :].split("</div>")[0]
    assert "Stored &lt;b&gt;" in region
    assert re.search(r"must-be-seen[^>]*>Not stored", region)


def test_paper_carries_the_moment_and_the_head_of_the_journal() -> None:
    """A print can be held against the journal later."""
    page = page_of(make_site(Someone()))
    assert "Made Sat 17 Oct 2026, 08:40." in page
    assert "<code>9f2c11d084ab</code>" in page
    assert "Journal head" not in page_of(make_site(Someone(), journal_head=""))


@pytest.mark.parametrize("demo", [True, False])
def test_a_demonstration_says_that_it_is_one(demo: bool) -> None:
    """Nobody takes invented people for real ones, and nobody real is called invented."""
    assert ("everybody here is invented" in page_of(make_site(Someone(), demo=demo))) is demo


def test_every_page_defers_to_local_codes_and_licensed_staff() -> None:
    """The line stands at the foot of every page."""
    assert "Local codes" in page_of(make_site())


def test_a_contents_list_and_an_answer_appear_only_where_a_page_has_them() -> None:
    """A page without them shows no empty frame for them."""
    source = PAGE + (
        '{% block contents %}{{ ui.contents_list([("who", "Who")]) }}{% endblock %}{% block answer %}Six.{% endblock %}'
    )
    with make_site(Someone()).test_request_context("/"):
        page = render_template_string(source, name="")
        bare = render_template_string(PAGE, name="")
    assert '<a href="#who">Who</a>' in page
    assert '<div class="answer">Six.</div>' in page
    assert not re.search(r'class="(contents|answer|margin)"', bare)
