"""The page of a session's floor against its ready HTML: the same bytes written by a bare template from ready values.

The page is asked for as a browser asks: signed in, with the access rules, the database, everybody's clearance, the
gaps with their reasons. The reference stands behind the same door of the same application, asks who is signed in and
nothing else, and has every word of every cell ready; a template writes them. The template alone, without the door, is
printed beside it and not held: a page that asks nobody who they are is no page of a floor. The first page of a
process is printed too: from then on what a floor comes to is remembered while nothing that it rests on differs.
Run it with `python -m tests.benchmarks.floor_page`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from jinja2 import Environment
from markupsafe import Markup

from mentor_training.application import create_app
from mentor_training.people.access import guarded
from mentor_training.people.permissions import Act
from tests.benchmarks.data import Size
from tests.benchmarks.measure import Result, best, run
from tests.builders import World, make_world
from tests.planning.gym import gym
from tests.planning.saturday import at
from tests.sign_in import Visitor

BOUND = 3.0
ADDRESS = "/sessions/s-11"
BARE = "{{ before }}{% for cell in cells %}{% for tag, words in cell %}{{ tag }}{{ words }}{% endfor %}{% endfor %}"
PART = re.compile(r"(<[^>]*>|)([^<]*)")
TOKEN = re.compile(r'(name="(?:csrf_token|once)" value=")[^"]*|(code>)[0-9a-f]{64}')


class Reference:
    """The page as ready values, and a bare template that writes it: words are escaped, tags are ready."""

    def __init__(self, page: str) -> None:
        before, *cells = re.split(r"(?=<td)", page)
        self.before = Markup(before)  # noqa: S704 - our own page
        self.cells = [
            [(Markup(tag), Markup(words).unescape()) for tag, words in PART.findall(cell) if tag or words]  # noqa: S704
            for cell in cells
        ]
        self.template = Environment(autoescape=True).from_string(BARE)

    def draw(self) -> str:
        """Write the page."""
        return self.template.render(before=self.before, cells=self.cells)


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured: a full gym, and a floor of the size of the demo's."""
    small = size.volunteers < 1000
    for what, participants in (("60 participants", 60), ("17 participants, as the demo", 17)):
        with TemporaryDirectory() as folder:
            world = make_world(Path(folder) / "instance")
            gym(world, participants)
            world.clock.moment = at("10:20")
            yield from of_floor(world, what, 5 if small else 25)
            world.instance.database.close()


def of_floor(world: World, what: str, rounds: int) -> Iterator[Result]:
    """Yield the page of this floor beside its ready HTML, behind the door and without."""
    app, ready = create_app(world.instance, testing=True), [Reference("")]

    def behind_the_door() -> str:
        return ready[0].draw()

    app.add_url_rule("/ready", view_func=guarded(Act.CHECK_IN)(behind_the_door))
    visitor = Visitor(app.test_client()).sign_in("c-01")
    began = perf_counter()
    page = visitor.get(ADDRESS).text
    first = perf_counter() - began
    reference = ready[0] = Reference(page)
    if not same(visitor.get("/ready").text, page) or not same(visitor.get(ADDRESS).text, page):
        raise AssertionError("the bare template writes other bytes")
    ours, door = in_turn(lambda: visitor.get(ADDRESS), lambda: visitor.get("/ready"), rounds)
    bare = best(reference.draw, 9, 10)
    size = f"{len(page) / 1000:.0f} kB"
    yield Result(f"the floor, {what}", ours, "ready HTML behind the same door", door, BOUND, size)
    yield Result(f"the floor, {what}", ours, "the bare template alone", bare)
    yield Result(f"the floor, {what}, the first page of a process", first)


def same(one: str, other: str) -> bool:
    """Say whether two answers are the same but for a form's tokens."""
    return TOKEN.sub(r"\1\2", one) == TOKEN.sub(r"\1\2", other)


def in_turn(ours: Callable[[], object], theirs: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Return the best times of both, taken in turn."""
    pairs = [(best(ours, 1), best(theirs, 1, 3)) for _ in range(rounds)]
    return min(one for one, _ in pairs), min(other for _, other in pairs)


if __name__ == "__main__":
    run(measured)
