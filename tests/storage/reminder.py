"""A process of its own that reminds: `python -m tests.storage.reminder FOLDER MOMENT`.

It says `open` once the instance is, waits for a line, and says what `remind` said.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

from mentor_training.clock import FixedClock
from mentor_training.database.instance import open_instance
from mentor_training.letters.commands import remind

if __name__ == "__main__":
    instance = open_instance(Path(sys.argv[1]), FixedClock(datetime.fromisoformat(sys.argv[2])))
    print("open", flush=True)  # noqa: T201
    sys.stdin.readline()
    remind.main([], obj=instance)
