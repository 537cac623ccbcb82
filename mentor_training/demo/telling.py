"""Telling the story into a folder: whole, or not at all."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

from mentor_training.database.instance import Instance, open_instance
from mentor_training.database.making import example_folder, make_instance
from mentor_training.demo.cast import read_cast
from mentor_training.demo.stage import DEMO_DAY, DEMO_TIME, Stage
from mentor_training.demo.story import (
    calibrating,
    demo_day,
    exceptions,
    hours,
    learning,
    observing,
    papers,
    second_edition,
    session_day,
    summer,
)

MARK = "demo.json"
DAYS = (DEMO_DAY - summer.MOVED_IN).days + 1


def make_demo(folder: Path, port: int, day_told: Callable[[date], None]) -> None:
    """Make a demo in a folder that is not there yet, or is empty.

    It is made beside it and moved there when the story is told to its end, so that a telling that was broken off
    leaves nothing half told behind.
    """
    folder = folder.resolve()
    folder.parent.mkdir(parents=True, exist_ok=True)
    making = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        make_instance(making)
        _set_port(making, port)
        instance = open_instance(making)
        told = tell(instance, day_told)
        instance.database.close()
        (making / MARK).write_text(json.dumps({"now": told.isoformat()}) + "\n", encoding="utf-8")
        making.chmod(0o755)
        making.rename(folder)
    finally:
        shutil.rmtree(making, ignore_errors=True)


def tell(instance: Instance, day_told: Callable[[date], None], until: datetime | None = None) -> datetime:
    """Tell the story into an instance that was just made, up to a moment; return the moment at which it stops."""
    stage = Stage(instance, example_folder(), read_cast(example_folder()))
    end = until or stage.moment(DEMO_DAY, DEMO_TIME)
    put_on_the_agenda(stage)
    stage.agenda.tell(instance.database, end, day_told)
    return end


def put_on_the_agenda(stage: Stage) -> None:
    """Hand every chapter the stage; what happens in which order, the moments decide."""
    term = session_day.Term()
    summer.open_the_term(stage)
    calibrating.calibrate_observers(stage)
    papers.hand_in_papers(stage)
    learning.learn(stage)
    observing.drill(stage, term.book)
    session_day.hold_sessions(stage, term, summer.MOVED_IN + timedelta(days=2))
    hours.keep_hours(stage)
    exceptions.tell_exceptions(stage, term.book)
    second_edition.publish_second_edition(stage)
    demo_day.come_to_the_demo_day(stage)


def _set_port(folder: Path, port: int) -> None:
    """Let the demo's address, which its QR codes carry, name the port on which it is served."""
    settings = folder / "settings.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text.replace("http://127.0.0.1:8765", f"http://127.0.0.1:{port}"), encoding="utf-8")
