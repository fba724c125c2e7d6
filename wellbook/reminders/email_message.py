"""An e-mail as it goes out: true headers, plain text, a way out in the headers too.

Nothing that a customer or a clerk typed can add a header: names are put on one line, and an address
is refused where it is none.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from urllib.parse import quote

from wellbook.errors import WellbookError
from wellbook.plain_text import on_one_line
from wellbook.quantities import quoted
from wellbook.reminders.letters import Message
from wellbook.reminders.mail_headers import mail_policy

_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_LOCAL = re.compile(rf"{_ATOM}(\.{_ATOM})*")
_LABEL = r"(?!-)[A-Za-z0-9-]{1,63}(?<!-)"
_DOMAIN = re.compile(rf"{_LABEL}(\.{_LABEL})*")
_ID = re.compile(rf"<{_ATOM}(\.{_ATOM})*@{_LABEL}(\.{_LABEL})*>")
MOST_LOCAL, MOST_DOMAIN = 64, 255
"""Octets of an address before and after the @ (RFC 5321, sections 4.5.3.1.1 and 4.5.3.1.2)."""


@dataclass(frozen=True, slots=True)
class MailAddress:
    """Somebody's name and e-mail address.

    Parameters
    ----------
    email
        `local@domain`. A domain in other letters is sent in its ASCII form (RFC 5890).
    name
        As it is shown; may be in any letters.
    """

    email: str
    name: str = ""

    def header(self) -> Address:
        """As it stands in a header.

        Raises
        ------
        WellbookError
            If the address is none (RFC 5322, section 3.4.1, without quoted and obsolete forms).

        >>> MailAddress("orla@bücher.example", "Orla\\r\\nBcc: all").header().addr_spec
        'orla@xn--bcher-kva.example'
        """
        local, at, domain = self.email.rpartition("@")
        try:
            ascii_domain = domain.encode("idna").decode("ascii")
        except UnicodeError:
            ascii_domain = ""
        fits = len(local) <= MOST_LOCAL and len(ascii_domain) <= MOST_DOMAIN
        if not (at and fits and _LOCAL.fullmatch(local) and _DOMAIN.fullmatch(ascii_domain)):
            raise WellbookError(
                f"{quoted(self.email)} is not an e-mail address; one looks like orla@venterick.example"
            )
        return Address(on_one_line(self.name), local, ascii_domain)


def email_message(
    message: Message,
    sender: MailAddress,
    receiver: MailAddress,
    *,
    sent_at: datetime,
    message_id: str,
) -> EmailMessage:
    """One e-mail to one receiver.

    Parameters
    ----------
    message
        What is said; made of an e-mail template, so that address and way out stand in it.
    sender, receiver
        Who writes to whom. Answers and the word STOP go to the sender.
    sent_at
        The moment of sending, in the shop's zone.
    message_id
        `<...@...>`, unique for all time (RFC 5322, section 3.6.4); the same for the same message.

    Raises
    ------
    WellbookError
        If an address is none.
    ValueError
        If the moment has no zone or the id is none: the caller's slip, not a user's.
    """
    if sent_at.tzinfo is None:
        raise ValueError("sent_at needs its zone")
    if not _ID.fullmatch(message_id):
        raise ValueError(f"not a message id: {message_id!r}")
    mail = EmailMessage(policy=mail_policy())
    mail["From"] = sender.header()
    mail["To"] = receiver.header()
    mail["Date"] = sent_at
    mail["Message-ID"] = message_id
    mail["Subject"] = on_one_line(message.subject)
    # RFC 2369, section 3.2: a mail program shows this as its own button.
    mail["List-Unsubscribe"] = f"<mailto:{quote(sender.header().addr_spec, safe='@')}?subject=STOP>"
    # Seven bits whatever is in it, so that it passes a server without 8BITMIME.
    mail.set_content(message.text, charset="utf-8", cte="quoted-printable")
    return mail
