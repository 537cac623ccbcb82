"""A real mail server on this machine, which keeps what it accepts, and can refuse, stall and hang up."""

from __future__ import annotations

import asyncio
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from threading import Event

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

PASSWORD = "four gray geese"


@dataclass
class Kept:
    """What a server does with each mail, and what it has accepted."""

    mails: list[tuple[str, EmailMessage, bytes]] = field(default_factory=list)
    refused: set[str] = field(default_factory=set)
    refusal: str = "550 5.1.1 There is nobody here by that name"
    silent_for: set[str] = field(default_factory=set)
    hangs_up_on: set[str] = field(default_factory=set)
    slow: float = 0
    arrived: Event = field(default_factory=Event)

    async def handle_RCPT(  # noqa: N802 - the library's word
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        """Refuse an address, hang up on it, or take it."""
        if address in self.refused:
            return self.refusal
        if address in self.hangs_up_on and isinstance(server.transport, asyncio.Transport):
            server.transport.abort()
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802 - as above
        """Keep a mail, or say nothing for as long as a sender may wait."""
        content = envelope.content
        assert isinstance(content, bytes)
        to = envelope.rcpt_tos[0]
        mail = message_from_bytes(content, policy=default)
        assert isinstance(mail, EmailMessage)
        self.mails.append((to, mail, content))
        self.arrived.set()
        await asyncio.sleep(self.slow)
        if to in self.silent_for:
            await asyncio.sleep(4)
        return "250 kept"

    @property
    def people(self) -> list[str]:
        """Return to whom mails were accepted, in their order, by code."""
        return [to.partition("@")[0] for to, _, _ in self.mails]


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


@contextmanager
def mail_server(kept: Kept, tls: ssl.SSLContext | None = None) -> Iterator[int]:
    """Run a server and give its port; with a certificate it takes nothing before STARTTLS and signing in."""
    if tls:
        controller = Controller(
            kept, hostname="127.0.0.1", port=free_port(), tls_context=tls, require_starttls=True, auth_required=True,
            authenticator=signs_in,
        )  # fmt: skip
    else:
        controller = Controller(kept, hostname="127.0.0.1", port=free_port())
    controller.start()
    try:
        yield controller.port
    finally:
        controller.stop()


def signs_in(
    _server: SMTP, _session: Session, _envelope: Envelope, _mechanism: str, given: LoginPassword
) -> AuthResult:
    return AuthResult(success=(given.login, given.password) == (b"movement", PASSWORD.encode()), handled=False)


def certificate(folder: Path) -> tuple[Path, ssl.SSLContext]:
    """Make a certificate for localhost: the file that says it is to be trusted, and what serves with it."""
    key, name = (
        ec.generate_private_key(ec.SECP256R1()),
        x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "localhost")]),
    )
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    trusted, secret = folder / "certificate.pem", folder / "key.pem"
    trusted.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    secret.write_bytes(
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    )
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(trusted, secret)
    return trusted, context
