"""What somebody is reminded of, what makes it the same thing, and the one mail that says it; pure.

No mail says anything of a participant: no name, no label, no need, nothing of a card. Such things are counted, and
stand behind the links.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

WIDTH = 72
# How many days before a session its people are reminded of it. A rule of this program.
SESSION_DAYS = 3
# How many days before its last day a retake is said once more. A rule of this program.
LAST_WEEK = timedelta(days=7)


class About(StrEnum):
    """What a reminder is about, in the order in which a mail says it."""

    SESSION = "session"
    CARDS = "cards"
    RETAKE = "retake"
    PAPER = "paper"
    SIGN_OFFS = "sign-offs"
    HOURS = "hours"
    ADDRESSES = "addresses"


ORDER = tuple(About)


class Outcome(StrEnum):
    """How the sending of a mail ended. After every end but `accepted` and `unknown` it certainly did not go out."""

    ACCEPTED = "accepted"
    REFUSED = "refused"
    ADDRESS_REFUSED = "address-refused"
    NOT_REACHED = "not-reached"
    UNKNOWN = "unknown"


# After these the same thing may be told again, for the server said no, or never heard of it. After every other end, and
# where none was stored, it counts as told: a crash loses one mail and never sends one twice.
TOLD_AGAIN = (Outcome.REFUSED, Outcome.ADDRESS_REFUSED, Outcome.NOT_REACHED)

# So often in a row one address is refused for good, and it is set aside. A rule of this program.
MOST_REFUSALS = 3
# RFC 5321, 4.2.3: there is no such mailbox, it is not here, its name is not allowed.
_OF_THE_ADDRESS = (550, 551, 553)
# RFC 3463, 3.8: refused by a policy, such as who may send; that says nothing of the address.
_BY_POLICY = re.compile(r"5\.7\.\d")


@dataclass(frozen=True)
class Matter:
    """One sentence that somebody is told, the page it leads to, and the keys of the things it speaks of."""

    about: About
    keys: tuple[str, ...]
    text: str
    page: str


@dataclass(frozen=True)
class Digest:
    """All that one person is told in one mail."""

    person: str
    name: str
    address: str
    matters: tuple[Matter, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """Return the keys of all its matters, each once, in their order."""
        return tuple(dict.fromkeys(key for one in self.matters for key in one.keys))


def is_about_the_address(code: int, words: str) -> bool:
    """Say whether a server's answer to a recipient refuses the address for good, and not the sender or for now."""
    return code in _OF_THE_ADDRESS and not _BY_POLICY.match(words)


@dataclass(frozen=True)
class Ended:
    """A mail with how it ended, and whether it went to the address that its person has now."""

    number: int
    to_this_address: bool
    outcome: str
    code: int
    begun_at: datetime


def refusals_in_a_row(newest_first: Iterable[Ended], after: int = 0) -> tuple[Ended, ...]:
    """Return the mails by which a person's address of now was refused for good, newest first.

    A mail that was accepted ends the row, and so do another address and somebody's wish to try again, which was after
    the mail `after`. A connection that broke or an answer that never came says nothing of the address.
    """
    found = []
    for one in newest_first:
        if one.number <= after or not one.to_this_address or one.outcome == Outcome.ACCEPTED:
            break
        if one.outcome == Outcome.ADDRESS_REFUSED:
            found.append(one)
    return tuple(found)


def retake_step(by: date, on: date) -> str:
    """Return which of its three reminders a retake has on a day: `new`, `last-week` (7 days or less), `over`."""
    return "over" if on > by else "last-week" if by - on <= LAST_WEEK else "new"


def untold(matters: Iterable[Matter], told: Collection[str]) -> tuple[Matter, ...]:
    """Return the matters that speak of at least one thing that has not been told, in the order of a mail.

    A matter that counts several things says again how many there are in all, once one of them is new.
    """
    fresh = [one for one in matters if any(key not in told for key in one.keys)]
    return tuple(sorted(fresh, key=lambda one: (ORDER.index(one.about), one.text)))


def may_send_today(last: datetime | None, midnight: datetime) -> bool:
    """Say whether somebody whose last digest was begun at a moment may have another: at most one a day."""
    return last is None or last < midnight


def subject_of(program: str, digest: Digest) -> str:
    """Return a digest's subject: whose it is and how many things it says, and none of them."""
    many = len(digest.matters)
    return f"{' '.join(program.split())}: {many} {'thing' if many == 1 else 'things'} for you"


def text_of(program: str, digest: Digest, on_words: str, address: str) -> str:
    """Return a digest as plain text, lines of 72 characters at most except for addresses, which stay whole."""
    lines = [
        f"Hello {' '.join(digest.name.split())},",
        f"this is what {' '.join(program.split())} has for you on {on_words}:",
    ]
    for one in digest.matters:
        said = textwrap.fill(one.text, WIDTH, initial_indent="- ", subsequent_indent="  ")
        lines.append(f"{said}\n  {address}{one.page}")
    lines += [
        "Nothing about a participant is ever written in a mail; sign in, and it stands behind these addresses.",
        f"Each thing is said once, in at most one mail a day. Turn them off on your own page:\n{address}/me",
        "This mail was written by a program. Nobody reads an answer to it there.",
    ]
    return "\n\n".join(_wrapped(one) for one in lines) + "\n"


def _wrapped(paragraph: str) -> str:
    return "\n".join(
        line if line.startswith(("- ", "  ", "http")) else textwrap.fill(line, WIDTH) for line in paragraph.split("\n")
    )


def due(
    found: Mapping[str, Sequence[Matter]], told: Mapping[str, Collection[str]], people: Mapping[str, tuple[str, str]]
) -> tuple[Digest, ...]:
    """Put together one digest for each person who has something new: `people` is name and address by code.

    Whoever is not in `people` gets none.
    """
    fresh = {code: untold(matters, told.get(code, ())) for code, matters in found.items() if code in people}
    return tuple(Digest(code, *people[code], fresh[code]) for code in sorted(fresh) if fresh[code])
