"""Taking a quiz with all five kinds of scenario, through HTTP."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.application import create_app
from mentor_training.learning.queries import sitting_for
from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked
from tests.builders import World
from tests.learning.taking import (
    RIGHT,
    UNSAFE,
    actor,
    attempts,
    begin,
    close,
    completed,
    give,
    kept,
    read_all,
    words,
)
from tests.sign_in import Visitor, forms_of

Sign = Callable[[str], Visitor]


def served(world: World, code: str, number: int) -> tuple[str, ...]:
    """Return the scenarios of an attempt in the order in which they are served."""
    with world.reading() as db:
        return tuple(one.slug for one in sitting_for(db, actor(world, code), number).scenarios)


def fields(answer: Answer) -> dict[str, object]:
    """Return what a person puts into the fields of a scenario to give an answer."""
    if isinstance(answer, Ordered):
        return {f"place-{slug}": str(place) for place, slug in enumerate(answer.order, 1)}
    if isinstance(answer, Measured):
        return {"value": answer.value, "unit": answer.unit}
    if isinstance(answer, Picked):
        name = "pick" if len(answer.picks) == 1 else "picks"
        return {name: [str(place) for place in answer.picks]}
    return {"choice": str(answer.choices[-1])}


def fill_in(world: World, reader: Visitor, code: str, number: int, answers: dict[str, Answer]) -> None:
    """Answer the scenarios one page after the other, as the buttons lead."""
    for place, slug in enumerate(served(world, code, number), 1):
        page, answer = f"/attempt/{number}/{place}", answers[slug]
        if isinstance(answer, Walked):
            for choice in answer.choices:
                assert reader.send(page, page, choice=str(choice)).location == page + "#now"
        else:
            onward = f"/attempt/{number}/{place + 1}" if place < 5 else f"/attempt/{number}"
            assert reader.send(page, page, then="next", **fields(answer)).location == onward


def sit(world: World, reader: Visitor, code: str, answers: dict[str, Answer]) -> str:
    """Take the quiz from its start page to its result, and return the text of the result."""
    first = reader.send("/quiz/safety", "/quiz/safety").location
    assert first is not None
    number = int(first.split("/")[2])
    fill_in(world, reader, code, number, answers)
    assert "All 5 scenarios are answered." in reader.get(f"/attempt/{number}/close").text
    closed = reader.send(f"/attempt/{number}/close", f"/attempt/{number}/close")
    assert closed.location == f"/attempt/{number}/result"
    return words(reader.get(f"/attempt/{number}/result").text)


def test_a_quiz_with_all_five_kinds_is_taken_and_passed(world: World, visitor: Sign) -> None:
    """One page for each scenario, saved one by one, closed after a question; the module is complete, from that day."""
    world.add_person("v-001")
    read_all(world, "v-001")
    text = sit(world, visitor("v-001"), "v-001", RIGHT)
    assert "5 of 5 points, 100%; 80% is needed. No unsafe choice." in text
    assert [fact.item for fact in completed(world, "v-001")] == ["module/safety@1"]


def test_an_unsafe_choice_fails_whatever_the_score_and_the_page_says_so(world: World, visitor: Sign) -> None:
    """Four of five points would do; the result names the unsafe choice, why, and the passage to read again."""
    world.add_person("v-001")
    text = sit(world, visitor("v-001"), "v-001", UNSAFE)
    assert "4 of 5 points, 80%; 80% is needed. One unsafe choice: that fails the attempt whatever the score." in text
    assert "You chose: Give water and look again later. Unsafe. Minutes count." in text
    assert "Read again: Exits" in text
    assert "Stay, call, send for the AED." not in text


def test_the_result_tells_each_kind_in_words(world: World, visitor: Sign) -> None:
    """What was chosen, what that is called, why, and what to read again; no key to the right option."""
    world.add_person("v-001")
    answers: dict[str, Answer] = {
        "grey-and-sweating": Picked((2,)),
        "clean-hands": Picked((0,)),
        "in-order": Ordered(("shout", "write", "send")),
        "how-long": Measured("25", "s"),
        "door": Walked((2, 0)),
    }
    number = begin(world, "v-001")
    give(world, "v-001", number, answers)
    close(world, "v-001", number)
    reader = visitor("v-001")
    text = words(reader.get(f"/attempt/{number}/result").text)
    for part in (
        "1.5 of 5 points, 30%",
        "You chose: Ask a relative first. Wrong. That can follow.",
        "You found 1 of the 2 right ones.",
        "Your order: Shout the word. Write the facts. Send for the AED.",
        "“Send for the AED” comes before “Write the facts”.",
        "You wrote: 25 s",
        "The reading is 20 s, give or take 2 s.",
        "He looks at the door. You chose: Talk on. Recoverable.",
        "He takes the job. You chose: Tell the door watch. Good.",
        "Why. Offer, do not grab.",
        "Read again: Hands",
    ):
        assert part in text
    assert 'href="/learn/safety/read/hands"' in reader.get(f"/attempt/{number}/result").text


def test_answers_survive_a_closed_laptop(world: World, visitor: Sign) -> None:
    """Half of them given, the browser gone: on another device the same attempt goes on at the first one missing."""
    world.add_person("v-001")
    first = visitor("v-001")
    number = int(str(first.send("/quiz/safety", "/quiz/safety").location).split("/")[2])
    slugs = served(world, "v-001", number)
    for place, slug in enumerate(slugs[:2], 1):
        page, given = f"/attempt/{number}/{place}", RIGHT[slug]
        for choice in given.choices if isinstance(given, Walked) else (None,):
            first.send(page, page, **({"choice": str(choice)} if choice is not None else fields(given)))
    world.clock.forward(hours=20)
    second = Visitor(create_app(world.instance, testing=True).test_client()).sign_in("v-001")
    assert "2 of 5 answered" in second.get("/quiz/safety").text
    assert second.send("/quiz/safety", "/quiz/safety").location == f"/attempt/{number}/3"
    assert kept(world, "v-001", number) == {slug: RIGHT[slug] for slug in slugs[:2]}
    for place, slug in enumerate(slugs[:2], 1):
        values = forms_of(second.get(f"/attempt/{number}/{place}").text)[-1][1]
        if not isinstance(RIGHT[slug], Walked):
            assert {name: sorted(values[name]) for name in fields(RIGHT[slug])} == {
                name: value if isinstance(value, list) else [value] for name, value in fields(RIGHT[slug]).items()
            }


def test_another_volunteers_attempt_is_not_there(world: World, visitor: Sign) -> None:
    """Not its scenarios, not its answers, not its result; nor can it be answered or closed."""
    world.add_person("v-001")
    world.add_person("v-002")
    number = begin(world, "v-001")
    mine = begin(world, "v-002")
    other = visitor("v-002")
    for page in ("", "/1", "/close", "/result"):
        assert other.get(f"/attempt/{number}{page}").status_code == 404
    data = next(data for _, data in forms_of(other.get(f"/attempt/{mine}/close").text) if "once" in data)
    assert other.client.post(f"/attempt/{number}/close", data=data).status_code == 404
    assert attempts(world) == [("v-001", None), ("v-002", None)]


@pytest.mark.parametrize(
    ("slug", "given", "said"),
    [
        (
            "in-order",
            {"place-shout": "1", "place-send": "1", "place-write": "2"},
            "Place 1 is given more than once.",
        ),
        ("in-order", {"place-shout": "1"}, "No place yet."),
        ("how-long", {"value": "twenty", "unit": "s"}, "Write the number in digits"),
        ("how-long", {"value": "20"}, "Choose the unit"),
        ("how-long", {"unit": "s"}, "Write the number in digits"),
        ("grey-and-sweating", {"pick": "9"}, "Not a valid choice"),
        ("door", {"choice": "9"}, "Not a valid choice"),
    ],
)
def test_what_is_no_answer_is_told_beside_its_field_and_kept_in_it(
    world: World, visitor: Sign, slug: str, given: dict[str, str], said: str
) -> None:
    """Nothing is stored, and what was chosen or typed is still there."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    page = f"/attempt/{number}/{served(world, 'v-001', number).index(slug) + 1}"
    answer = visitor("v-001").send(page, page, **given)
    assert answer.status_code == 422
    assert said in words(answer.text)
    assert kept(world, "v-001", number) == {}
    if slug != "grey-and-sweating" and slug != "door":
        values = forms_of(answer.text)[-1][1]
        assert {name: values[name][0] for name in given} == given


