"""How quiz items do reads the same from both databases."""

from __future__ import annotations

from fractions import Fraction

from tests.builders import World
from tests.learning.taking import actor
from tests.learning.test_item_reports import asked, item, tried


def test_items_are_counted_alike_on_both_databases(stored: World) -> None:
    """Scores, answers as text, the own section's volunteers, the first attempts."""
    tried(stored, "KIN-372-A", "KIN-372-A", "KIN-372-A", "KIN-372-B")
    stored.add_person("i-01", "course-instructor", sections="KIN-372-A")
    found = asked(stored, actor(stored, "i-01"))
    assert (found.people, found.figures.length) == (3, 5)
    gray = item(found, "grey-and-sweating")
    assert gray.figures.difficulty == Fraction(1, 3)
    assert [one.times for one in gray.choices] == [1, 1, 1]
    assert asked(stored).people == 4
