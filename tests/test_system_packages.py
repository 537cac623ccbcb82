"""System packages: what is missing, who may install it, and what is said to whom may not."""

from __future__ import annotations

import pytest

from mentor_training import system_packages
from mentor_training.system_packages import FOR_PDF, FOR_TESTS, Need, way_to_apt


@pytest.mark.parametrize(
    ("user", "has_apt", "sudo", "off", "way"),
    [
        (0, True, False, False, ()),
        (1000, True, True, False, ("sudo", "-n")),
        (1000, True, False, False, None),
        (0, False, False, False, None),
        (0, True, False, True, None),
        (1000, True, True, True, None),
    ],
)
def test_packages_are_installed_only_by_whom_it_is_allowed(
    user: int, has_apt: bool, sudo: bool, off: bool, way: tuple[str, ...] | None
) -> None:
    """Root may; another may where sudo asks no password; nobody may where apt-get is not, or is switched off."""
    assert way_to_apt(user, has_apt, sudo, off) == way


def test_only_what_is_missing_is_named_and_in_one_line() -> None:
    """The line can be copied as it is."""
    lacking = system_packages.missing(FOR_TESTS, lambda need: need.package != "qpdf")
    assert system_packages.how_to_install("PDF check", lacking) == (
        "PDF check is missing on this machine. To add it: sudo apt-get install qpdf"
    )


def test_the_browser_has_a_second_way_where_the_distribution_has_no_package_of_it() -> None:
    """Ubuntu carries Chromium only as a snap, so apt-get alone would be the wrong advice there."""
    line = system_packages.how_to_install("A browser", [system_packages.CHROMIUM])
    assert "apt-get install chromium; where there is no package chromium:" in line
    assert "\n" not in line


def test_a_machine_with_everything_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is installed, nobody is asked for permission."""
    monkeypatch.setattr(system_packages, "missing", lambda _: ())
    monkeypatch.setattr(system_packages, "install", lambda *_: pytest.fail("installed something"))
    assert system_packages.bring("PDF", FOR_PDF) == ()


def test_a_switched_off_apt_leaves_the_need_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """A person may forbid the program to install anything: the variable is MENTOR_TRAINING_NO_APT."""
    monkeypatch.setenv("MENTOR_TRAINING_NO_APT", "1")
    monkeypatch.setattr(system_packages, "install", lambda *_: pytest.fail("installed something"))
    need = Need("no-such-package", programs=("no-such-program-of-ours",))
    assert system_packages.bring("A thing", [need]) == (need,)


def test_one_unknown_package_does_not_keep_the_others_out() -> None:
    """apt-get refuses a whole list for one unknown name, as `chromium` on Ubuntu: then each is tried alone."""
    asked: list[list[str]] = []

    def run(command: list[str]) -> bool:
        asked.append(command[command.index("DPkg::Lock::Timeout=120") + 1 :])
        return "chromium" not in command and "update" not in command

    assert not system_packages.install(["chromium", "qpdf"], ("sudo", "-n"), run)
    words = ["install", "--yes", "--no-install-recommends"]
    assert asked == [
        [*words, "chromium", "qpdf"],
        ["update"],
        [*words, "chromium", "qpdf"],
        [*words, "chromium"],
        [*words, "qpdf"],
    ]


def test_fresh_package_lists_are_fetched_only_when_the_first_try_fails() -> None:
    """A new machine has no lists yet; on an old one nothing is fetched twice."""
    asked: list[list[str]] = []

    def run(command: list[str]) -> bool:
        asked.append(command)
        return True

    assert system_packages.install(["qpdf"], (), run)
    assert len(asked) == 1


def test_a_library_that_is_not_there_is_seen_as_missing() -> None:
    """The sign is whether the system's own loader finds it, whoever installed it."""
    assert not system_packages.is_there(Need("x", library="libno-such-library-of-ours.so.0"))
    assert system_packages.is_there(Need("libc6", library="libc.so.6"))
