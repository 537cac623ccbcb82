"""Two runs of `remind` at the same moment, on both databases: everybody gets their mail, and nobody two."""

from __future__ import annotations

from sqlalchemy import select

from mentor_training.journal.queries import entries, find_break
from mentor_training.letters.tables import Mail, MailEnd
from tests.builders import World
from tests.letters.friday import served
from tests.letters.mail_server import Kept
from tests.planning.saturday import saturday
from tests.storage.test_workers import go, process


def test_two_runs_at_once_mail_nobody_twice(stored: World) -> None:
    """Both find the same digests due; each mail is begun by one of them, and the other leaves it."""
    saturday(stored)
    with served(stored, kept := Kept(slow=0.1)) as world:
        words = ("tests.storage.reminder", str(world.instance.settings.folder), world.clock.now().isoformat())
        with process(*words) as one, process(*words) as two:
            go(one, two)
            said = [each.communicate(timeout=60)[0].splitlines() for each in (one, two)]
    sent = sorted(line.removesuffix(": sent") for lines in said for line in lines)
    assert sent == sorted(kept.people) == ["o-01", *(f"v-{number:03d}" for number in range(1, 7))]
    assert all(said), "one of the two did all of it alone, so that they never met"
    with stored.reading() as db:
        assert len(db.scalars(select(Mail)).all()) == len(db.scalars(select(MailEnd)).all()) == len(sent)
        assert len(entries(db, kind="mail")) == len(sent)
        assert find_break(db) is None
