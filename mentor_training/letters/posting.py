"""Handing mails to a mail server: how one is written (RFC 5322, RFC 3834), and whether it certainly did not go out."""

from __future__ import annotations

import secrets
import smtplib
import ssl
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from types import TracebackType
from typing import Self

from mentor_training.letters.digests import Outcome, is_about_the_address
from mentor_training.settings import MailServer

OK = (250, 251)


class NotReached(Exception):
    """The mail server cannot be reached, or does not let us in; the message says which and what to look at."""


@dataclass(frozen=True)
class Said:
    """How a mail ended, and the server's code for it; 0 where it said none."""

    outcome: Outcome
    code: int = 0


def new_message_id(sender: str) -> str:
    """Return a message's own name, which no other has: RFC 5322, 3.6.4."""
    return f"<{secrets.token_hex(16)}@{sender.rpartition('@')[2]}>"


def message(
    server: MailServer, program: str, to: str, subject: str, text: str, at: datetime, message_id: str
) -> EmailMessage:
    """Write a mail as plain text.

    `Auto-Submitted` (RFC 3834, 5) keeps answering machines quiet. There is no List-Unsubscribe: what turns digests off
    asks for signing in, which such a header must not.
    """
    mail = EmailMessage(policy=SMTP)
    mail["From"] = Address(" ".join(program.split()), addr_spec=server.sender)
    mail["To"] = Address(addr_spec=to)
    mail["Subject"] = subject
    mail["Date"] = format_datetime(at)
    mail["Message-ID"] = message_id
    mail["Auto-Submitted"] = "auto-generated"
    mail.set_content(text, cte="quoted-printable")
    return mail


class Post:
    """One connection to a mail server, made when it is needed and made again when it was lost."""

    def __init__(self, server: MailServer) -> None:
        self.server = server
        self._smtp: smtplib.SMTP | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self._smtp is not None:
            with suppress(OSError, smtplib.SMTPException):
                self._smtp.quit()
        self._drop()

    def open(self) -> None:
        """Make sure that there is a server that listens; NotReached otherwise. A mail is begun only afterwards."""
        if self._smtp is not None:
            with suppress(OSError, smtplib.SMTPException):
                if self._smtp.noop()[0] == OK[0]:
                    return
            self._drop()
        try:
            self._connect()
        except (OSError, smtplib.SMTPException) as error:
            self._drop()
            raise NotReached(_why_not(self.server, error)) from None

    def _connect(self) -> None:
        self._smtp = smtplib.SMTP(self.server.host, self.server.port, timeout=self.server.timeout_seconds)
        if self.server.security == "starttls":
            self._smtp.starttls(context=ssl.create_default_context())
        if self.server.user:
            self._smtp.login(self.server.user, self.server.password)

    def send(self, mail: EmailMessage, to: str) -> Said:
        """Send one mail to one address over the open connection, and say how that ended.

        Before the text is asked for, a lost connection means that nothing went out; from then on nobody knows.
        """
        smtp = self._smtp
        if smtp is None:
            return Said(Outcome.NOT_REACHED)
        outcome = Outcome.REFUSED
        try:
            smtp.ehlo_or_helo_if_needed()
            code, _ = smtp.mail(self.server.sender)
            if code in OK:
                code, words = smtp.rcpt(to)
                if is_about_the_address(code, words.decode("ascii", "replace")):
                    outcome = Outcome.ADDRESS_REFUSED
        except (OSError, smtplib.SMTPException):
            self._drop()
            return Said(Outcome.NOT_REACHED)
        return self._send_text(smtp, mail) if code in OK else self._refused(smtp, code, outcome)

    def _send_text(self, smtp: smtplib.SMTP, mail: EmailMessage) -> Said:
        try:
            code, _ = smtp.data(mail.as_bytes())
        except smtplib.SMTPDataError as no:
            return self._refused(smtp, no.smtp_code)
        except (OSError, smtplib.SMTPException):
            self._drop()
            return Said(Outcome.UNKNOWN)
        return Said(Outcome.ACCEPTED, code) if code == OK[0] else self._refused(smtp, code)

    def _refused(self, smtp: smtplib.SMTP, code: int, outcome: Outcome = Outcome.REFUSED) -> Said:
        try:
            smtp.rset()
        except (OSError, smtplib.SMTPException):
            self._drop()
        return Said(outcome, code)

    def _drop(self) -> None:
        if self._smtp is not None:
            self._smtp.close()
        self._smtp = None


def _why_not(server: MailServer, error: Exception) -> str:
    where = f"the mail server {server.host}:{server.port}"
    if isinstance(error, smtplib.SMTPNotSupportedError):
        return f"{where} does not offer what is asked of it ({error}); look at `security` and `user` under [mail]"
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return f"{where} does not let `{server.user}` in ({error.smtp_code}); look at the user and the password"
    if isinstance(error, ssl.SSLError):
        return f"{where} shows no certificate that this machine trusts ({error.reason})"
    if isinstance(error, TimeoutError):
        return f"{where} did not answer within {server.timeout_seconds} s"
    return f"{where} cannot be reached ({error})"
