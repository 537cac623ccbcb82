"""From a fresh clone to a running program: makes `.venv` from requirements.lock and starts again inside it."""

from __future__ import annotations

import contextlib
import hashlib
import importlib.metadata
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import NoReturn

from mentor_training import system_packages

ROOT = Path(__file__).resolve().parent.parent
OLDEST = (3, 11)
RUN, TEST = "run", "test"
# The extras of pyproject.toml that a level cannot do without, and those that an environment of our making gets.
NEEDED = {RUN: (), TEST: ("postgres", "test")}
GIVEN = {RUN: ("postgres",), TEST: ("postgres", "test")}
# The group of the tools that make the environment itself.
GROUP = "setup"
PDF = "What draws PDFs (Pango and a font; all else works without)"


class SetUpFailed(Exception):
    """The environment cannot be made; the text says why and what would help."""


@dataclass(frozen=True)
class Stamp:
    """What an environment was made from. It is written last, so an interrupted one has none."""

    lock: str
    level: str
    python: str
    root: str


def enter(module: str, level: str = RUN) -> None:
    """Return if this interpreter has all that `level` needs; else make `.venv` and run `python -m module` inside it.

    An installed package has no lock file beside it: pip has already brought what it needs.
    """
    if not (ROOT / "requirements.lock").exists():
        return
    try:
        _ask_for_a_new_enough_python(module)
        inside = Path(sys.prefix).resolve() == venv_of(ROOT).resolve()
        if (inside and fits(ROOT, level)) or (not inside and has_everything(ROOT, level)):
            return
        make(ROOT, level)
    except SetUpFailed as failure:
        sys.exit(f"mentor_training: {failure}")
    _start_again(str(python_of(ROOT)), module)


def venv_of(root: Path) -> Path:
    return root / ".venv"


def python_of(root: Path) -> Path:
    return venv_of(root) / "bin" / "python"


def stamp_path(root: Path) -> Path:
    return venv_of(root) / "mentor-training.json"


# ---------------------------------------------------------------- is it there, and is it current?


def wanted_stamp(root: Path, level: str) -> Stamp:
    lock = hashlib.sha256((root / "requirements.lock").read_bytes()).hexdigest()
    return Stamp(lock=lock, level=level, python=os.path.realpath(python_of(root)), root=str(root))


