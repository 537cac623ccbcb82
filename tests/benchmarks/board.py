"""The board of 500 volunteers by 24 stations, against a bare template that writes the same bytes from a ready list.

The page is asked for as a browser asks: signed in, with the access rules, the database, the matrix and the lapses. The
reference has every cell's HTML ready and only joins it. Run it with `python -m tests.benchmarks.board`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from jinja2 import Environment
from markupsafe import Markup

from mentor_training.application import create_app
from mentor_training.clock import FixedClock
from mentor_training.database.instance import Instance
from mentor_training.settings import read_settings
from tests.benchmarks.data import NOW, Size, make_database
from tests.benchmarks.measure import Result, best, once, run
from tests.builders import SETTINGS, World
from tests.sign_in import Visitor

BOUND = 5.0
VOLUNTEERS, STATIONS = 500, 24
BARE = """{{ before }}<tbody>
{{ lead }}{% for row in rows -%}
<tr{{ row[0] }}{% for cell in row[1] %}<td{{ cell }}{% endfor %}</tr>{{ row[2] }}
{%- endfor %}{{ after }}"""

Rows = list[tuple[str, list[str], str]]


def measured(size: Size) -> Iterator[Result]:
    """Yield what is measured."""
    of_board = replace(size, volunteers=min(size.volunteers, VOLUNTEERS), stations=min(size.stations, STATIONS))
    with TemporaryDirectory() as folder:
        world = make_instance(Path(folder), of_board)
        visitor = Visitor(create_app(world.instance, testing=True).test_client()).sign_in("c-01")
        _, first = once(lambda: visitor.get("/clearance").text)
        page = visitor.get("/clearance").text
        reference = Reference(page)
        if reference.draw() != page:
            raise AssertionError("the bare template writes other bytes")
        bare = best(reference.draw, 9, 3)
        ours = best(lambda: visitor.get("/clearance").text, 9)
        note = f"{len(page) / 1e6:.2f} MB; the first page of a process {first / bare:.1f} x"
        yield Result("(f) the board page, 500 by 24", ours, "bare template", bare, BOUND, note)
        world.instance.database.close()


def make_instance(folder: Path, size: Size) -> World:
    """Make an instance on such a database, with a coordinator."""
    (folder / "settings.toml").write_text(SETTINGS, encoding="utf-8")
    (folder / "keys").mkdir()
    (folder / "keys" / "secret-key").write_text("5" * 64, encoding="ascii")
    (folder / "data").mkdir()
    database = make_database(folder / "data" / "mentor-training.db", size)
    clock = FixedClock(NOW + timedelta(minutes=1))
    world = World(Instance(read_settings(folder), database, clock), clock)
    world.add_person("c-01", "coordinator")
    return world


class Reference:
    """The page cut into ready pieces of HTML, and a bare template that joins them with what stands between."""

    def __init__(self, page: str) -> None:
        before, _, rest = page.partition("<tbody>\n")
        body, _, after = rest.partition("</tbody>")
        self.before, self.after = Markup(before), Markup("</tbody>" + after)  # noqa: S704 - our own page
        self.rows = [self._row(row) for row in body.split("<tr")[1:]]
        self.lead = Markup(body.split("<tr")[0])  # noqa: S704 - as above
        self.template = Environment(autoescape=True).from_string(BARE)

    @staticmethod
    def _row(row: str) -> tuple[Markup, list[Markup], Markup]:
        inside, _, after = row.partition("</tr>")
        head, *cells = re.split(r"<td", inside)
        return Markup(head), [Markup(cell) for cell in cells], Markup(after)  # noqa: S704 - as above

    def draw(self) -> str:
        """Write the page."""
        return self.template.render(before=self.before, lead=self.lead, rows=self.rows, after=self.after)


if __name__ == "__main__":
    run(measured)
