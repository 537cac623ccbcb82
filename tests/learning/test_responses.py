"""Reading a plain table of right and wrong answers."""

from __future__ import annotations

from fractions import Fraction

import pytest

from mentor_training.learning.responses import Responses, read_responses

READ = Responses(("stance", "belt"), ((Fraction(1), Fraction(0)), (Fraction(1), Fraction(1))))


def found_in(text: str) -> list[str]:
    """Return what is wrong with a table."""
    return [str(problem) for problem in read_responses(text)[1]]


@pytest.mark.parametrize(
    "text",
    [
        "stance,belt\n1,0\n1,1\n",
        "student,stance,belt\n1,1,0\n2,1,1\n",
        ",stance,belt\nAda,1,0\nBen,1,1\n",
        "Who,stance,belt\nAda,1,0\nBen,1,1\n",
        "stance,belt\r\n1,0\r\n\r\n1,1",
        "\ufeffstance, belt\n 1, 0\n1.0,1\n",
    ],
    ids=["items-only", "head-says-names", "no-head", "no-score", "blank-line", "byte-order-mark"],
)
def test_a_table_is_read_with_or_without_names(text: str) -> None:
    """The first column is names where its head says so, is empty, or where none of its cells is a score."""
    assert read_responses(text) == (READ, [])


def test_a_share_between_is_read_exactly() -> None:
    """Partial credit, as a decimal."""
    assert read_responses("stance,belt\n0.25,.5\n")[0].rows == ((Fraction(1, 4), Fraction(1, 2)),)


def test_each_wrong_cell_is_named_by_row_and_column() -> None:
    """All at once, with what would be right; a number slipped into the first item does not make it names."""
    right = "write 1 for right, 0 for wrong or no answer, or a share between such as 0.5"
    assert found_in("stance,belt\n1,0\n2,x\n1,\n") == [
        f"row 3, column stance: '2' is no score; {right}",
        f"row 3, column belt: 'x' is no score; {right}",
        f"row 4, column belt: it is empty; {right}",
    ]


@pytest.mark.parametrize("cell", ["-0", "1.5", "1e0", "٠", "0,5", "yes", "."])
def test_what_only_looks_like_a_score_is_none(cell: str) -> None:
    """No sign, no exponent, no other digits, no comma."""
    assert len(found_in(f'a,b\n1,1\n0,"{cell}"\n')) == 1


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "row 1: there is no head; the first row names the items, one a column"),
        (",,\n1,0,1\n", "row 1: there is no head; the first row names the items, one a column"),
        ("1,0\n1,1\n", "row 1: the first row is scores; the first row names the items, one a column"),
        ("a,,c\n1,0,1\n", "row 1: column 2 has no name; the first row names the items, one a column"),
        ("a,a\n1,0\n", "row 1, column a: this column stands twice; the header is a,a"),
        ("a,b\n1\n", "row 2: it has 1 cells, the header 2; check commas and quotes"),
        ("student\nAda\n", "row 1, column student: there is a column of names and no item; give each item a column"),
    ],
)
def test_a_table_that_is_none_is_told_why(text: str, found: str) -> None:
    """In words, with what would be right."""
    assert found in found_in(text)


def test_broken_quotes_are_said() -> None:
    """Not read as something else."""
    assert any("this is not CSV" in one for one in found_in('a,b\n"1,0\n'))
    assert any("this is not CSV" in one or "no head" in one for one in found_in('"a,b\n1,0\n'))


def test_a_head_alone_is_a_table_of_nobody() -> None:
    """Nothing is wrong with it."""
    assert read_responses("a,b\n") == (Responses(("a", "b"), ()), [])
