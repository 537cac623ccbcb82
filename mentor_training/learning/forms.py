"""The forms in which scenarios are answered, one for each kind, of a conversation, and of judges' estimates.

What is left empty takes an answer back; what is begun has to be finished, and says what is missing beside its field.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, ClassVar

from flask_wtf import FlaskForm
from wtforms import DateField, HiddenField, RadioField, SelectField, SelectMultipleField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from mentor_training.learning.queries import Sitting
from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked, parse_number, walk
from mentor_training.learning.rules.pass_mark import (
    LONGEST_NAME,
    MOST_JUDGES,
    Sheet,
    clean_name,
    named_twice,
    read_percent,
)
from mentor_training.learning.rules.serving import choice_order, option_order, step_order
from mentor_training.program.quiz_values import Scenario
from mentor_training.web.forms import DayField, options

PLACE = "place-"
JUDGES = range(1, MOST_JUDGES + 1)


class Asked:
    """Marks a field as asked for, and lets it be empty all the same: an answer may be given later."""

    field_flags: ClassVar[dict[str, bool]] = {"required": True}

    def __call__(self, form: Any, field: Any) -> None:
        """Find nothing wrong."""


class MaybeRadioField(RadioField):
    """Radio buttons of which none need be chosen."""

    def pre_validate(self, form: Any) -> None:
        """Check only what was chosen."""
        if self.data is not None:
            super().pre_validate(form)


class OneForm(FlaskForm):
    """One option of several."""

    pick = MaybeRadioField("Choose the one best answer", coerce=int)

    def answer(self) -> Answer | None:
        """Return the option, if one was chosen."""
        return None if self.pick.data is None else Picked((self.pick.data,))


class AllForm(FlaskForm):
    """Any number of options."""

    picks = SelectMultipleField("Choose all that are right", coerce=int)

    def answer(self) -> Answer | None:
        """Return the options, if any were chosen."""
        return Picked(tuple(sorted(self.picks.data))) if self.picks.data else None


class OrderForm(FlaskForm):
    """A place for each step."""

    def places(self) -> list[SelectField]:
        """Return the fields, one for each step."""
        return [field for field in self if field.name.startswith(PLACE)]

    def validate(self, extra_validators: Any = None) -> bool:
        """Ask for every place once, unless all were left empty."""
        fine = bool(super().validate(extra_validators))
        given = Counter(field.data for field in self.places() if field.data)
        for field in self.places() if given else ():
            if not field.data:
                field.errors = ["No place yet."]
            elif given[field.data] > 1:
                field.errors = [f"Place {field.data} is given more than once."]
        return fine and not any(field.errors for field in self.places())

    def answer(self) -> Answer | None:
        """Return the steps in the order of their places."""
        given = sorted((int(field.data), field.name.removeprefix(PLACE)) for field in self.places() if field.data)
        return Ordered(tuple(slug for _, slug in given)) if given else None


class MeasureForm(FlaskForm):
    """A number and its unit."""

    value = StringField("The number", [Asked()])
    unit = MaybeRadioField("The unit")

    def validate(self, extra_validators: Any = None) -> bool:
        """Ask for both, unless both were left empty."""
        fine = bool(super().validate(extra_validators))
        number = (self.value.data or "").strip()
        if (number or self.unit.data) and parse_number(number) is None:
            self.value.errors = ["Write the number in digits, with a point before decimals, such as 10.5."]
        if number and not self.unit.data and not self.unit.errors:
            self.unit.errors = ["Choose the unit; a number without one says nothing."]
        return fine and not (self.value.errors or self.unit.errors)

    def answer(self) -> Answer | None:
        """Return the reading as it was written."""
        number = (self.value.data or "").strip()
        return Measured(number, self.unit.data) if number else None


class UnfoldForm(FlaskForm):
    """What is done in one scene."""

    choice = MaybeRadioField("What do you do?", coerce=int)
    scene = HiddenField()
    made: tuple[int, ...] = ()

    def answer(self) -> Answer | None:
        """Return the walk with this choice at its end."""
        return None if self.choice.data is None else Walked((*self.made, self.choice.data))


class TalkForm(FlaskForm):
    """The conversation that releases a hold."""

    day = DateField("Day of the conversation", [InputRequired("Write the day of the conversation.")])
    note = TextAreaField("What was agreed", [Length(max=2000, message="Keep it under 2,000 characters.")])


# Each form's `answer` returns what was given, or None if all was left empty; it is read after `validate`.
AnswerForm = OneForm | AllForm | OrderForm | MeasureForm | UnfoldForm


def answer_form(sitting: Sitting, scenario: Scenario) -> AnswerForm:
    """Return the form for a scenario, with the answer kept so far in it."""
    kept, seed = sitting.answers.get(scenario.slug), sitting.attempt.seed
    if scenario.kind == "put_in_order":
        return _order_form(scenario, seed, kept)
    if scenario.kind == "read_measure":
        return _measure_form(scenario, kept)
    if scenario.kind == "unfold":
        return _unfold_form(scenario, seed, kept)
    picks = kept.picks if isinstance(kept, Picked) else ()
    shown = options((str(place), scenario.options[place].text) for place in option_order(scenario, seed))
    if scenario.kind == "choose_all":
        several = AllForm(data={"picks": list(picks)})
        several.picks.choices = shown
        return several
    one = OneForm(data={"pick": picks[0] if picks else None})
    one.pick.choices = shown
    return one


def _order_form(scenario: Scenario, seed: int, kept: Answer | None) -> OrderForm:
    places = [str(number) for number in range(1, len(scenario.steps) + 1)]
    shown = options([("", "no place yet"), *((place, place) for place in places)])
    steps = [scenario.steps[at] for at in step_order(scenario, seed)]
    fields = {PLACE + step.slug: SelectField(step.text, choices=shown) for step in steps}
    given = dict(zip(kept.order, places, strict=True)) if isinstance(kept, Ordered) else {}
    form: OrderForm = type("StepsForm", (OrderForm,), fields)(data={PLACE + slug: at for slug, at in given.items()})
    return form


def _measure_form(scenario: Scenario, kept: Answer | None) -> MeasureForm:
    data = {"value": kept.value, "unit": kept.unit} if isinstance(kept, Measured) else {}
    form = MeasureForm(data=data)
    form.unit.choices = options((unit, unit) for unit in scenario.units)
    return form


def _unfold_form(scenario: Scenario, seed: int, kept: Answer | None) -> UnfoldForm:
    made = kept.choices if isinstance(kept, Walked) else ()
    scene = walk(scenario, made).now
    form = UnfoldForm(data={"scene": scene.slug if scene else ""})
    form.made = made
    places = choice_order(scenario, scene, seed) if scene else ()
    form.choice.choices = options((str(at), scene.choices[at].text) for at in places) if scene else []
    return form


# ---- judges' estimates ----


class EstimatesForm(FlaskForm):
    """The judges' names, and a percent of each judge for each item; a judge of whom nothing is written is none.

    `edition` is the edition of the program by which they judged.
    """

    edition = HiddenField()
    day = DayField("Day on which they judged", [InputRequired("Write the day on which they judged.")])
    items: tuple[str, ...] = ()
    today = date.max

    def name_of(self, judge: int) -> Any:
        """Return the field of a judge's name."""
        return self[f"judge-{judge}"]

    def share_of(self, judge: int, item: str) -> Any:
        """Return the cell of a judge and an item."""
        return self[f"share-{judge}-{item}"]

    def validate(self, extra_validators: Any = None) -> bool:
        """Find every cell that is wrong, and say beside it what would be right."""
        fine = bool(super().validate(extra_validators))
        written = [judge for judge in JUDGES if self._is_written(judge)]
        for judge in written:
            self._check(judge)
        self._check_names(written)
        if self.day.data and self.day.data > self.today:
            self.day.errors = ["That day is still to come; write the day on which they judged."]
        return fine and not any(field.errors for field in self)

    def seen(self) -> int:
        """Return the edition by which they judged, 0 where that was not sent."""
        sent = self.edition.data or ""
        return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 10 else 0

    def sheets(self) -> tuple[Sheet, ...]:
        """Return what each judge wrote; read it after `validate`."""
        return tuple(
            Sheet(self._name(judge), tuple(read_percent(one.data or "") or 0 for one in self._cells(judge)))
            for judge in JUDGES
            if self._is_written(judge)
        )

    def _cells(self, judge: int) -> list[Any]:
        return [self.share_of(judge, item) for item in self.items]

    def _name(self, judge: int) -> str:
        return clean_name(str(self.name_of(judge).data or ""))

    def _is_written(self, judge: int) -> bool:
        return any(map(_text, (self.name_of(judge), *self._cells(judge))))

    def _check_names(self, written: Sequence[int]) -> None:
        if not written:
            self.name_of(1).errors = ["Nothing is written yet: name a judge, and write a percent for each item."]
        twice = named_twice(Sheet(self._name(judge), ()) for judge in written)
        for judge in written:
            if self._name(judge) in twice:
                field = self.name_of(judge)
                field.errors = [*field.errors, "This name stands here twice; tell the two apart."]

    def _check(self, judge: int) -> None:
        name, cells = self.name_of(judge), self._cells(judge)
        if not self._name(judge):
            name.errors = [*name.errors, "Write who judged."]
        if not any(map(_text, cells)):
            name.errors = [*name.errors, "Write a percent of this judge for each item below, or take the name out."]
            return
        for item, cell in zip(self.items, cells, strict=True):
            cell.errors = list(_wrong_share(_text(cell)))
            known_as = f" ({self._name(judge)})" if self._name(judge) else ""
            cell.label.text = f"Judge {judge}{known_as}, item {item}"


def _text(field: Any) -> str:
    return str(field.data or "").strip()


def _wrong_share(written: str) -> Iterator[str]:
    if not written:
        yield "Nothing yet; write 0 to 100."
    elif read_percent(written) is None:
        yield f"“{written[:20]}” is no whole percent; write 0 to 100."


def estimates_form(items: Sequence[str], today: date, edition: int) -> EstimatesForm:
    """Return the form for what judges say of these items, in their order, as an edition of the program has them."""
    fields: dict[str, Any] = {}
    for judge in JUDGES:
        longest = Length(max=LONGEST_NAME, message=f"Keep it to {LONGEST_NAME} characters.")
        fields[f"judge-{judge}"] = StringField(f"Judge {judge}", [longest])
    for item in items:
        for judge in JUDGES:
            fields[f"share-{judge}-{item}"] = StringField(f"Judge {judge}, item {item}")
    fields |= {"items": tuple(items), "today": today}
    form: EstimatesForm = type("SheetsForm", (EstimatesForm,), fields)(data={"day": today, "edition": edition})
    return form
