"""What a test does when the machine lacks a program that it drives: a failure in CI, a named skip elsewhere."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NoReturn

import pytest


def must_not_skip(environment: Mapping[str, str]) -> bool:
    """Tell whether a missing program is a failure: in continuous integration, which sets CI."""
    return environment.get("CI", "").lower() not in ("", "0", "false")


def give_up(line: str) -> NoReturn:
    if must_not_skip(os.environ):
        pytest.fail(line, pytrace=False)
    pytest.skip(line)
