"""An e-mail's headers are true, and nothing that was typed can add one (RFC 5322, RFC 2369)."""

from __future__ import annotations

from datetime import datetime
from email import message_from_bytes, policy
from email.header import decode_header, make_header
from email.message import EmailMessage
from email.utils import parseaddr
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from wellbook.errors import WellbookError
from wellbook.plain_text import clean, on_one_line
from wellbook.reminders.email_message import MailAddress, email_message
from wellbook.reminders.letters import Message

HEADERS = [
    *("From", "To", "Date", "Message-ID", "Subject", "List-Unsubscribe"),
    *("Content-Type", "Content-Transfer-Encoding", "MIME-Version"),
]
NINE = datetime(2026, 11, 25, 9, 0, tzinfo=ZoneInfo("America/New_York"))


def made(
    subject: str = "Your well",
    text: str = "It is due.",
    name: str = "Orla Venterick",
    to: str = "orla@venterick.example",
    message_id: str = "<7.1@thornfield.example>",
    sent_at: datetime = NINE,
) -> EmailMessage:
    return email_message(
        Message(subject, (text,)),
        MailAddress("desk@thornfield.example", "Thornfield Pump & Well"),
        MailAddress(to, name),
        sent_at=sent_at,
        message_id=message_id,
    )


def read_back(mail: EmailMessage) -> EmailMessage:
    read = message_from_bytes(mail.as_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    return read


def test_the_headers_as_they_go_out() -> None:
    """RFC 5322, section 3.6, and 3.3 for the date: local time with its distance from UTC."""
    head, _, body = made().as_bytes().decode("ascii").partition("\r\n\r\n")
    assert head.split("\r\n") == [
        "From: Thornfield Pump & Well <desk@thornfield.example>",
        "To: Orla Venterick <orla@venterick.example>",
        "Date: Wed, 25 Nov 2026 09:00:00 -0500",
        "Message-ID: <7.1@thornfield.example>",
        "Subject: Your well",
        "List-Unsubscribe: <mailto:desk@thornfield.example?subject=STOP>",
        'Content-Type: text/plain; charset="utf-8"',
        "Content-Transfer-Encoding: quoted-printable",
        "MIME-Version: 1.0",
    ]
    assert body == "It is due.\r\n"


typed = st.text(max_size=120) | st.text('aÄ水🜄\r\n:<>@,;"\\()=?_ ', max_size=200)


@given(subject=typed, name=typed, text=typed)
@example("x\r\nBcc: all@x.example", "Orla\nBcc: all@x.example", "\n.\nBcc: all@x.example")
@example("x", "Venterick, Orla (home) <x@y.example>", "x")
@example("x", "Ä" * 100 + ", " + "ö" * 100, "x")
@example("=?utf-8?q?x=0ABcc:_y?=", "=?utf-8?q?x=0ABcc:_y?=", "x")
def test_what_was_typed_is_text_and_never_a_header(subject: str, name: str, text: str) -> None:
    mail = made(on_one_line(subject), "\n".join(clean(x) for x in text.splitlines()), name)
    sent = mail.as_bytes()
    assert sent.isascii()
    assert not sent.replace(b"\r\n", b"").count(b"\n") + sent.replace(b"\r\n", b"").count(b"\r")
    # RFC 5322, section 2.1.1: a line has at most 998 octets, and should have at most 78.
    assert max(map(len, sent.split(b"\r\n"))) <= 998
    read = read_back(mail)
    assert read.keys() == HEADERS
    (to,) = read["To"].addresses
    assert to.addr_spec == "orla@venterick.example"
    assert len(read["From"].addresses) == 1
    assert read.get_content().replace("\r\n", "\n") == mail.get_content()


@given(st.text("aZ9 äöüßéñŁ水木ΩЖ'-.,&()", min_size=1, max_size=150))
def test_a_name_in_any_letters_comes_back(name: str) -> None:
    """RFC 2047: encoded words within a phrase, at most 76 signs a line (section 2).

    Read by the older of the library's two readers: the newer one puts blanks between encoded words.
    """
    mail = made(name=name)
    raw = message_from_bytes(mail.as_bytes())["To"]
    phrase, address = parseaddr(raw)
    assert str(make_header(decode_header(phrase))) == on_one_line(name)
    assert address == "orla@venterick.example"
    assert all(len(line) <= 76 for line in raw.split("\r\n"))


@given(st.text("aZ9 äöüßéñŁ水木ΩЖ'-.,&():", min_size=1, max_size=150))
def test_a_subject_in_any_letters_comes_back(subject: str) -> None:
    read = read_back(made(subject=on_one_line(subject)))
    assert on_one_line(read["Subject"]) == on_one_line(subject)


@pytest.mark.parametrize(
    "address",
    [
        *("", "orla", "@", "orla@", "@x.example", "a@b@c.example", "or la@x.example"),
        *("orla@x..example", ".orla@x.example", "orla@-x.example", "orla@x_y.example"),
        *("orla@x.example\r\nBcc: b@y.example", "orla@x.example>", "<orla@x.example>"),
        *("orla@x.example,b@y.example", "örla@x.example", "a" * 65 + "@x.example"),
        *("orla@" + "x." * 200 + "example", "orla@" + "ü" * 70 + ".example", '"a b"@x.example'),
        *("orla@x.example?bcc=b", "orla@[127.0.0.1]", "orla@x.example ", "a\0@x.example"),
    ],
)
def test_what_is_no_address_is_refused_in_one_line(address: str) -> None:
    with pytest.raises(WellbookError, match="is not an e-mail address") as told:
        made(to=address)
    assert "\n" not in str(told.value)


def test_a_domain_in_other_letters_goes_out_in_ascii() -> None:
    """RFC 3492's own kind of example: `bücher` is `xn--bcher-kva`."""
    assert read_back(made(to="orla@bücher.example"))["To"].addresses[0].domain == (
        "xn--bcher-kva.example"
    )


def test_odd_signs_of_an_address_are_escaped_in_the_way_out() -> None:
    """RFC 6068, section 2: `%`, `?` and `&` in an address are written as percent and two digits."""
    mail = email_message(
        Message("x", ("x",)),
        MailAddress("a?b&c%d@x.example"),
        MailAddress("orla@x.example"),
        sent_at=NINE,
        message_id="<1@x.example>",
    )
    assert mail["List-Unsubscribe"] == "<mailto:a%3Fb%26c%25d@x.example?subject=STOP>"


@pytest.mark.parametrize("message_id", ["", "1@x", "<1>", "<1@x>\r\nBcc: y", "<1 2@x>", "<ä@x>"])
def test_an_id_that_is_none_is_the_callers_slip(message_id: str) -> None:
    with pytest.raises(ValueError, match="not a message id"):
        made(message_id=message_id)


def test_a_moment_without_a_zone_is_the_callers_slip() -> None:
    with pytest.raises(ValueError, match="zone"):
        made(sent_at=datetime(2026, 11, 25, 9, 0))
