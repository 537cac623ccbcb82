"""Sending digests one after another: begun and committed, sent, ended and committed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, time

from sqlalchemy.orm import Session

from mentor_training.database.instance import Instance
from mentor_training.letters.actions import DIGEST, ToSend, begin_digest, end_mail
from mentor_training.letters.digests import Digest, Outcome, subject_of, text_of
from mentor_training.letters.posting import NotReached, Post, Said, message, new_message_id
from mentor_training.people.permissions import CONSOLE
from mentor_training.web.display import show_day

Storing = Callable[[], AbstractContextManager[Session]]

# So many mails in a row without an answer, and the rest waits for another run: each of them may be one that is lost.
MOST_WITHOUT_ANSWER = 2


@dataclass(frozen=True)
class Letter:
    """A mail to be sent: to whom, what it says, and what begins it in the database; 0 says that it must not go out."""

    person: str
    address: str
    subject: str
    text: str
    begin: Callable[[Session, datetime, str], int]


def midnight_of(instance: Instance) -> datetime:
    """Return when the present day began in the program's time zone."""
    return datetime.combine(instance.today(), time(), instance.settings.zone)


def as_letter(instance: Instance, digest: Digest) -> Letter:
    """Return a digest as a mail."""
    settings, midnight = instance.settings, midnight_of(instance)
    return Letter(
        digest.person,
        digest.address,
        subject_of(settings.title, digest),
        text_of(settings.title, digest, show_day(instance.today()), settings.address),
        lambda db, at, name: begin_digest(
            db, at, CONSOLE.code, ToSend(digest.person, digest.address, DIGEST, digest.keys, name), midnight
        ),
    )


def send_all(
    instance: Instance, letters: Iterable[Letter], post: Post, begins_in: Storing | None = None
) -> Iterator[tuple[Letter, Said]]:
    """Send mails, and give each with how it ended once that is stored.

    `begins_in` gives the session in which a mail is begun, for a job that may be lost meanwhile. NotReached when there
    is no server: nothing more is begun then, and what was not begun is due again next time.
    """
    silent = 0
    for letter in letters:
        post.open()
        said = _send(instance, letter, post, begins_in or instance.database.writing)
        if said is None:
            continue
        yield letter, said
        silent = silent + 1 if said.outcome in (Outcome.UNKNOWN, Outcome.NOT_REACHED) else 0
        if silent == MOST_WITHOUT_ANSWER:
            raise NotReached(f"{silent} mails in a row had no answer; the rest waits for another run")


def _send(instance: Instance, letter: Letter, post: Post, begins_in: Storing) -> Said | None:
    name = new_message_id(post.server.sender)
    with begins_in() as db:
        number = letter.begin(db, instance.now(), name)
    if not number:
        return None
    said = _hand_over(instance, letter, post, name)
    with instance.database.writing() as db:
        end_mail(db, instance.now(), number, said.outcome, said.code)
    return said


def _hand_over(instance: Instance, letter: Letter, post: Post, name: str) -> Said:
    # Such an address takes an extension of the protocol that is not asked for, and has no place in a plain header.
    if not letter.address.isascii():
        return Said(Outcome.ADDRESS_REFUSED)
    local = instance.now().astimezone(instance.settings.zone)
    mail = message(post.server, instance.settings.title, letter.address, letter.subject, letter.text, local, name)
    return post.send(mail, letter.address)
