"""The rules of the house that a machine can check, and that each of them notices what breaks it."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LONGEST = 300
# Written in two halves so that this file does not find itself.
UNFINISHED = re.compile(r"\b(" + "|".join(("TO" + "DO", "FIX" + "ME", "X" + "XX", "HA" + "CK")) + r")\b")
VAGUE = {"utils", "util", "helpers", "helper", "common", "services", "service", "managers", "manager", "misc"}


def modules() -> Iterator[tuple[str, str]]:
    """Give each module of the package and of the tests: its path from the top of the project, and its text."""
    for folder in ("mentor_training", "tests"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


def lacks_docstring(path: str, text: str) -> bool:
    return not (ast.get_docstring(ast.parse(text)) or "").strip()


def is_too_long(path: str, text: str) -> bool:
    # A migration is history: it is as long as what it changed, and nobody edits it again.
    return "migrations" not in Path(path).parts and len(text.splitlines()) > LONGEST


def is_unfinished(path: str, text: str) -> bool:
    return UNFINISHED.search(text) is not None


def has_vague_name(path: str, text: str) -> bool:
    return bool(VAGUE & set(Path(path).with_suffix("").parts))


def skips_or_cannot_fail(path: str, text: str) -> bool:
    """Tell whether a test is marked as skipped or expected to fail, or asserts a bare constant."""
    tree = ast.parse(text)
    constant = any(isinstance(node, ast.Assert) and isinstance(node.test, ast.Constant) for node in ast.walk(tree))
    marks = {"skip", "skipif", "xfail"}
    return constant or any(
        isinstance(node, ast.Attribute) and node.attr in marks and ast.unparse(node.value).endswith("mark")
        for node in ast.walk(tree)
    )


def has_a_test_without_its_sentence(path: str, text: str) -> bool:
    return any(
        node.name.startswith("test_") and not ast.get_docstring(node)
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    )


RULES: dict[Callable[[str, str], bool], tuple[str, str]] = {
    # Each rule with a path and a text that break it.
    lacks_docstring: ("a.py", "import json\n"),
    is_too_long: ("a.py", '"""Long."""\n' + "x = 1\n" * LONGEST),
    is_unfinished: ("a.py", "x = 1  # " + "TO" + "DO: the rest\n"),
    has_vague_name: ("mentor_training/people/" + "utils.py", ""),
    skips_or_cannot_fail: ("tests/test_a.py", "@pytest.mark." + "skip\ndef test_a() -> None: ...\n"),
    has_a_test_without_its_sentence: ("tests/test_a.py", "def test_a() -> None:\n    assert x\n"),
}


@pytest.mark.parametrize("broken", RULES, ids=lambda rule: rule.__name__)
def test_no_module_breaks_a_rule_of_the_house(broken: Callable[[str, str], bool]) -> None:
    """Every module of the package and of the tests is looked at."""
    assert [path for path, text in modules() if broken(path, text)] == []


@pytest.mark.parametrize("broken", RULES, ids=lambda rule: rule.__name__)
def test_each_rule_of_the_house_notices_what_breaks_it(broken: Callable[[str, str], bool]) -> None:
    """A check that never finds anything is no check."""
    assert broken(*RULES[broken])


def test_the_lock_names_no_address() -> None:
    """Where the libraries come from is the business of the machine that fetches them."""
    assert "://" not in (ROOT / "requirements.lock").read_text(encoding="utf-8")


def test_every_package_in_the_lock_has_a_hash() -> None:
    """So that what is fetched is what was tested."""
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    blocks = [block for block in re.split(r"\n(?=[a-z0-9])", lock) if "==" in block.partition("\n")[0]]
    assert len(blocks) > 40
    assert [block.partition(" ")[0] for block in blocks if "--hash=sha256:" not in block] == []
