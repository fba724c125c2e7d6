"""Sending against a real server: what became of each message, told exactly (RFC 5321)."""

from __future__ import annotations

import socket
import ssl
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest
import trustme
from mail_server import CLOSE, PASSWORD, SILENT, Box, serving

from wellbook.errors import WellbookError
from wellbook.reminders.email_message import MailAddress, email_message
from wellbook.reminders.letters import Message
from wellbook.reminders.smtp import Mailing, MailServer, Outcome, SendingStopped
from wellbook.terms import Security

SHOP = MailAddress("desk@thornfield.example", "Thornfield Pump & Well")
ODD = "odd@venterick.example"
SENT, REFUSED, NOT_NOW, IN_DOUBT = Outcome


def mail(to: str = "orla@venterick.example", text: str = "Your well is due.") -> EmailMessage:
    return email_message(
        Message("Your well", (text,)),
        SHOP,
        MailAddress(to),
        sent_at=datetime(2026, 11, 25, 9, 0, tzinfo=UTC),
        message_id=f"<{abs(hash((to, text)))}@thornfield.example>",
    )


def at(port: int, security: Security = Security.NONE, **more: object) -> MailServer:
    return MailServer("127.0.0.1", port, security, **{"timeout_s": 10.0, **more})  # type: ignore[arg-type]


def test_a_bad_address_in_the_middle_of_a_hundred_costs_only_itself() -> None:
    """RFC 5321, section 4.2.1: 5yz is a no for good; one connection serves all."""
    box = Box(rcpt={ODD: "550 5.1.1 nobody of that name here"})
    with serving(box) as port, Mailing(at(port)) as mailing:
        told = [mailing.send(mail(ODD if n == 50 else f"c{n}@x.example")) for n in range(100)]
    assert [n for n, one in enumerate(told) if one.outcome is not SENT] == [50]
    assert told[50].outcome is REFUSED
    assert told[50].words == "550 5.1.1 nobody of that name here"
    assert told[0].words == "250 kept"
    assert len(box.texts) == 99
    assert box.lines_opened == 1


@pytest.mark.parametrize(
    ("step", "answer", "outcome", "texts", "lines"),
    [
        # RFC 5321, sections 4.2.1 and 4.2.3: the first digit says for good or for now.
        ("rcpt", "451 4.7.1 greylisted, come back in a while", NOT_NOW, 2, 1),
        ("rcpt", "452 4.2.2 mailbox full", NOT_NOW, 2, 1),
        ("rcpt", "553 5.1.3 what a name", REFUSED, 2, 1),
        ("data", "451 4.3.0 not at the moment", NOT_NOW, 2, 1),
        ("data", "554 5.5.1 no", REFUSED, 2, 1),
        ("text", "552 5.3.4 message too large", REFUSED, 3, 1),
        ("text", "554 5.7.1 looks like an advertisement", REFUSED, 3, 1),
        ("text", "452 4.3.1 disk is full", NOT_NOW, 3, 1),
        # Section 3.8: with 421 the server hangs up; the next message has a line of its own.
        ("rcpt", "421 4.3.2 going down", NOT_NOW, 2, 2),
        ("text", "421 4.3.2 going down", NOT_NOW, 3, 2),
        # Lost before the text: surely not sent.
        ("rcpt", CLOSE, NOT_NOW, 2, 2),
        ("data", CLOSE, NOT_NOW, 2, 2),
        # Lost in the middle of the text, or after it and before the answer: nobody can know.
        ("data", "354 go on", IN_DOUBT, 2, 2),
        ("text", CLOSE, IN_DOUBT, 3, 2),
        # An answer that the standard does not have.
        ("text", "199 hm", IN_DOUBT, 3, 2),
        ("text", "354 and then?", IN_DOUBT, 3, 2),
        ("text", "good", IN_DOUBT, 3, 2),
        ("rcpt", "199 hm", NOT_NOW, 2, 2),
        ("rcpt", "354 go on", NOT_NOW, 2, 2),
        ("data", "250 fine", NOT_NOW, 2, 2),
    ],
)
def test_what_became_of_one_and_the_next_goes_out(
    step: str, answer: str, outcome: Outcome, texts: int, lines: int
) -> None:
    box = Box(**{step: {ODD: answer}})
    with serving(box) as port, Mailing(at(port)) as mailing:
        told = [mailing.send(mail(to)) for to in ("a@x.example", ODD, "b@x.example")]
    assert [one.outcome for one in told] == [SENT, outcome, SENT]
    assert len(box.texts) == texts
    assert box.lines_opened == lines
    if answer[0].isdigit() and step == "text":
        assert told[1].words == answer