def read_stamp(root: Path) -> Stamp | None:
    try:
        return Stamp(**json.loads(stamp_path(root).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def fits(root: Path, level: str) -> bool:
    """Tell whether `.venv` is whole, of this lock, this Python and this folder, and holds at least `level`."""
    have, want = read_stamp(root), wanted_stamp(root, level)
    return have is not None and _same_place(have, want) and have.lock == want.lock and have.level in (level, TEST)


def _same_place(have: Stamp, want: Stamp) -> bool:
    # A moved checkout and a replaced Python leave an environment that points nowhere.
    return (have.python, have.root) == (want.python, want.root) and Path(have.python).exists()


def has_everything(root: Path, level: str) -> bool:
    """Tell whether the interpreter that runs now was given every direct requirement, at the pinned version."""
    return all(_is_installed(requirement) for requirement in requirements_of(root, NEEDED[level]))


def _is_installed(requirement: str) -> bool:
    pin = re.search(r"==\s*([^\s,;]+)", requirement)
    try:
        version = importlib.metadata.version(name_of(requirement))
    except importlib.metadata.PackageNotFoundError:
        return False
    return pin is None or version == pin.group(1)


# ---------------------------------------------------------------- which part of the lock?


def requirements_of(root: Path, extras: Sequence[str], groups: Sequence[str] = ()) -> list[str]:
    """List the direct requirements as pyproject.toml writes them, with those of some extras and groups."""
    import tomllib  # Not there before Python 3.11, and an older one must get as far as our message.

    told = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    project = told["project"]
    asked = list(project["dependencies"])
    asked += [text for extra in extras for text in project["optional-dependencies"][extra]]
    asked += [text for group in groups for text in told["dependency-groups"][group]]
    return [text for text in asked if name_of(text) != name_of(project["name"])]


def names_for(root: Path, level: str) -> list[str]:
    """Name what an environment of our making is given directly; the lock says what that brings along."""
    return [name_of(text) for text in requirements_of(root, GIVEN[level], [GROUP])]


def name_of(requirement: str) -> str:
    """Normalize the name at the head of a requirement (PEP 503)."""
    found = re.match(r"[A-Za-z0-9._-]+", requirement)
    if found is None:
        raise SetUpFailed(f"pyproject.toml: no package name in {requirement!r}; write name==version")
    return re.sub(r"[-_.]+", "-", found.group()).lower()


def part_of_lock(lock: str, names: Sequence[str]) -> str:
    """Cut out of the lock the named packages and all that they bring, by the lock's own `# via` notes."""
    blocks: dict[str, list[str]] = {}
    for block in re.split(r"\n(?=[A-Za-z0-9])", lock):
        if block[:1].isalnum():  # one name may stand twice, for different versions of Python
            blocks.setdefault(name_of(block), []).append(block.rstrip())
    parents = {name: {name_of(via) for block in own for via in _via(block)} for name, own in blocks.items()}
    kept: set[str] = set()
    more = set(names) & set(blocks)
    while more:
        kept |= more
        more = {name for name, of in parents.items() if of & kept} - kept
    return "\n".join(block for name in sorted(kept) for block in blocks[name]) + "\n"


def _via(block: str) -> list[str]:
    return re.findall(r"^ +#(?: via)? +([A-Za-z0-9][\w.-]*)(?: \(.*\))?$", block, re.MULTILINE)


# ---------------------------------------------------------------- making it


def make(root: Path, level: str) -> None:
    """Make or renew `.venv`, alone: a second process waits for the first and finds the work done."""
    with _alone(root):
        if fits(root, level):
            return
        print("Setting up .venv from requirements.lock (once; about half a minute)", file=sys.stderr, flush=True)
        have = read_stamp(root)
        if have is None or not _same_place(have, wanted_stamp(root, level)):
            _make_bare(root)
        elif have.level == TEST:
            level = TEST  # What was given once is renewed too, not left behind at its old version.
        stamp_path(root).unlink(missing_ok=True)
        _fill(root, level)
        stamp = json.dumps(asdict(wanted_stamp(root, level)))
        stamp_path(root).write_text(stamp, encoding="utf-8")
    if lacking := system_packages.bring(PDF, system_packages.FOR_PDF):
        print(system_packages.how_to_install(PDF, lacking), file=sys.stderr, flush=True)


@contextlib.contextmanager
def _alone(root: Path) -> Iterator[None]:
    import fcntl  # Not on every system, and only the making needs it.

    try:
        held = (root / "requirements.lock").open("r+b")
    except OSError as refused:
        raise SetUpFailed(f"cannot write in {root}: {refused}; run from a clone of your own") from refused
    with held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def _make_bare(root: Path) -> None:
    _have_venv()
    shutil.rmtree(venv_of(root), ignore_errors=True)
    base = getattr(sys, "_base_executable", None) or sys.executable
    done = _run([base, "-m", "venv", "--clear", str(venv_of(root))])
    if done.returncode:
        raise SetUpFailed(f"Python could not make {venv_of(root)}: {_last_line(done)}")


def _have_venv() -> None:
    if importlib.util.find_spec("ensurepip") is not None:
        return
    package = venv_package(sys.version_info[:2])
    way = system_packages.way_on_this_machine()
    if way is not None:
        print(f"Installing {package}", file=sys.stderr, flush=True)
        system_packages.install([package], way)
        importlib.invalidate_caches()
    if importlib.util.find_spec("ensurepip") is None:
        raise SetUpFailed(no_venv_line(package))


def venv_package(version: tuple[int, int]) -> str:
    return "python{}.{}-venv".format(*version)


def no_venv_line(package: str) -> str:
    return (
        f"this Python has no venv module. To add it: sudo apt-get install {package}; then run the same command again."
    )


def _fill(root: Path, level: str) -> None:
    lock = (root / "requirements.lock").read_text(encoding="utf-8")
    wanted = _written(root, "libraries.txt", part_of_lock(lock, names_for(root, level)))
    tool = _written(root, "installer.txt", part_of_lock(lock, ["uv"]))
    pip = [str(python_of(root)), "-m", "pip", "--disable-pip-version-check", "-q", "install"]
    uv = [str(venv_of(root) / "bin" / "uv"), "pip", "install", "-q", "--python", str(python_of(root))]
    ways = [uv, pip] if not _run([*pip, "--require-hashes", "-r", tool]).returncode else [pip]
    _first_that_works(ways, ["--require-hashes", "-r", wanted], "the libraries")
    _first_that_works(ways, ["--no-deps", "--no-build-isolation", "-e", str(root)], "the program itself")


def _written(root: Path, name: str, text: str) -> str:
    path = venv_of(root) / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def _first_that_works(ways: Sequence[list[str]], arguments: list[str], what: str) -> None:
    # uv is quick but does not read pip's settings (a mirror, a certificate): where it fails, pip may not.
    for way in ways:
        done = _run([*way, *arguments])
        if done.returncode == 0:
            return
    raise SetUpFailed(
        f"could not install {what}: {_last_line(done)}. Is the network there? The same command tries again."
    )


def _run(command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False, cwd=ROOT)


def _last_line(done: subprocess.CompletedProcess[str]) -> str:
    lines = (done.stderr.strip() or done.stdout.strip() or f"exit {done.returncode}").splitlines()
    return lines[-1].strip()


# ---------------------------------------------------------------- starting again


def _ask_for_a_new_enough_python(module: str) -> None:
    if sys.version_info >= OLDEST:
        return
    for minor in range(OLDEST[1] + 9, OLDEST[1] - 1, -1):
        if found := shutil.which(f"python3.{minor}"):
            _start_again(found, module)
    raise SetUpFailed(f"needs Python 3.{OLDEST[1]} or newer; this is {sys.version.split()[0]}.")


def _start_again(python: str, module: str) -> NoReturn:
    sys.stdout.flush()
    os.execv(python, [python, "-m", module, *sys.argv[1:]])  # noqa: S606 - the same command, in the right place
