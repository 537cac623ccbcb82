"""One is led only to pages that one may open."""

from __future__ import annotations

from mentor_training.web.navigation import NavigationLink, Place, navigation_for

PLACES = (
    Place("My path", "overview.my_path", "see-own"),
    Place("Clearance", "clearance.board", "see-clearance"),
    Place("Journal", "overview.journal", "see-journal"),
)


def links(acts: set[str], endpoint: str | None) -> tuple[NavigationLink, ...]:
    return navigation_for(PLACES, acts.__contains__, lambda name: "/" + name.replace(".", "/"), endpoint)


def test_only_what_the_roles_open_is_shown_in_its_order() -> None:
    """A volunteer does not meet words that would answer "not open to you"."""
    assert links({"see-journal", "see-own"}, None) == (
        NavigationLink("My path", "/overview/my_path", False),
        NavigationLink("Journal", "/overview/journal", False),
    )
    assert links(set(), "overview.my_path") == ()


def test_the_page_one_is_on_is_marked_once() -> None:
    """The exact page comes first; any other page of a blueprint belongs to that blueprint's first place."""
    everything = {"see-own", "see-clearance", "see-journal"}

    def here(endpoint: str) -> list[str]:
        return [link.label for link in links(everything, endpoint) if link.here]

    assert here("overview.journal") == ["Journal"]
    assert here("clearance.why") == ["Clearance"]
    assert here("overview.today") == ["My path"]
    assert here("people.sign_in") == []
    assert here("static") == []
