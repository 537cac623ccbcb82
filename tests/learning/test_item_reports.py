"""How quiz items do, read from closed attempts: whose, which ones, under which wording."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

import pytest

from mentor_training.errors import NotFound
from mentor_training.learning.questions import Bank, BankReport, Item, bank_for, banks, report
from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked
from mentor_training.learning.rules.items import LookAt
from mentor_training.learning.tables import Attempt
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.program.queries import known_editions
from tests.builders import World
from tests.learning.taking import RIGHT, TWO_WRONG, UNSAFE, actor, begin, close, give, take
from tests.small_program import small_files

A, B = "KIN-372-A", "KIN-372-B"


def asked(
    world: World, viewer: Actor = CONSOLE, edition: int | None = None, all_attempts: bool = False,
    until: datetime | None = None,
) -> BankReport:  # fmt: skip
    """Return the report about the small program's quiz."""
    moment = until or world.clock.now()
    with world.reading() as db:
        editions = known_editions(db, moment)
        bank = bank_for(banks(db, viewer, editions, moment), "safety", edition)
        return report(db, viewer, bank, editions, moment, all_attempts)


def item(found: BankReport, slug: str) -> Item:
    return next(one for one in found.items if one.scenario.slug == slug)


def tried(world: World, *sections: str) -> None:
    """Add v-001, v-002 ... to sections, who take the quiz: right, two wrong, unsafe, and so on."""
    for number, section in enumerate(sections, 1):
        world.add_person(f"v-{number:03}", sections=section)
        take(world, f"v-{number:03}", (RIGHT, TWO_WRONG, UNSAFE)[(number - 1) % 3], seed=number)


def test_every_item_has_its_figures_and_the_people_behind_them(world: World) -> None:
    """Three volunteers: one right in all, one wrong in two items, one unsafe in one."""
    tried(world, A, A, A)
    found = asked(world)
    assert (found.people, found.attempts, found.figures.length) == (3, 3, 5)
    assert [one.scenario.slug for one in found.items][:2] == ["grey-and-sweating", "clean-hands"]
    gray = item(found, "grey-and-sweating")
    assert (gray.figures.people, gray.figures.difficulty) == (3, Fraction(1, 3))
    assert gray.unsafe is not None
    assert (gray.unsafe.hits, gray.unsafe.people) == (1, 3)
    assert gray.look_at == (LookAt.MODULE, LookAt.ITEM)
    assert [(one.standing, one.times) for one in gray.choices] == [("unsafe", 1), ("best", 1), ("wrong", 1)]
    assert found.figures.mean == Fraction(12, 3)
    assert found.figures.kr20 is not None


def test_the_first_attempt_of_each_counts_unless_all_are_asked_for(world: World) -> None:
    """A later one comes after the explanations."""
    tried(world, A, A)
    world.clock.forward(hours=13)
    take(world, "v-002", RIGHT)
    assert item(asked(world), "how-long").figures.difficulty == Fraction(1, 2)
    everything = asked(world, all_attempts=True)
    assert (everything.people, everything.attempts) == (2, 3)
    assert item(everything, "how-long").figures.difficulty == Fraction(2, 3)
    assert [one.times for one in item(everything, "how-long").choices] == [2, 0, 1]


def test_an_attempt_that_is_open_or_was_broken_off_counts_nowhere(world: World) -> None:
    """The first closed one does."""
    world.add_person("v-001")
    give(world, "v-001", begin(world, "v-001"), UNSAFE)
    assert asked(world).attempts == 0
    world.clock.forward(hours=40)
    take(world, "v-001", RIGHT)
    found = asked(world)
    assert found.attempts == 1
    assert item(found, "grey-and-sweating").figures.difficulty == 1


def test_a_course_instructor_sees_the_own_sections_only(world: World) -> None:
    """The coordinator's console sees all; an instructor of no section nobody."""
    tried(world, A, B, A, "")
    for code, sections in (("i-01", A), ("i-02", B), ("i-03", "")):
        world.add_person(code, "course-instructor", sections=sections)
    assert asked(world).people == 4
    assert [asked(world, actor(world, code)).people for code in ("i-01", "i-02", "i-03")] == [2, 1, 0]
    assert item(asked(world, actor(world, "i-02")), "how-long").figures.difficulty == 0


