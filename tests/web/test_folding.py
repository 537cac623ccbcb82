"""Wide tables fold on a phone with their meaning kept, and narrow ones stay as they are."""

from __future__ import annotations

from markupsafe import Markup

from mentor_training.web.folding import fold
from tests.web.site import draw

HEAD = '<thead><tr><th scope="col">Day</th><th scope="col">What &amp; why</th>{}</tr></thead>'
HOURS = '<th scope="col" class="number">Hours <span class="quiet">of "30 h"</span></th><th data-nosort>Do</th>'
ROW = '<tbody><tr><th scope="row">Sat</th><td class="long" data-sort="a > b">Balance</td>{}</tr></tbody>'


def folded_from(html: str) -> str:
    """Fold what a template wrote."""
    return fold(Markup(html))  # noqa: S704 - written here


def wide(cells: str = "<td>1.5 h</td><td> \n </td>") -> str:
    return folded_from(f"<table>{HEAD.format(HOURS)}{ROW.format(cells)}</table>")


def test_each_cell_carries_the_words_of_its_column() -> None:
    """The row head counts as a column, tags in a head are left out, and what is escaped stays escaped."""
    folded = wide()
    assert '<td class="long" data-sort="a > b" data-label="What &amp; why" role="cell">Balance</td>' in folded
    assert '<td data-label="Hours of &quot;30 h&quot;" role="cell">1.5 h</td>' in folded


def test_a_cell_with_nothing_in_it_can_be_left_out() -> None:
    """An empty cell is told by its class; a column that says `data-nosort` speaks for itself and has no label."""
    assert '<td class="blank" role="cell"> \n </td>' in wide()
    assert '<td role="cell"><a>Correct</a></td>' in wide("<td>1</td><td><a>Correct</a></td>")


def test_a_folded_table_is_still_a_table_to_a_screen_reader() -> None:
    """Other ways of display take the meaning from a table in some browsers; ARIA roles keep it."""
    folded = wide()
    assert folded.startswith('<table class="folds" role="table"><thead role="rowgroup"><tr role="row">')
    assert '<th scope="col" role="columnheader">Day</th>' in folded
    assert '<th scope="row" role="rowheader">Sat</th>' in folded


def test_counting_begins_anew_in_each_row() -> None:
    """The second row's first cell belongs to the first column again."""
    rows = "".join(f"<tr><td>{day}</td><td>b</td><td>c</td><td>d</td></tr>" for day in ("Sat", "Tue"))
    folded = folded_from(f"<table>{HEAD.format(HOURS)}<tbody>{rows}</tbody></table>")
    assert folded.count('data-label="Day"') == folded.count('data-label="What &amp; why"') == 2


def test_a_narrow_table_stays_as_it_is_unless_it_asks() -> None:
    """Three columns fit a phone; what is no table at all is given back too."""
    narrow = f"<table>{HEAD.format('')}{ROW.format('')}</table>"
    assert folded_from(narrow) == narrow
    assert folded_from("<p>Nothing here</p>") == "<p>Nothing here</p>"
    assert 'class="folds"' in folded_from(narrow.replace("<table>", "<table data-fold>"))


def test_a_room_folds_its_table_and_a_big_board_stays_whole() -> None:
    """A board of many columns is read across, with its head and first column standing still."""
    table = f"<table>{HEAD.format(HOURS)}{ROW.format('')}</table>"
    assert "folds" in draw(f"{{% call ui.table_room('Log') %}}{table}{{% endcall %}}")
    assert "folds" not in draw(f"{{% call ui.table_room('Board', big=true) %}}{table}{{% endcall %}}")
