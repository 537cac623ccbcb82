"""The parts of pages say in words what they mean, and tie hints and errors to their fields."""

from __future__ import annotations

import re
from datetime import date

import pytest
from werkzeug.datastructures import MultiDict
from wtforms import (
    BooleanField,
    DateField,
    FieldList,
    Form,
    FormField,
    HiddenField,
    RadioField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Length, Optional

from mentor_training.web.forms import options
from mentor_training.web.problems import Problem, form_problems
from tests.web.site import draw


class Mark(Form):
    mark = StringField("Mark", [InputRequired("Mark it.")])


class Observation(Form):
    once = HiddenField("Once", [InputRequired("Load the page again.")])
    day = DateField("Day", [InputRequired("Say on which day.")], description="The day it was seen")
    note = TextAreaField("Note", [Optional(), Length(max=3, message="At most 3 signs.")])
    station = SelectField("Station", choices=options([("b", "Balance lane"), ("q", "Quiet room")]))
    seen = RadioField("Seen", [InputRequired("Choose one.")], choices=options([("met", "Met"), ("no", "Not <met>")]))
    days = SelectMultipleField("Days", choices=options([("sat", "Saturday"), ("tue", "Tuesday")]))
    read = BooleanField("I have read the card", [InputRequired("Read it first.")])
    first = FormField(Mark)
    marks = FieldList(FormField(Mark), min_entries=1)


def filled(**values: str) -> Observation:
    form = Observation(MultiDict({"sent": "yes"} | values))
    form.validate()
    return form


@pytest.mark.parametrize(("level", "word"), [(0, "Not yet"), (1, "Supervised"), (2, "Independent"), (3, "Lead")])
def test_a_level_always_has_its_word_beside_its_mark(level: int, word: str) -> None:
    """The ladder is decoration; the word is read by everybody."""
    mark = draw("{{ ui.level_mark(level) }}", level=level)
    assert f'<span class="level-word">{word}</span>' in mark
    assert re.search(rf'class="level level-{level}"><svg[^>]*aria-hidden="true"', mark)
    assert "through" not in mark


def test_a_level_says_until_when() -> None:
    """A lapse that is near is written short and marked; a far one is written in full."""
    near = draw("{{ ui.level_mark(2, through=day, soon=true) }}", day=date(2026, 10, 12))
    far = draw("{{ ui.level_mark(2, through=day) }}", day=date(2027, 2, 1))
    assert 'through <time datetime="2026-10-12">12 Oct</time>' in near
    assert "level-2 soon" in near
    assert 'through <time datetime="2027-02-01">Mon 1 Feb 2027</time>' in far
    assert "soon" not in far


def test_a_field_is_tied_to_its_label_its_hint_and_its_error() -> None:
    """Whoever hears the page hears the three together, and what was typed stands again."""
    html = draw("{{ ui.field(form.day, autocomplete='off') }}", form=filled(day="17 Oct"))
    assert '<label for="day">Day</label>' in html
    assert '<p class="hint" id="day-hint">The day it was seen</p>' in html
    assert re.search(r'id="day-wrong"><span class="visually-hidden">Error: </span>\S', html)
    assert 'aria-describedby="day-hint day-wrong"' in html
    assert 'aria-invalid="true"' in html
    assert 'aria-required="true"' in html
    assert 'autocomplete="off"' in html
    assert 'value="17 Oct"' in html
    assert html.index("<label") < html.index("hint") < html.index("<input")


def test_a_field_that_is_right_says_nothing_of_errors() -> None:
    """A field that may stay empty says so, in words."""
    html = draw("{{ ui.field(form.note, rows=4) }}", form=filled(note="ok"))
    assert not re.search("aria-|wrong", html)
    assert '<span class="optional">(optional)</span>' in html
    assert 'rows="4"' in html
    assert ">\nok</textarea>" in html.replace("\r", "")
    assert "(optional)" not in draw("{{ ui.field(form.station) }}{{ ui.field(form.read) }}", form=filled())


def test_one_box_to_tick_has_its_label_beside_it() -> None:
    """The label is part of the target, and the error is in words."""
    html = draw("{{ ui.field(form.read) }}", form=filled())
    assert re.search(r'<input[^>]*type="checkbox"[^>]*> <label for="read">I have read the card</label>', html)
    assert "Read it first." in html


def test_choices_are_a_group_with_a_legend() -> None:
    """Each choice has its own label and id, the chosen one stays chosen, and texts are escaped."""
    html = draw("{{ ui.choices(form.seen, descriptions={'met': 'Without help'}) }}", form=filled(seen="met"))
    assert "<legend>Seen</legend>" in html
    assert re.search(r'type="radio" id="seen-0" name="seen" value="met" checked aria-describedby="seen-0-more"', html)
    assert '<p class="choice-more" id="seen-0-more">Without help</p>' in html
    assert '<label for="seen-1">Not &lt;met&gt;</label>' in html
    assert html.count("checked") == 1


def test_several_choices_are_boxes_and_an_error_is_tied_to_the_group() -> None:
    """Where more than one may be chosen, nothing looks as if only one could."""
    several = draw("{{ ui.choices(form.days) }}", form=filled(days="tue"))
    assert several.count('type="checkbox"') == 2
    assert re.search(r'value="tue" checked', several)
    wrong = draw("{{ ui.choices(form.seen, hint='As it was') }}", form=filled())
    assert 'aria-describedby="seen-hint seen-wrong"' in wrong
    assert "Choose one." in wrong


def test_the_summary_lists_every_problem_in_order_and_takes_the_focus() -> None:
    """Each line leads to its field; a hidden field and the form as a whole have none to lead to."""
    form = filled(note="four", station="b")
    form.form_errors.append("Nobody signs off their own skill.")
    assert form_problems(form) == [
        Problem("", "Nobody signs off their own skill.", None),
        Problem("Once", "Load the page again.", None),
        Problem("Day", "Say on which day.", "day"),
        Problem("Note", "At most 3 signs.", "note"),
        Problem("Seen", "Choose one.", "seen"),
        Problem("I have read the card", "Read it first.", "read"),
        Problem("Mark", "Mark it.", "first-mark"),
        Problem("Mark", "Mark it.", "marks-0-mark"),
    ]
    html = draw("{{ ui.error_summary(form) }}", form=form)
    assert re.search(r'tabindex="-1" autofocus role="group" aria-labelledby="error-summary-title"', html)
    assert "8 things have to be put right" in html
    assert '<a href="#first-mark">Mark: Mark it.</a>' in html
    assert "<li>Nobody signs off their own skill.</li>" in html


def test_a_form_without_problems_has_no_summary() -> None:
    """Nothing takes the focus when nothing is wrong."""
    assert draw("{{ ui.error_summary(form) }}", form=Observation()).strip() == ""


def test_every_form_that_changes_something_carries_both_tokens() -> None:
    """One says that the form is the program's own, the other that it is sent once."""
    for html in (
        draw("{{ ui.form_head() }}"),
        draw("{{ ui.post_button('/approve', 'Approve <it>', 'danger', {'entry': 4}) }}"),
    ):
        assert re.search(r'name="csrf_token" value="[^"]{20,}"', html)
        assert 'name="once" value="only-once"' in html
    assert '<form class="post-button" method="post" action="/approve">' in html
    assert '<input type="hidden" name="entry" value="4">' in html
    assert re.search(r'<button type="submit" class="button danger">Approve &lt;it&gt;</button>', html)


def test_a_caution_names_itself_and_is_followed_by_who_comes_first() -> None:
    """A caution is told by its title, not by its color."""
    html = draw("{{ ui.caution('Lock <both> brakes.') }}{{ ui.deferral() }}")
    assert 'role="note" aria-label="Caution"' in html
    assert '<p class="caution-title">Caution</p>' in html
    assert "Lock &lt;both&gt; brakes." in html
    assert "licensed staff come first" in html
    longer = draw("{% call ui.caution('Stop when', title='Danger') %}<ul><li>dizzy</li></ul>{% endcall %}")
    assert '<p class="caution-title">Danger</p>' in longer
    assert "<li>dizzy</li>" in longer


def test_a_reason_may_lead_to_what_would_mend_it() -> None:
    """Every no says why, and where there is something to do, links to it."""
    items = ["Too late.", {"text": "Not seen.", "address": "/observe?a=1&b=2", "label": "Record it"}]
    html = draw("{{ ui.reasons(items) }}", items=items)
    assert "<li>Too late.</li>" in html
    assert re.search(r'Not seen\. <a href="/observe\?a=1&amp;b=2">Record it</a>', html)


def test_progress_is_a_number_in_words_too() -> None:
    """Nothing to do at all is not a division by nothing."""
    html = draw("{{ ui.progress(31, 200, 'Certificates made') }}{{ ui.progress(0, 0, 'None') }}")
    assert '<progress aria-label="Certificates made" value="31" max="200">31 of 200</progress>' in html
    assert 'value="0" max="1"' in html


def test_an_empty_page_says_what_to_do_first() -> None:
    """The text, and the way to do it."""
    html = draw("{{ ui.empty_state('No sessions yet.', '/new', 'Add a session') }}{{ ui.empty_state('Nothing.') }}")
    assert '<a class="button quiet" href="/new">Add a session</a>' in html
    assert html.count("<a ") == 1


def test_the_next_step_is_one_thing_with_one_way_to_it() -> None:
    """What opens most stands on top."""
    html = draw("{{ ui.next_step('Be seen at the balance lane', '/observe', 'Ask for it') }}")
    assert re.search(r'aria-label="Next".*Be seen at the balance lane.*href="/observe">Ask for it', html, re.DOTALL)


def test_the_filter_of_a_table_shows_only_once_it_works() -> None:
    """Without scripts there is no box that does nothing; the CSV is one link away with and without."""
    html = draw("{{ ui.table_tools('who', '/who.csv') }}")
    assert re.search(r'<p class="table-filter" hidden>\s*<label for="who-filter">', html)
    assert '<a href="/who.csv">' in html
    assert 'role="status"' in html
    room = draw("{% call ui.table_room('Who', big=true) %}<table></table>{% endcall %}")
    assert 'class="table-room big" role="region" aria-label="Who" tabindex="0"' in room
