"""Advice on quizzes: cues that give the answer away, versions of unsafe items, words."""

from __future__ import annotations

from mentor_training.program.lint.quizzes import item_remarks, longest_is_best, same_place, spoken_texts
from mentor_training.program.quiz_values import Choice, Option, Pair, Scenario, Scene, Step
from tests.program.definitions import SAFETY, found


def scenario(*lengths: int) -> Scenario:
    """Return a scenario whose options have these lengths; the first is the best one."""
    options = [Option("x" * length, "wrong" if at else "best") for at, length in enumerate(lengths)]
    return Scenario("s", "choose_one", "T", options=tuple(options))


def test_the_best_option_being_always_the_longest_gives_a_quiz_away() -> None:
    """Always, in three scenarios or more; one exception is enough."""
    assert longest_is_best([scenario(9, 3, 2), scenario(5, 1), scenario(7, 6)])
    assert not longest_is_best([scenario(9, 3, 2), scenario(5, 1)])
    assert not longest_is_best([scenario(9, 3, 2), scenario(5, 1), scenario(6, 7)])


def choose(slug: str, *standings: str, version_of: str = "") -> Scenario:
    """Return a scenario whose options have these standings."""
    options = tuple(Option(f"{standing} {at}", standing) for at, standing in enumerate(standings))
    return Scenario(slug, "choose_one", "T", version_of=version_of, options=options)


def test_the_best_option_standing_always_in_one_place_gives_a_quiz_away() -> None:
    """In three scenarios or more, in the file."""
    second, first = choose("a", "wrong", "best", "wrong"), choose("b", "best", "wrong")
    assert same_place([second, second, second]) == 2
    assert same_place([second, second]) is None
    assert same_place([second, second, second, first]) is None


def test_an_item_with_something_unsafe_has_two_versions() -> None:
    """Of whatever kind: an option, a pair that must be kept, a choice on the way."""
    order = Scenario(
        "b", "put_in_order", "T", steps=(Step("x", "X"), Step("y", "Y")), pairs=(Pair("x", "y", must=True),)
    )
    scenes = (Scene("one", "One", (Choice("Go", "good"), Choice("Run", "unsafe"))),)
    unfold = Scenario("c", "unfold", "T", scenes=scenes)
    told = list(item_remarks([choose("a", "best", "unsafe"), order, unfold, choose("d", "best", "wrong")]))
    assert [(one.at, one.what) for one in told] == [
        (at, f"the item `{slug}` has something unsafe and only one version") for at, slug in enumerate("abc")
    ]


def test_each_version_of_an_unsafe_item_has_something_unsafe() -> None:
    """Else the second attempt would ask less than the first."""
    one, other = choose("a", "best", "unsafe"), choose("b", "best", "wrong", version_of="a")
    (told,) = item_remarks([one, other])
    assert told.at == 1
    assert told.what == "this version of the item `a` has nothing unsafe to choose, as another has"
    assert list(item_remarks([one, choose("b", "best", "unsafe", version_of="a")])) == []
    assert list(item_remarks([choose("a", "best", "wrong"), other])) == []


def test_a_wrong_option_may_show_how_not_to_speak() -> None:
    """Everything else in a quiz is said in the program's own voice."""
    scenario = Scenario(
        "a", "choose_one", "Text", why="Why",
        options=(Option("Best", "best", "Good"), Option("Wheelchair-bound", "wrong", "Unkind")),
    )  # fmt: skip
    assert list(spoken_texts(scenario)) == ["Text", "Why", "Best", "Good", "Unkind"]


QUIZ = """slug: safety
module: safety
edition: 1
scenarios:
  - slug: one
    kind: choose_one
    text: He suffers from it.
    options:
      - {text: Wait., class: best}
      - {text: Lift., class: unsafe}
  - slug: two
    kind: choose_one
    text: And now.
    options:
      - {text: Stay here., class: best}
      - {text: Go., class: wrong}
  - slug: three
    kind: choose_one
    text: At last.
    options:
      - {text: Call her., class: best}
      - {text: Run., class: wrong}
"""


def test_advice_on_a_quiz_stands_at_its_line() -> None:
    """As `check` prints it."""
    told = found({"modules/safety.md": SAFETY, "quizzes/safety.yaml": QUIZ})
    assert [one for one in told if "quizzes/" in one] == [
        (
            "advice: quizzes/safety.yaml:4: in each choose_one the best option is the longest; "
            "shorten some best options, or lengthen other ones"
        ),
        (
            "advice: quizzes/safety.yaml:4: in each choose_one the best option stands at place 1; "
            "move some of them up or down"
        ),
        (
            "advice: quizzes/safety.yaml:5: the item `one` has something unsafe and only one version; "
            "write another with `version_of: one`, about another person, place or number"
        ),
        "advice: quizzes/safety.yaml:5: `suffers from` is a word to avoid; say: has",
    ]
