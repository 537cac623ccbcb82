"""How a fresh clone gets its environment: what counts as current, which part of the lock is taken, what is said."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from mentor_training import bootstrap
from mentor_training.bootstrap import RUN, TEST

LOCK = """# head
flask==3.1.3 \\
    --hash=sha256:aa
    # via
    #   mentor-training (pyproject.toml)
    #   flask-login
jinja2==3.1.6 \\
    --hash=sha256:bb
    # via flask
markupsafe==3.0.4 ; sys_platform == 'linux' \\
    --hash=sha256:cc
    # via jinja2
mypy==2.4.1 \\
    --hash=sha256:dd
    # via mentor-training (pyproject.toml)
psycopg==3.3.9 \\
    --hash=sha256:ff
    # via mentor-training (pyproject.toml)
uv==0.13.9 \\
    --hash=sha256:ee
    # via mentor-training (pyproject.toml:setup)
"""
PROJECT = """
[project]
name = "mentor-training"
dependencies = ["Flask==3.1.3"]
[project.optional-dependencies]
postgres = ["psycopg[binary]==3.3.9"]
test = ["mentor_training[postgres]", "mypy>=2"]
[dependency-groups]
setup = ["uv>=0.8"]
"""


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """A folder that looks like a clone whose environment was made for running, not for testing."""
    (tmp_path / "requirements.lock").write_text(LOCK, encoding="utf-8")
    (tmp_path / "pyproject.toml").write_text(PROJECT, encoding="utf-8")
    bootstrap.python_of(tmp_path).parent.mkdir(parents=True)
    bootstrap.python_of(tmp_path).symlink_to(sys.executable)
    stamp(tmp_path, bootstrap.wanted_stamp(tmp_path, RUN))
    return tmp_path


def stamp(root: Path, content: bootstrap.Stamp) -> None:
    bootstrap.stamp_path(root).write_text(json.dumps(asdict(content)), encoding="utf-8")


def test_a_stamped_environment_is_used_as_it_is(clone: Path) -> None:
    """With the lock, the Python and the folder unchanged there is nothing to do."""
    assert bootstrap.fits(clone, RUN)


def test_an_environment_for_testing_serves_for_running_but_not_the_other_way(clone: Path) -> None:
    """The tests need more libraries than the program."""
    assert not bootstrap.fits(clone, TEST)
    stamp(clone, bootstrap.wanted_stamp(clone, TEST))
    assert bootstrap.fits(clone, TEST)
    assert bootstrap.fits(clone, RUN)


def test_a_changed_lock_makes_the_environment_old(clone: Path) -> None:
    """One changed byte in the lock is another set of libraries."""
    (clone / "requirements.lock").write_text(LOCK + "\n", encoding="utf-8")
    assert not bootstrap.fits(clone, RUN)


@pytest.mark.parametrize("text", [None, "", "{", "[]", '{"lock": "x"}'])
def test_an_interrupted_environment_is_not_used(clone: Path, text: str | None) -> None:
    """The stamp is written last: without a whole one, the environment is half-made."""
    bootstrap.stamp_path(clone).unlink()
    if text is not None:
        bootstrap.stamp_path(clone).write_text(text, encoding="utf-8")
    assert not bootstrap.fits(clone, RUN)


@pytest.mark.parametrize("change", [{"root": "/elsewhere"}, {"python": "/gone/python3.11"}])
def test_a_moved_clone_or_another_python_makes_the_environment_useless(clone: Path, change: dict[str, str]) -> None:
    """The scripts of an environment name its folder and its Python by their full paths."""
    stamp(clone, replace(bootstrap.wanted_stamp(clone, RUN), **change))
    assert not bootstrap.fits(clone, RUN)


def test_an_environment_whose_python_is_gone_is_not_used(clone: Path) -> None:
    """An uninstalled Python leaves a link that leads nowhere."""
    bootstrap.python_of(clone).unlink()
    bootstrap.python_of(clone).symlink_to(clone / "no-such-python")
    stamp(clone, bootstrap.wanted_stamp(clone, RUN))
    assert not bootstrap.fits(clone, RUN)


def part(clone: Path, level: str) -> list[str]:
    return re.findall(r"^(\S+)==", bootstrap.part_of_lock(LOCK, bootstrap.names_for(clone, level)), re.MULTILINE)


def test_running_takes_only_the_part_of_the_lock_that_it_needs(clone: Path) -> None:
    """What a library brings along comes with it, by the lock's own notes; the tools of the tests stay out."""
    assert part(clone, RUN) == ["flask", "jinja2", "markupsafe", "psycopg", "uv"]
    assert part(clone, TEST) == ["flask", "jinja2", "markupsafe", "mypy", "psycopg", "uv"]


