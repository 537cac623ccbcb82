"""An address that was refused so often that it is set aside, without a server."""

from __future__ import annotations

from mentor_training.letters.actions import ToSend, begin_note, end_mail
from mentor_training.letters.digests import MOST_REFUSALS, Outcome
from tests.builders import World


def refused_thrice(world: World, person: str) -> None:
    for number in range(MOST_REFUSALS):
        mail = ToSend(person, f"{person}@marrowdale.example", "midterm", (f"k/{number}",), f"<{person}-{number}@x>")
        with world.writing() as db:
            end_mail(
                db, world.clock.now(), begin_note(db, world.clock.now(), "i-01", mail), Outcome.ADDRESS_REFUSED, 550
            )