def test_what_was_asked_and_not_answered_scores_nothing_and_is_counted_as_such(world: World) -> None:
    """Not the same as not asked."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {"clean-hands": Picked((0, 1))})
    close(world, "v-001", number)
    left = item(asked(world), "how-long")
    assert (left.figures.people, left.unanswered) == (1, 1)
    assert left.figures.difficulty == 0
    assert item(asked(world), "clean-hands").unanswered == 0


def test_partial_credit_is_the_share_of_points_and_best_the_full_score(world: World) -> None:
    """One of two pairs kept is half a point, and not the best answer."""
    world.add_person("v-001")
    half: dict[str, Answer] = RIGHT | {"in-order": Ordered(("shout", "write", "send"))}
    take(world, "v-001", half)
    order = item(asked(world), "in-order").figures
    assert order.difficulty == Fraction(1, 2)
    assert order.best == 0


def test_items_that_were_drawn_have_those_behind_them_who_were_asked(world: World) -> None:
    """Three of five: the figures of an item rest on fewer, and the reliability is that of three."""
    files = small_files()
    world.publish(files | {"quizzes/safety.yaml": files["quizzes/safety.yaml"].replace("draw: 5", "draw: 3")}, number=2)
    for number in range(1, 9):
        world.add_person(f"v-{number:03}")
        attempt = begin(world, f"v-{number:03}", seed=number)
        served = served_in(world, attempt)
        give(world, f"v-{number:03}", attempt, {slug: RIGHT[slug] for slug in served[: 1 + number % 3]})
        close(world, f"v-{number:03}", attempt)
    found = asked(world)
    behind = [one.figures.people for one in found.items]
    assert (found.figures.length, sum(behind)) == (3, 24)
    assert max(behind) < 8


def served_in(world: World, attempt: int) -> tuple[str, ...]:
    with world.reading() as db:
        return db.get_one(Attempt, attempt).scenarios


def test_editions_of_a_module_are_told_apart(world: World) -> None:
    """The newest stands first and is meant where none is named; one that nobody was asked from is not found."""
    tried(world, A)
    newer = {
        path: text.replace("edition: 1", "edition: 2") if path.split("/")[0] in ("modules", "quizzes") else text
        for path, text in small_files().items()
    }
    world.publish(newer, number=2)
    with world.reading() as db:
        found = banks(db, CONSOLE, known_editions(db, world.clock.now()), world.clock.now())
    assert [(bank.quiz, bank.edition) for bank in found] == [("safety", 2), ("safety", 1)]
    assert (asked(world).people, asked(world, edition=1).people) == (0, 1)
    with pytest.raises(NotFound, match=r"edition 7 of the quiz safety .* there are 2, 1"):
        asked(world, edition=7)


def test_an_answer_is_read_by_the_wording_that_it_was_given_under(world: World) -> None:
    """The options changed their places in a later edition of the program: the old picks still mean what they meant."""
    tried(world, A)
    files = small_files()
    quiz = files["quizzes/safety.yaml"]
    best, unsafe = "Stay, call, send for the AED.", "Give water and look again later."
    turned = quiz.replace(best, "@").replace(unsafe, best).replace("@", unsafe)
    turned = turned.replace("class: unsafe\n        why: Minutes", "class: best\n        why: Minutes", 1)
    turned = turned.replace("class: best\n        why: That starts", "class: unsafe\n        why: That starts", 1)
    world.publish(files | {"quizzes/safety.yaml": turned}, number=2)
    gray = item(asked(world), "grey-and-sweating")
    assert {one.text: (one.standing, one.times) for one in gray.choices} == {
        best: ("best", 1),
        unsafe: ("unsafe", 0),
        "Ask a relative first.": ("wrong", 0),
    }


def test_a_scenario_that_the_newest_wording_has_no_more_keeps_its_place_at_the_end(world: World) -> None:
    """Who answered it is not forgotten."""
    tried(world, A)
    files = small_files()
    quiz = files["quizzes/safety.yaml"].replace("slug: how-long", "slug: how-many-seconds")
    world.publish(files | {"quizzes/safety.yaml": quiz}, number=2)
    found = asked(world)
    assert [one.scenario.slug for one in found.items][-2:] == ["door", "how-long"]
    assert item(found, "how-many-seconds").figures.people == 0
    assert item(found, "how-long").figures.people == 1


def test_earlier_moments_know_less(world: World) -> None:
    """Attempts closed later do not count."""
    before = world.clock.now()
    world.clock.forward(hours=1)
    tried(world, A)
    assert (asked(world, until=before).attempts, asked(world).attempts) == (0, 1)


def test_a_quiz_that_no_program_has_is_not_found(world: World) -> None:
    """Nor is one of an empty list."""
    with world.reading() as db:
        found = banks(db, CONSOLE, known_editions(db, world.clock.now()), world.clock.now())
    assert [type(bank) for bank in found] == [Bank]
    with pytest.raises(NotFound, match="quiz swimming"):
        bank_for(found, "swimming", None)


def test_other_units_and_other_numbers_are_told_apart(world: World) -> None:
    """Twenty minutes is no other number."""
    world.add_person("v-001")
    take(world, "v-001", RIGHT | {"how-long": Measured("20", "min")})
    assert [one.times for one in item(asked(world), "how-long").choices] == [0, 0, 1]