@pytest.mark.parametrize(
    ("step", "outcome"), [("rcpt", NOT_NOW), ("data", NOT_NOW), ("text", IN_DOUBT)]
)
def test_a_server_that_never_answers(step: str, outcome: Outcome) -> None:
    box = Box(**{step: {ODD: SILENT}})
    with serving(box) as port, Mailing(at(port, timeout_s=2.0)) as mailing:
        assert mailing.send(mail(ODD)).outcome is outcome
        assert mailing.send(mail("b@x.example")).outcome is SENT


def test_a_sender_that_is_refused() -> None:
    box = Box(mail={SHOP.email: "550 5.7.1 not from you"})
    with serving(box) as port, Mailing(at(port)) as mailing:
        assert mailing.send(mail()).outcome is REFUSED


def test_too_large_is_said_before_the_text() -> None:
    """RFC 1870, section 6.1: the size is declared with MAIL, and refused there with 552."""
    box = Box()
    with serving(box, data_size_limit=2000) as port, Mailing(at(port)) as mailing:
        told = mailing.send(mail(text="long " * 1000))
        assert mailing.send(mail()).outcome is SENT
    assert told.outcome is REFUSED
    assert told.words.startswith("552")
    assert len(box.texts) == 1


@pytest.mark.parametrize(
    "text", [".", ".dot\n..dots\n\n.", "Überlauf, Ω, 水\n" * 50, "x" * 5000, "From here", "="]
)
def test_the_text_comes_in_as_it_went_out(text: str) -> None:
    """RFC 5321, section 4.5.2: a line's leading dot is doubled on the way."""
    box = Box()
    with serving(box) as port, Mailing(at(port)) as mailing:
        assert mailing.send(mail(text=text)).outcome is SENT
    (came,) = box.texts
    assert came == mail(text=text).as_bytes()
    read = message_from_bytes(came, policy=policy.default)
    assert isinstance(read, EmailMessage)
    assert read.get_content().replace("\r\n", "\n") == text + "\n"


def test_no_server_stops_the_run_at_once() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
        with pytest.raises(SendingStopped, match="not to be had") as told, Mailing(at(port)):
            pass
    assert isinstance(told.value, WellbookError)
    assert str(told.value).startswith(f"mail server 127.0.0.1:{port}: ")
    assert "\n" not in str(told.value)


def test_a_server_that_never_greets_stops_the_run() -> None:
    with socket.create_server(("127.0.0.1", 0)) as mute:
        server = at(mute.getsockname()[1], timeout_s=0.3)
        with pytest.raises(SendingStopped, match="timed out"), Mailing(server):
            pass


def test_a_name_that_is_none_stops_the_run() -> None:
    for host in ("mail.invalid", "a" * 70 + ".example", "", "a\nb"):
        server = MailServer(host, 25, Security.NONE, timeout_s=5.0)
        with pytest.raises(SendingStopped) as told, Mailing(server):
            pass
        assert "\n" not in str(told.value)


