"""Sends e-mails through the shop's own server, one at a time, and tells what became of each.

The book marks a message before it is handed over and again after; between the two the answer must
be exact. So the dialogue is led here, command by command: whatever goes wrong before the text was
handed over has surely not been sent, and whatever goes wrong after that, before the answer, nobody
can know (RFC 5321, sections 4.2.5 and 4.5.4.1).
"""

from __future__ import annotations

import os
import re
import smtplib
import ssl
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from email import policy
from email.message import EmailMessage
from types import TracebackType
from typing import Self

from wellbook.errors import WellbookError
from wellbook.plain_text import on_one_line
from wellbook.quantities import quoted
from wellbook.terms import Security, Word

PASSWORD = "WELLBOOK_SMTP_PASSWORD"
_LEADING_DOT = re.compile(rb"(?m)^\.")
_CLOSING = 421


class Outcome(Word):
    """What became of one message."""

    SENT = "sent"
    REFUSED = "refused"
    NOT_NOW = "not_now"
    IN_DOUBT = "in_doubt"


class SendingStopped(WellbookError):  # noqa: N818 - the run stops; nothing of this message went out
    """No server, or one that does not let us in: the next message would fare no better."""

    code = "mail_server"


@dataclass(frozen=True, slots=True)
class MailServer:
    """The shop's own mail server.

    Parameters
    ----------
    host, port
        Where it listens.
    security
        `starttls` and `tls` check its certificate; neither falls back to an open line.
    user
        Whom to log in as; empty for none. The password stands in WELLBOOK_SMTP_PASSWORD.
    timeout_s
        How long to wait for each answer, seconds.
    """

    host: str
    port: int
    security: Security
    user: str = ""
    timeout_s: float = 30.0

    @property
    def said(self) -> str:
        """As a message names it."""
        return f"mail server {on_one_line(self.host)}:{self.port}"


@dataclass(frozen=True, slots=True)
class Sent:
    """What became of one message, and the server's words for it."""

    outcome: Outcome
    words: str


class Mailing:
    """One connection for many messages; use it in a `with`.

    Parameters
    ----------
    server
        The server.

    Raises
    ------
    SendingStopped
        On entering, where there is no server or it does not let us in.
    """

    def __init__(self, server: MailServer) -> None:
        self._server = server
        self._line: smtplib.SMTP | None = None

    def __enter__(self) -> Self:
        self._open_line()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._line is not None and kind is None:
            # All that was sent has been answered; how the server hangs up changes nothing.
            with suppress(OSError, smtplib.SMTPException):
                self._line.quit()
        self._drop()

    def send(self, mail: EmailMessage) -> Sent:
        """Hand over one message to its one receiver.

        Parameters
        ----------
        mail
            As `email_message` makes it.

        Returns
        -------
        Sent
            Sent; refused for good; not now (surely not sent); or in doubt (nobody can know).

        Raises
        ------
        SendingStopped
            If the line was lost and there is no getting it back. Nothing of this message was
            handed over.
        """
        text = _LEADING_DOT.sub(b"..", mail.as_bytes(policy=policy.SMTP))
        line = self._fresh_line()
        size = [f"SIZE={len(text)}"] if line.has_extn("size") else []
        steps: tuple[tuple[Callable[[], tuple[int, bytes]], int], ...] = (
            (lambda: line.mail(mail["From"].addresses[0].addr_spec, size), 2),
            (lambda: line.rcpt(mail["To"].addresses[0].addr_spec), 2),
            (lambda: line.docmd("DATA"), 3),
        )
        for command, wanted in steps:
            try:
                code, words = command()
            except (OSError, smtplib.SMTPException) as error:
                self._drop()
                return Sent(Outcome.NOT_NOW, f"the line broke before the text: {_why(error)}")
            if code // 100 != wanted:
                return self._no(code, words, Outcome.NOT_NOW)
        try:
            line.send(text + b".\r\n")
            code, words = line.getreply()
        except (OSError, smtplib.SMTPException) as error:
            self._drop()
            return Sent(Outcome.IN_DOUBT, f"the line broke after the text began: {_why(error)}")
        if 200 <= code < 300:
            return Sent(Outcome.SENT, _said(code, words))
        return self._no(code, words, Outcome.IN_DOUBT)

    def _no(self, code: int, words: bytes, else_: Outcome) -> Sent:
        """The server's no; an answer that is none of the standard's leaves us where we were."""
        standard = 400 <= code < 600
        if code == _CLOSING or not standard:
            self._drop()
        outcome = (Outcome.REFUSED if code >= 500 else Outcome.NOT_NOW) if standard else else_
        return Sent(outcome, _said(code, words))

    def _fresh_line(self) -> smtplib.SMTP:
        """The line, with nothing left on it of the message before; a lost one is opened anew."""
        if self._line is not None:
            # Idle lines get lost between messages; nothing of this one was said yet.
            with suppress(OSError, smtplib.SMTPException):
                if self._line.rset()[0] == 250:
                    return self._line
            self._drop()
        return self._open_line()

    def _open_line(self) -> smtplib.SMTP:
        server = self._server
        password = _password(server) if server.user else ""
        try:
            self._line = line = _connected(server)
            line.ehlo_or_helo_if_needed()
            if server.user:
                line.login(server.user, password)
        except smtplib.SMTPAuthenticationError as error:
            self._stop(
                f"does not let '{on_one_line(server.user)}' in: {_why(error)}; check {PASSWORD}"
            )
        except ssl.SSLCertVerificationError as error:
            self._stop(f"its certificate does not prove that it is it: {error.verify_message}")
        except ssl.SSLError:
            self._stop(f"does not speak TLS there; security is '{server.security}'")
        except smtplib.SMTPNotSupportedError as error:
            self._stop(f"cannot do what is asked of it: {_why(error)}")
        except (OSError, smtplib.SMTPException, UnicodeError) as error:
            self._stop(f"is not to be had: {_why(error)}")
        return line

    def _stop(self, said: str) -> None:
        self._drop()
        raise SendingStopped(said, where=self._server.said) from None

    def _drop(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line = None


def _connected(server: MailServer) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if server.security is Security.TLS:
        return smtplib.SMTP_SSL(server.host, server.port, timeout=server.timeout_s, context=context)
    line = smtplib.SMTP(server.host, server.port, timeout=server.timeout_s)
    if server.security is Security.STARTTLS:
        try:
            code, words = line.starttls(context=context)
        except BaseException:
            line.close()
            raise
        if code != 220:
            line.close()
            raise smtplib.SMTPResponseException(code, words)
    return line


def _password(server: MailServer) -> str:
    if server.security is Security.NONE:
        said = "a password does not go over an open line; set security to starttls or tls"
        raise SendingStopped(said, where=server.said)
    password = os.environ.get(PASSWORD, "")
    if not password:
        said = f"the password of {quoted(server.user)} is missing; put it into {PASSWORD}"
        raise SendingStopped(said, where=server.said)
    if not (password + server.user).isascii():
        said = f"user and password ({PASSWORD}) are plain ASCII, or this server's login cannot take them"
        raise SendingStopped(said, where=server.said)
    return password


def _said(code: int, words: bytes | str) -> str:
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return on_one_line(f"{code} {text}")


def _why(error: Exception) -> str:
    if isinstance(error, smtplib.SMTPResponseException):
        return _said(error.smtp_code, error.smtp_error)
    return on_one_line(str(error)) or "no answer"
