"""`python3 -m tests`: brings what the tests need, then runs every check and says what ran and how long it took."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from mentor_training import bootstrap, system_packages

ROOT = bootstrap.ROOT
WHAT = "What the tests drive (browser, PostgreSQL, PDF tools)"


def checks() -> dict[str, list[str]]:
    """List the checks before pytest, each with its command, in the order in which they run."""
    python = [sys.executable, "-m"]
    return {
        "ruff check": [*python, "ruff", "check", "."],
        "ruff format --check": [*python, "ruff", "format", "--check", "."],
        "mypy --strict mentor_training tests": [*python, "mypy", "--strict", "mentor_training", "tests"],
        "import contracts": [str(Path(sys.executable).parent / "lint-imports"), "--no-logo"],
    }


def run_check(name: str, command: Sequence[str]) -> bool:
    """Run one check; print one line when it passes, and all that it said when it does not."""
    start = time.monotonic()
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    word = "FAILED" if done.returncode else "ok"
    print(f"{word:>6}  {time.monotonic() - start:6.1f} s  {name}", flush=True)
    if done.returncode:
        print(done.stdout + done.stderr, flush=True)
    return done.returncode == 0


def runs(arguments: Sequence[str]) -> dict[str, list[str]]:
    """List the runs of pytest: as asked; else side by side on all cores, and then alone what measures."""
    if arguments:
        return {"as asked": list(arguments)}
    return {
        "side by side: quick tests first, then storage, then the browser": [
            # In our own order: what takes longest in one piece does not begin last, and quick tests tell first.
            *("--numprocesses=auto", "--maxprocesses=4", "--dist=loadgroup", "--no-loadscope-reorder"),
            "--ignore=tests/benchmarks",
        ],
        "alone: benchmarks": ["tests/benchmarks"],
    }


def run_pytest(name: str, arguments: Sequence[str]) -> bool:
    """Run pytest with its own output; no test at all counts as a failure, as pytest itself says by exit code 5."""
    print(f"        pytest, {name}", flush=True)
    return subprocess.run([sys.executable, "-m", "pytest", *arguments], cwd=ROOT, check=False).returncode == 0


def bring_what_the_tests_drive() -> None:
    lacking = system_packages.bring(WHAT, system_packages.FOR_TESTS)
    if any(need.package == "chromium" for need in lacking) and _playwright_brings_its_own():
        lacking = tuple(need for need in lacking if need.package != "chromium")
    if lacking:
        print(system_packages.how_to_install(WHAT, lacking), file=sys.stderr, flush=True)


def _playwright_brings_its_own() -> bool:
    # Where the distribution has no browser package (Ubuntu has only a snap), Playwright may fetch one.
    print("No chromium package here; asking Playwright for its own", file=sys.stderr, flush=True)
    with_libraries = ["--with-deps"] if system_packages.way_on_this_machine() is not None else []
    command = [sys.executable, "-m", "playwright", "install", *with_libraries, "chromium"]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


def main(arguments: Sequence[str]) -> int:
    bring_what_the_tests_drive()
    failed = [name for name, command in checks().items() if not run_check(name, command)]
    failed += [f"pytest, {name}" for name, chosen in runs(arguments).items() if not run_pytest(name, chosen)]
    if failed:
        print(f"Failed: {', '.join(failed)}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    bootstrap.enter("tests", bootstrap.TEST)
    sys.exit(main(sys.argv[1:]))