def test_every_taken_package_keeps_its_hash_and_its_marker() -> None:
    """Asked to check hashes, pip refuses an entry that has none."""
    assert bootstrap.part_of_lock(LOCK, ["markupsafe"]).startswith(
        "markupsafe==3.0.4 ; sys_platform == 'linux' \\\n    --hash=sha256:cc\n"
    )


def test_the_real_lock_holds_every_direct_requirement_of_both_levels() -> None:
    """A requirement added to pyproject.toml without compiling the lock again would be missing from it."""
    lock = (bootstrap.ROOT / "requirements.lock").read_text(encoding="utf-8")
    locked = set(re.findall(r"^([a-z0-9-]+)==", lock, re.MULTILINE))
    assert set(bootstrap.names_for(bootstrap.ROOT, TEST)) <= locked


def test_all_of_the_real_lock_is_reached_by_the_level_of_the_tests() -> None:
    """The notes in the lock are read whole: no package hangs on a parent that was not understood."""
    lock = (bootstrap.ROOT / "requirements.lock").read_text(encoding="utf-8")
    names = bootstrap.names_for(bootstrap.ROOT, TEST)
    count = len(re.findall(r"^[a-z0-9-]+==", lock, re.MULTILINE))
    assert len(re.findall(r"^[a-z0-9-]+==", bootstrap.part_of_lock(lock, names), re.MULTILINE)) == count


def test_an_environment_of_ones_own_counts_only_at_the_pinned_versions(clone: Path) -> None:
    """Who installed the libraries with pip is given no second environment; other versions count as none."""
    text = '[project]\nname = "x"\ndependencies = ["pytest"]\n[project.optional-dependencies]\npostgres = []\n'
    (clone / "pyproject.toml").write_text(text, encoding="utf-8")
    assert bootstrap.has_everything(clone, RUN)
    (clone / "pyproject.toml").write_text(text.replace('"pytest"', '"pytest==0.1"'), encoding="utf-8")
    assert not bootstrap.has_everything(clone, RUN)
    (clone / "pyproject.toml").write_text(text.replace('"pytest"', '"no-such-library-of-ours"'), encoding="utf-8")
    assert not bootstrap.has_everything(clone, RUN)


def test_a_python_without_venv_is_told_the_one_command() -> None:
    """Debian and Ubuntu keep the module in a package of its own for each Python."""
    line = bootstrap.no_venv_line(bootstrap.venv_package((3, 12)))
    assert "sudo apt-get install python3.12-venv" in line
    assert "\n" not in line


def test_a_second_process_waits_until_the_first_is_done(clone: Path) -> None:
    """Two starts at once make one environment: the one who comes later finds the work done."""
    code = (
        "import sys, time; from pathlib import Path; from mentor_training import bootstrap\n"
        "with bootstrap._alone(Path(sys.argv[1])):\n"
        "    print('held', flush=True); time.sleep(0.5); print(time.monotonic(), flush=True)"
    )
    with subprocess.Popen([sys.executable, "-c", code, str(clone)], stdout=subprocess.PIPE, text=True) as first:
        assert first.stdout is not None
        assert first.stdout.readline() == "held\n"
        with bootstrap._alone(clone):
            entered = time.monotonic()
        assert entered >= float(first.stdout.readline())


def test_a_made_environment_costs_a_start_next_to_nothing() -> None:
    """Looking whether all is current loads nothing but the standard library, and no program is started."""
    code = (
        "import subprocess, sys; before = set(sys.modules); subprocess.run = subprocess.Popen = None\n"
        "from mentor_training import bootstrap as b; b.fits(b.ROOT, 'run')\n"
        "print(*{name.partition('.')[0] for name in set(sys.modules) - before})"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "mentor_training" in loaded
    assert loaded - {"mentor_training"} <= set(sys.stdlib_module_names)


def test_a_library_locked_twice_for_two_pythons_is_cut_out_twice() -> None:
    """The one that fits is chosen by its marker when it is installed."""
    lock = (
        "numpy==2.4.6 ; python_full_version < '3.12' \\\n    --hash=sha256:00\n    # via scipy\n"
        "numpy==2.5.5 ; python_full_version >= '3.12' \\\n    --hash=sha256:11\n    # via scipy\n"
        "scipy==1.0 \\\n    --hash=sha256:22\n    # via mentor-training (pyproject.toml)\n"
    )
    assert bootstrap.part_of_lock(lock, ["scipy"]).count("numpy==") == 2
