"""What goes wrong is a page in words with the way back."""

from __future__ import annotations

import pytest

from tests.web.site import Someone, make_site


@pytest.mark.parametrize(
    ("address", "status", "words"),
    [
        ("/refused", 422, ["This cannot be shown yet", "holds no background check", "&lt;already&gt;"]),
        ("/not-found", 404, ["Not found", "no volunteer v-999"]),
        ("/not-allowed", 403, ["not open to you", "publishing is the coordinator"]),
        ("/bad", 400, ["This address cannot be read", "&#39;never&#39; is not a day."]),
        ("/?on=never", 400, ["&#39;never&#39; is not a day", "such as 2026-10-17"]),
        ("/nowhere", 404, ["There is no such page", "may be mistyped"]),
        ("/form", 405, ["cannot be used in that way", "own buttons"]),
        ("/broken", 500, ["Something broke here", "last printed plan"]),
    ],
)
@pytest.mark.parametrize("me", [None, Someone()])
def test_each_failure_has_its_own_words(address: str, status: int, words: list[str], me: Someone | None) -> None:
    """Signed in or not, the page says what happened and leads on; nothing of the program's inside is shown."""
    answer = make_site(me).test_client().get(address)
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert all(word in page for word in words), page
    assert "To the first page" in page
    assert "must not see" not in page


def test_a_refused_act_says_that_nothing_was_stored() -> None:
    """A page that waits for something says no such thing: nobody wanted to store anything."""
    site = make_site(Someone())
    site.config["WTF_CSRF_ENABLED"] = False
    act, look = (getattr(site.test_client(), method)("/refused").get_data(as_text=True) for method in ("post", "get"))
    assert "This was not done" in act
    assert "Nothing was stored." in act
    assert "Nothing was stored." not in look


def test_a_form_that_no_page_of_the_program_made_is_not_taken() -> None:
    """A post without its token answers 400 and says how what was written is kept."""
    answer = make_site(Someone()).test_client().post("/form", data={"note": "long"})
    assert answer.status_code == 400
    assert "copy what you had written" in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("referrer", "back"),
    [
        ("http://localhost/sessions/s-11?block=2", '<a class="button primary" href="/sessions/s-11?block=2">'),
        ("http://elsewhere.example/sessions", None),
        ("http://localhost//elsewhere.example/x", None),
        ("http://localhost/refused", None),
        ("", None),
    ],
)
def test_the_way_back_leads_only_into_the_program(referrer: str, back: str | None) -> None:
    """The page one came from is offered, unless it is another site's or this same page."""
    answer = make_site(Someone()).test_client().get("/refused", headers={"Referer": referrer} if referrer else {})
    page = answer.get_data(as_text=True)
    assert ("Back to where you were" in page) == (back is not None)
    assert back is None or back in page


def test_a_failure_is_told_even_when_nothing_about_the_person_can_be_known() -> None:
    """The page for a failure asks for nothing that every other page is given."""
    app = make_site()

    @app.context_processor
    def broken() -> dict[str, str]:
        raise ConnectionError("the database is away")

    answer = app.test_client().get("/")
    assert answer.status_code == 500
    assert "Something broke here" in answer.get_data(as_text=True)
