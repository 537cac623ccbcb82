"""The pages one is led to: for each person, only those that their roles open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """A page that answers what people ask: its label, its endpoint, and the act that it takes to open it."""

    label: str
    endpoint: str
    act: str


@dataclass(frozen=True)
class NavigationLink:
    """One word of the top line, as the person who looks sees it."""

    label: str
    address: str
    here: bool


def navigation_for(
    places: Iterable[Place], may: Callable[[str], bool], address_of: Callable[[str], str], endpoint: str | None
) -> tuple[NavigationLink, ...]:
    """Return the links for one person on one page, in the order of `places`.

    `may` answers whether the person may do an act, `address_of` gives an endpoint's address, and `endpoint` is that of
    the page shown. A page that is not itself a place belongs to the first place of its blueprint.
    """
    open_places = [place for place in places if may(place.act)]
    here = _where(open_places, endpoint)
    return tuple(NavigationLink(place.label, address_of(place.endpoint), place is here) for place in open_places)


def _where(places: list[Place], endpoint: str | None) -> Place | None:
    if endpoint is None:
        return None
    exact = (place for place in places if place.endpoint == endpoint)
    near = (place for place in places if "." in endpoint and _blueprint(place.endpoint) == _blueprint(endpoint))
    return next(exact, None) or next(near, None)


def _blueprint(endpoint: str) -> str:
    return endpoint.rpartition(".")[0]
