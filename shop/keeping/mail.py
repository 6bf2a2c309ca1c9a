"""The server that letters are sent through: named in the environment (SHOP_MAIL_…), else on the page Mail.

The password lies in a file of the data folder that only its owner can read, not in the book and in no backup.
"""

from __future__ import annotations

import datetime as dt
import os
import smtplib
import socket
import ssl
import uuid
from contextlib import suppress
from dataclasses import dataclass
from email.headerregistry import Address
from pathlib import Path
from typing import TypedDict, Unpack

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import MailServer

PASSWORD_FILE = "mail-password"  # noqa: S105  a file's name
SMTP = "smtp.EmailBackend"
SECONDS = 30
SECONDS_TO_TRY = 12
PORTS = {MailServer.Security.STARTTLS: 587, MailServer.Security.TLS: 465, MailServer.Security.NONE: 25}


@dataclass(frozen=True, slots=True)
class Server:
    """A mail server as it is spoken to; `by_environment` where the page can't change it."""

    host: str
    port: int
    security: str
    user: str
    password: str
    sender: str
    by_environment: bool = False

    def connection(self, *, seconds: int = SECONDS) -> BaseEmailBackend:
        """A way to it; a test's own backend takes its place."""
        if not settings.EMAIL_BACKEND.endswith(SMTP):
            plain: BaseEmailBackend = get_connection()
            return plain
        way: BaseEmailBackend = get_connection(
            host=self.host,
            port=self.port,
            username=self.user,
            password=self.password,
            use_tls=self.security == MailServer.Security.STARTTLS,
            use_ssl=self.security == MailServer.Security.TLS,
            timeout=seconds,
        )
        return way


def the_server() -> Server | None:
    """The server that letters go through: the environment's where it names one, else the page's; None without either."""
    if settings.EMAIL_HOST:
        return Server(
            settings.EMAIL_HOST,
            settings.EMAIL_PORT,
            settings.EMAIL_SECURITY,
            settings.EMAIL_HOST_USER,
            settings.EMAIL_HOST_PASSWORD,
            settings.DEFAULT_FROM_EMAIL,
            by_environment=True,
        )
    row = MailServer.objects.first()
    if row is None:
        return None
    return Server(
        row.host,
        row.port,
        row.security,
        row.user,
        _password() if row.user else "",
        settings.DEFAULT_FROM_EMAIL or row.sender,
    )


def is_set_up() -> bool:
    """True where the shop can send mail: a server is named (or a test's backend takes its place)."""
    return not hangs_on_the_page() or MailServer.objects.exists()


def hangs_on_the_page() -> bool:
    """Whether letters go only by a server that a person names on the page; not where the environment names one."""
    return bool(settings.EMAIL_BACKEND.endswith(SMTP)) and not settings.EMAIL_HOST


def has_password() -> bool:
    """Whether a password is kept; what it is, no page says."""
    return bool(settings.EMAIL_HOST_PASSWORD if settings.EMAIL_HOST else _password())


def sender() -> str:
    """Whom letters come from: SHOP_MAIL_FROM, else the page's address, else the profile's, under the shop's name."""
    shop, server = the_profile(), the_server()
    address = settings.DEFAULT_FROM_EMAIL or (server.sender if server else "") or shop.email
    if not address or "<" in address:
        return str(address)
    user, _, domain = str(address).partition("@")
    with suppress(ValueError, IndexError):
        return str(Address(display_name=shop.name, username=user, domain=domain))
    return str(address)


class ServerNamed(TypedDict):
    """A mail server, as `set_mail_server` takes it."""

    host: str
    port: int | None
    security: str
    user: str
    sender: str