def test_a_scenario_can_be_left_open_and_its_answer_taken_back(world: World, visitor: Sign) -> None:
    """Saving nothing goes on, and takes back what was there."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {"clean-hands": Picked((0, 1))})
    page = f"/attempt/{number}/{served(world, 'v-001', number).index('clean-hands') + 1}"
    answer = visitor("v-001").send(page, page, picks=[], then="all")
    assert answer.location == f"/attempt/{number}"
    assert kept(world, "v-001", number) == {}


def test_a_scene_that_was_left_cannot_be_decided_again_from_an_old_page(world: World, visitor: Sign) -> None:
    """The back button shows it; sending it is refused with the reason, and the walk stays."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    page = f"/attempt/{number}/{served(world, 'v-001', number).index('door') + 1}"
    reader = visitor("v-001")
    old, older = reader.get(page).text, reader.get(page).text
    reader.fill(old, page, choice="2")
    again = reader.fill(older, page, choice="0")
    assert again.status_code == 422
    assert "what you did in it stands" in words(again.text)
    assert kept(world, "v-001", number) == {"door": Walked((2,))}


def test_closing_says_first_what_is_missing_and_counts_once(world: World, visitor: Sign) -> None:
    """Two of five have no answer; the same page sent twice, and a second page, change nothing more."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    give(world, "v-001", number, {slug: RIGHT[slug] for slug in ("clean-hands", "in-order", "how-long")})
    reader = visitor("v-001")
    address = f"/attempt/{number}/close"
    page, other = reader.get(address).text, reader.get(address).text
    assert "2 of 5 scenarios have no answer yet." in words(page)
    for one in (page, page, other):
        assert reader.fill(one, address).location == f"/attempt/{number}/result"
    assert [closed for _, closed in attempts(world)] == [world.clock.now()]
    assert reader.get(f"/attempt/{number}").location == f"/attempt/{number}/result"
    assert "You gave no answer." in words(reader.get(f"/attempt/{number}/result").text)


def test_during_an_attempt_no_page_gives_the_key_away(world: World, visitor: Sign) -> None:
    """Neither classes nor reasons stand on it, in words or in the markup."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    reader = visitor("v-001")
    for place in range(1, 6):
        text = reader.get(f"/attempt/{number}/{place}").text
        for secret in ("unsafe", "recoverable", "Minutes count", "Chest signs", "Twenty seconds", "Before and after"):
            assert secret not in text.split("<h1>")[1].split("</main>")[0]


def test_an_attempt_left_for_more_than_a_day_shows_no_key(world: World, visitor: Sign) -> None:
    """It can no longer be closed, its result tells no reasons, and the next attempt may start."""
    world.add_person("v-001")
    number = begin(world, "v-001")
    world.clock.forward(hours=25)
    reader = visitor("v-001")
    assert reader.get(f"/attempt/{number}/1").location == f"/attempt/{number}/result"
    text = words(reader.get(f"/attempt/{number}/result").text)
    assert "never closed" in text
    assert "Chest signs start the plan" not in text
    assert "You can start now." in words(reader.get("/quiz/safety").text)
