"""System packages that no wheel carries: which are missing, and how they come to the machine."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

SWITCH = "MENTOR_TRAINING_NO_APT"
FONT_FOLDERS = ("/usr/share/fonts", "/usr/local/share/fonts")


@dataclass(frozen=True)
class Need:
    """One Debian package, and the sign by which we know that its content is there, whoever installed it."""

    package: str
    library: str = ""
    programs: tuple[str, ...] = ()
    fonts: bool = False
    or_else: str = ""


FOR_PDF = (
    Need("libpango-1.0-0", library="libpango-1.0.so.0"),
    Need("libpangoft2-1.0-0", library="libpangoft2-1.0.so.0"),
    # Without it WeasyPrint cuts fonts in Python, which takes several times as long.
    Need("libharfbuzz-subset0", library="libharfbuzz-subset.so.0"),
    Need("fonts-dejavu-core", fonts=True),
)
# Not `chromium-browser`: on Ubuntu that is a script which only says that there is a snap.
CHROMIUM = Need(
    "chromium",
    programs=("chromium", "google-chrome"),
    or_else=".venv/bin/python -m playwright install --with-deps chromium",
)
FOR_TESTS = (
    CHROMIUM,
    Need("postgresql", programs=("initdb",)),
    Need("qpdf", programs=("qpdf",)),
    Need("poppler-utils", programs=("pdftoppm",)),
    # Playwright's driver is linked against it; a machine with few packages does not have it.
    Need("libatomic1", library="libatomic.so.1"),
)


def program_path(names: Sequence[str]) -> str | None:
    """Find a program on PATH, or among PostgreSQL's own, which Debian keeps apart (newest version first)."""
    for name in names:
        if found := shutil.which(name):
            return found
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda at: float(at.parent.name), reverse=True)
    candidates = (folder / name for folder in folders for name in names)
    return next((str(path) for path in candidates if path.exists()), None)


def is_there(need: Need) -> bool:
    if need.library:
        try:
            ctypes.CDLL(need.library)
        except OSError:
            return False
        return True
    if need.fonts:
        return any(path.suffix in (".ttf", ".otf") for folder in FONT_FOLDERS for path in Path(folder).rglob("*.?tf"))
    return program_path(need.programs) is not None


def missing(needs: Sequence[Need], there: Callable[[Need], bool] = is_there) -> tuple[Need, ...]:
    return tuple(need for need in needs if not there(need))


def way_to_apt(user: int, has_apt: bool, sudo_asks_nothing: bool, switched_off: bool) -> tuple[str, ...] | None:
    """Say what goes before `apt-get`: nothing for root, `sudo -n` where it asks no password, None where we may not."""
    if switched_off or not has_apt:
        return None
    if user == 0:
        return ()
    return ("sudo", "-n") if sudo_asks_nothing else None


def way_on_this_machine() -> tuple[str, ...] | None:
    user, has_apt = os.geteuid(), shutil.which("apt-get") is not None
    sudo = user != 0 and has_apt and shutil.which("sudo") is not None and _succeeds(["sudo", "-n", "true"])
    return way_to_apt(user, has_apt, sudo, bool(os.environ.get(SWITCH)))


def how_to_install(what: str, needs: Sequence[Need]) -> str:
    """Write the one line that names the command for a person who may do what we may not."""
    packages = " ".join(need.package for need in needs)
    others = [f"; where there is no package {need.package}: {need.or_else}" for need in needs if need.or_else]
    return f"{what} is missing on this machine. To add it: sudo apt-get install {packages}{''.join(others)}"


def bring(what: str, needs: Sequence[Need]) -> tuple[Need, ...]:
    """Install what is missing, where we may; answer what is still missing."""
    lacking = missing(needs)
    way = way_on_this_machine() if lacking else None
    if not lacking or way is None:
        return lacking
    print(f"{what}: installing " + " ".join(need.package for need in lacking), file=sys.stderr, flush=True)
    install([need.package for need in lacking], way)
    return missing(lacking)


def install(packages: Sequence[str], way: Sequence[str], succeeds: Callable[[list[str]], bool] | None = None) -> bool:
    """Run apt-get: all at once, then with fresh lists, then one by one, as one unknown name stops all the others."""
    run = succeeds or _succeeds
    apt = [*way, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq", "-o", "DPkg::Lock::Timeout=120"]
    add = [*apt, "install", "--yes", "--no-install-recommends"]
    if run([*add, *packages]):
        return True
    run([*apt, "update"])
    if run([*add, *packages]):
        return True
    one_by_one = [run([*add, package]) for package in packages]
    return all(one_by_one)


def _succeeds(command: list[str]) -> bool:
    return subprocess.run(command, capture_output=True, stdin=subprocess.DEVNULL, check=False).returncode == 0