def test_a_server_gone_for_good_stops_the_run_before_anything_is_handed_over() -> None:
    box = Box(text={ODD: CLOSE})
    with serving(box) as port:
        mailing = Mailing(at(port)).__enter__()
        assert mailing.send(mail()).outcome is SENT
        assert mailing.send(mail(ODD)).outcome is IN_DOUBT
    with pytest.raises(SendingStopped):
        mailing.send(mail())
    assert len(box.texts) == 2


def test_an_idle_line_that_was_lost_costs_nothing() -> None:
    box = Box()
    with serving(box) as port, Mailing(at(port)) as mailing:
        assert mailing.send(mail()).outcome is SENT
        line = mailing._line
        assert line is not None
        assert line.sock is not None
        line.sock.shutdown(socket.SHUT_RDWR)
        assert mailing.send(mail()).outcome is SENT
    assert box.lines_opened == 2


# -- private lines and logging in ----------------------------------------------------------------


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


@pytest.fixture
def context(
    authority: trustme.CA, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> ssl.SSLContext:
    """The server's side, with a certificate that this machine trusts for the length of the test."""
    made = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert("127.0.0.1").configure_cert(made)
    kept = tmp_path / "authority.pem"
    authority.cert_pem.write_to_path(kept)
    monkeypatch.setenv("SSL_CERT_FILE", str(kept))
    monkeypatch.setenv("WELLBOOK_SMTP_PASSWORD", PASSWORD)
    return made


@pytest.mark.parametrize("security", [Security.STARTTLS, Security.TLS])
def test_a_private_line_with_a_login(context: ssl.SSLContext, security: Security) -> None:
    box = Box()
    with serving(box, context=context, tls_first=security is Security.TLS) as port:
        with Mailing(at(port, security, user="desk")) as mailing:
            assert mailing.send(mail()).outcome is SENT
        assert len(box.texts) == 1


def test_a_wrong_password_stops_the_run(
    context: ssl.SSLContext, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_SMTP_PASSWORD", "guess")
    with (
        serving(Box(), context=context) as port,
        pytest.raises(SendingStopped, match="does not let 'desk' in: 535") as told,
        Mailing(at(port, Security.STARTTLS, user="desk")),
    ):
        pass
    assert "guess" not in str(told.value)


def test_a_certificate_that_proves_nothing_stops_the_run(
    context: ssl.SSLContext, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    other = tmp_path / "other.pem"
    trustme.CA().cert_pem.write_to_path(other)
    monkeypatch.setenv("SSL_CERT_FILE", str(other))
    with (
        serving(Box(), context=context) as port,
        pytest.raises(SendingStopped, match="certificate"),
        Mailing(at(port, Security.STARTTLS)),
    ):
        pass


@pytest.mark.parametrize(
    ("security", "said"), [(Security.STARTTLS, "STARTTLS"), (Security.TLS, "does not speak TLS")]
)
def test_a_server_without_a_private_line_is_never_sent_to_in_the_open(
    context: ssl.SSLContext, security: Security, said: str
) -> None:
    box = Box()
    with (
        serving(box) as port,
        pytest.raises(SendingStopped, match=said),
        Mailing(at(port, security, user="desk")),
    ):
        pass
    assert not box.texts


@pytest.mark.parametrize(
    ("security", "password", "said"),
    [
        (Security.NONE, PASSWORD, "does not go over an open line"),
        (Security.STARTTLS, "", "put it into WELLBOOK_SMTP_PASSWORD"),
        (Security.STARTTLS, "pässwört", "ASCII"),
    ],
)
def test_a_login_that_cannot_be_made(
    context: ssl.SSLContext,
    monkeypatch: pytest.MonkeyPatch,
    security: Security,
    password: str,
    said: str,
) -> None:
    monkeypatch.setenv("WELLBOOK_SMTP_PASSWORD", password)
    with (
        serving(Box(), context=context) as port,
        pytest.raises(SendingStopped, match=said),
        Mailing(at(port, security, user="desk")),
    ):
        pass