def set_mail_server(
    *,
    password: str = "",
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **named: Unpack[ServerNamed],
) -> MailServer:
    """Name the server that letters are sent through; an empty `password` leaves the one that is kept as it is.

    It is told to no other server and for no other user: with either changed, an empty one forgets it. Raises Refusal where
    the environment names a server, which then wins.
    """
    if settings.EMAIL_HOST:
        raise Refusal("SHOP_MAIL_HOST names the server where the shop is started, and wins.", field="host")
    known = MailServer.objects.first()
    same = known is not None and (known.host, known.user) == (named["host"], named["user"])
    port = named["port"] or PORTS[MailServer.Security(named["security"])]
    with acting(by=by, at=at, once=once_key) as act:
        row, _ = MailServer.objects.update_or_create(pk=1, defaults={**named, "port": port})
        act.record("mail.server_named", subject=row, password=bool(password))
        if password or not same:
            transaction.on_commit(lambda: _keep_password(password if named["user"] else ""))
    return row


def forget_mail_server(
    *, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Name no server any more, and keep no password; letters wait in the outbox."""
    with acting(by=by, at=at, once=once_key) as act:
        if MailServer.objects.all().delete()[0]:
            act.record("mail.server_forgotten")
        transaction.on_commit(lambda: _keep_password(""))


def try_mail(*, to: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None) -> None:
    """Send a letter at once, to see whether mail goes out. Raises Refusal that says in a sentence what the server said."""
    server, shop = the_server(), the_profile()
    if not is_set_up():
        raise Refusal("Name a mail server first.", field="to")
    body = f"This letter was sent to see whether the mail of {shop.name} goes out. It does."
    way = server.connection(seconds=SECONDS_TO_TRY) if server else get_connection()
    letter = EmailMessage(f"A trial of the mail, {shop.name}", body, sender(), [to], connection=way)
    # nothing of the book is held while a server far away takes its time
    try:
        letter.send(fail_silently=False)
    except (OSError, smtplib.SMTPException, ValueError) as error:
        raise Refusal(what_went_wrong(error, server), field="to") from error
    finally:
        # what was opened and refused is not left open
        with suppress(OSError, smtplib.SMTPException):
            way.close()
    with acting(by=by, at=at, once=once_key) as act:
        act.record("mail.tried")


def what_went_wrong(error: Exception, server: Server | None) -> str:
    """One sentence on why a letter did not go, and what to look at."""
    where = f"{server.host}:{server.port}" if server else "the server"
    for kinds, sentence in (
        (smtplib.SMTPAuthenticationError, "The server takes neither this user name nor this password."),
        (smtplib.SMTPRecipientsRefused, "The server doesn’t take letters to this address."),
        (smtplib.SMTPSenderRefused, "The server doesn’t take letters from this shop’s address."),
        (smtplib.SMTPNotSupportedError, "The server doesn’t offer this kind of encryption: choose another."),
        (ssl.SSLCertVerificationError, f"The certificate of {where} is not to be trusted."),
        (ssl.SSLError, "The server speaks another kind of encryption: choose another, and look at the port."),
        (socket.gaierror, f"There is no server of the name {server.host if server else ''}."),
        (smtplib.SMTPServerDisconnected, f"{where} hung up: look at the port and the encryption."),
        ((TimeoutError, ConnectionError), f"No mail server answers at {where}."),
    ):
        if isinstance(error, kinds):
            return sentence
    said = str(error)
    if isinstance(error, smtplib.SMTPResponseException):
        reply = error.smtp_error
        said = f"{error.smtp_code} {reply.decode(errors='replace') if isinstance(reply, bytes) else reply}"
    said = " ".join(said.split())[:200] or type(error).__name__
    return f"The letter did not go: {said}"


def _path() -> Path:
    return Path(settings.SHOP_DATA) / PASSWORD_FILE


def _password() -> str:
    try:
        return _path().read_text("utf-8")
    except FileNotFoundError:
        return ""


def _keep_password(password: str) -> None:
    """In a file that is whole or not there, and that its owner alone can read."""
    path = _path()
    if not password:
        path.unlink(missing_ok=True)
        return
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    draft.unlink(missing_ok=True)
    with os.fdopen(
        os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8"
    ) as file:
        file.write(password)
    draft.replace(path)
