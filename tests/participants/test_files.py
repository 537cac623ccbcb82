"""The forms of participants.csv and cards.csv: every finding by row and column."""

from __future__ import annotations

from datetime import date

from mentor_training.participants.card_file import read_cards
from mentor_training.participants.roster import Row, read_participants
from mentor_training.participants.rules import CardFact

NEEDS = ("fall-risk", "low-vision")
PEOPLE = ("v-001", "v-002")
PARTICIPANTS = "participant,first_name,adaptation_level,needs,keep_apart,wishes\n"
CARDS = "participant,version,first_day,review_by,text\n"
STORED = CardFact("p-01", 1, date(2026, 2, 5), date(2026, 9, 10), "Arm's reach.\nGuide on his right.")


def test_a_participant_is_read_with_needs_and_lists() -> None:
    """The documented form, with lists joined by semicolons."""
    text = PARTICIPANTS + "p-01,Imre,2,fall-risk;low-vision,v-002,v-001\n"
    rows, problems = read_participants(text, NEEDS, PEOPLE)
    assert (rows, problems) == ([Row("p-01", "Imre", 2, ("fall-risk", "low-vision"), ("v-002",), ("v-001",))], [])


def test_every_finding_of_participants_names_row_and_column() -> None:
    """Surname, level out of bounds, misspelled need, unknown person, somebody on both lists, a row twice: all told."""
    text = PARTICIPANTS + "p-01,Imre Invented,4,fall-risks,v-009,\np-02,Roswitha,1,,v-001,v-001\np-02,Roswitha,1,,,\n"
    rows, problems = read_participants(text, NEEDS, PEOPLE)
    assert [(one.row, one.column) for one in problems] == [
        (2, "first_name"), (2, "adaptation_level"), (2, "needs"), (2, "keep_apart"), (3, "wishes"), (4, "participant"),
    ]  # fmt: skip
    assert "did you mean fall-risk?" in str(problems[2])
    assert rows == []


def test_a_need_is_not_checked_before_a_program_is_published() -> None:
    """Nobody knows yet which needs there will be; people must be known in any case."""
    text = PARTICIPANTS + "p-01,Imre,2,anything,v-001,\n"
    assert read_participants(text, None, PEOPLE)[1] == []
    assert [one.column for one in read_participants(text, None, ())[1]] == ["keep_apart"]


def test_a_card_that_is_stored_already_reads_as_the_same_whatever_its_line_ends() -> None:
    """A file that went through another system keeps its meaning."""
    text = CARDS + 'p-01,1,2026-02-05,2026-09-10,"Arm\'s reach.\r\nGuide on his right. "\r\n'
    assert read_cards(text, ["p-01"], [STORED]) == ([STORED], [])


def test_every_finding_of_cards_names_row_and_column() -> None:
    """Other words under a stored version, a version twice, unknown people, no such day, a review before the start."""
    text = (
        CARDS + "p-01,1,2026-02-05,2026-09-10,Something else.\n"
        "p-01,2,2026-09-10,2027-06-30,Half a step behind.\n"
        "p-01,2,2026-09-10,2027-06-30,Half a step behind.\n"
        "p-77,1,2026-02-30,2026-09-10,Words.\n"
        "p-02,0,2026-09-10,2026-09-09,\n"
        "p-02,1,2026-09-10,2026-09-09,\n"
    )
    cards, problems = read_cards(text, ["p-01", "p-02"], [STORED])
    assert [(one.row, one.column) for one in problems] == [
        (2, "version"), (4, "version"), (5, "participant"), (5, "first_day"), (6, "version"), (6, "text"), (7, "text"),
        (7, "review_by"),
    ]  # fmt: skip
    assert "a version never changes" in str(problems[0])
    assert [card.version for card in cards] == [2]
