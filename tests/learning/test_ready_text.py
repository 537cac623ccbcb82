"""A module's text that is kept as ready HTML is never another's, and never an old one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from tests.builders import World
from tests.learning.taking import read_all, words
from tests.sign_in import Visitor
from tests.small_program import SAFETY, small_files

Sign = Callable[[str], Visitor]

WHOLE = "/learn/safety/whole"
DONE = "You have acknowledged this."


def test_what_one_has_acknowledged_is_shown_to_nobody_else(world: World, visitor: Sign) -> None:
    """Whoever asks first, and however often: each reader sees their own state, and one who takes no part sees none."""
    for code in ("v-001", "v-002"):
        world.add_person(code)
    world.add_person("c-01", "coordinator")
    read_all(world, "v-001")
    for code, is_done in (("v-002", False), ("v-001", True), ("c-01", False), ("v-002", False), ("v-001", True)):
        assert (DONE in visitor(code).get(WHOLE).text) == is_done, code


def test_a_caution_just_acknowledged_is_shown_so_at_once(world: World, visitor: Sign) -> None:
    """The page was kept without it a moment before."""
    world.add_person("v-001")
    reader = visitor("v-001")
    assert DONE not in reader.get(WHOLE).text
    read_all(world, "v-001")
    assert DONE in reader.get(WHOLE).text


def test_a_new_text_is_shown_from_its_day_on_and_the_old_one_for_the_days_before(world: World, visitor: Sign) -> None:
    """The whole content is the key: the same slug, title and edition number with another word is another text."""
    world.add_person("v-001")
    reader = visitor("v-001")
    assert "Walk every exit once." in words(reader.get(WHOLE).text)
    changed = small_files() | {"modules/safety.md": SAFETY.replace("exit once", "exit twice")}
    world.publish(changed, date(2026, 10, 10), number=2)
    assert "Walk every exit twice." in words(reader.get(WHOLE).text)
    assert "Walk every exit once." in words(reader.get(f"{WHOLE}?on=2026-10-09").text)


def test_nothing_of_a_request_stands_in_the_kept_text(world: World, visitor: Sign) -> None:
    """Asked about another day, the links of the page carry that day; the text has none that could."""
    world.add_person("v-001")
    reader = visitor("v-001")
    whole = reader.get(f"{WHOLE}?on=2026-10-09").text
    article, rest = whole[whole.index("<article") : whole.index("<footer")], reader.get(WHOLE).text
    assert "2026-10-09" not in article
    assert "csrf_token" not in article
    assert article[: article.index("</main>")] in rest
