"""`wellbook remind --send` as a whole, through a real mail server; and killed while it sends."""

from __future__ import annotations

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
from collections import Counter
from email import message_from_bytes, policy
from functools import partial
from pathlib import Path
from typing import Any

import pypdf
import pytest
from mail_server import CLOSE, SILENT, Box, serving
from reminder_book import TODAY, begin, customer

from wellbook import cli
from wellbook.reminders import smtp
from wellbook.store.book import Book, open_book
from wellbook.store.outbox import in_doubt
from wellbook.store.shop import say_of_shop
from wellbook.terms import ContactWay


def people(book: Book, count: int, port: int, letters: int = 0) -> list[str]:
    """Customers who are written to by e-mail; their addresses. `letters` more by letter."""
    begin(book)
    with book.writing() as connection:
        say_of_shop(connection, "me", "mail_port", str(port))
    addresses = [f"c{n}@x.example" for n in range(count)]
    for n, address in enumerate(addresses):
        how = {"remind_by": "email", "email": address}
        customer(book, f"Ada {n:03d}", f"E-{n}", agreed=ContactWay.EMAIL, **how)
    for n in range(letters):
        customer(book, f"Ben {n}", f"L-{n}")
    return addresses


def arrived(box: Box) -> Counter[str]:
    """How often each address got a mail."""
    mails = [message_from_bytes(text, policy=policy.default) for text in box.texts]
    return Counter(mail["To"].addresses[0].addr_spec for mail in mails)


@pytest.fixture
def send(
    file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> partial[tuple[int, str, str]]:  # fmt: skip
    """Runs the command on the book of the test."""
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.setenv("WELLBOOK_BOOK", file_book.name)
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> tuple[int, str, str]:
        status = cli.run(["remind", *words])
        said = capsys.readouterr()
        return status, said.out, said.err

    return partial(run)


def test_a_bad_address_in_the_middle_of_a_hundred_is_the_only_one(
    file_book: Book, send: partial[tuple[int, str, str]]
) -> None:
    # RFC 5321, section 4.2.2: 550 says that there is no such mailbox.
    bad = "c50@x.example"
    box = Box(rcpt={bad: "550 no such user here"})
    with serving(box) as port:
        everybody = set(people(file_book, 100, port))
        status, out, err = send("--send")
        assert (status, err) == (0, "")
        assert "99 messages by e-mail" in out
        assert re.findall("refused: message .*", out) == [
            "refused: message 51: 550 no such user here"
        ]
        assert arrived(box) == Counter(everybody - {bad})
        _, out, _ = send()
        assert f"{bad} was refused before: 550 no such user here" in out
        assert "1 not told" in out
        assert send("--send")[1] == "nothing is to be told to anybody now\n"
    assert len(box.texts) == 99


def test_no_server_is_one_line_and_the_letters_are_made(
    file_book: Book, send: partial[tuple[int, str, str]], tmp_path: Path
) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    people(file_book, 3, port, letters=2)
    status, out, err = send("--send")
    assert status == 2
    assert "2 messages on paper" in out
    assert (tmp_path / f"reminders-{TODAY}.pdf").exists()
    assert err.startswith(f"wellbook: mail server 127.0.0.1:{port}: is not to be had")
    assert err.count("\n") == 1
    # Nothing is lost, and nothing is in doubt.
    _, out, _ = send()
    assert "3 emails" in out
    assert "doubt" not in out


def test_letters_of_two_runs_at_once_stand_in_two_files(
    file_book: Book,
    send: partial[tuple[int, str, str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The second run begins when the first has its file's name and has not drawn it yet."""
    from wellbook.paper import mail

    people(file_book, 0, 25, letters=2)
    customer(file_book, "Cid", "C-1", remind_by="postcard")
    draw, second = mail.draw_mail, []

    def slowly(*args: Any) -> Any:
        monkeypatch.setattr(mail, "draw_mail", draw)
        second.append(send("--send", "--by", "postcard")[1])
        return draw(*args)

    monkeypatch.setattr(mail, "draw_mail", slowly)
    _, out, err = send("--send", "--by", "letter")
    assert err == ""
    assert f"Print and post: reminders-{TODAY}-2.pdf\n" in second[0]
    assert f"Print and post: reminders-{TODAY}.pdf\n" in out
    pages = {p.name: len(pypdf.PdfReader(p).pages) for p in tmp_path.glob("*.pdf")}
    assert pages == {f"reminders-{TODAY}.pdf": 2, f"reminders-{TODAY}-2.pdf": 2}


@pytest.mark.parametrize("how", [CLOSE, SILENT])
def test_no_answer_after_the_text_is_in_doubt_and_settled_by_hand(
    file_book: Book, send: partial[tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    monkeypatch.setattr(smtp, "MailServer", partial(smtp.MailServer, timeout_s=1.0))
    lost = "c1@x.example"
    box = Box(text={lost: how})
    with serving(box) as port:
        people(file_book, 3, port)
        _, out, _ = send("--send")
        assert "2 messages by e-mail" in out
        assert "in doubt; look before you say --went or --did-not-go: message 2:" in out
        _, out, _ = send()
        assert "wellbook remind --went 2, or --did-not-go 2; nothing of it is sent again" in out
        # Nothing is sent again by itself, and it is not forgotten.
        assert "wellbook remind --went 2, or --did-not-go 2;" in send("--send")[1]
        assert arrived(box)[lost] == 1
        box.answers.clear()
        assert send("--did-not-go", "2")[0] == 0
        send("--send")
    assert arrived(box) == {"c0@x.example": 1, lost: 2, "c2@x.example": 1}


class Killing(Box):
    """One that kills who sends, at a message: before it is kept, or after."""

    def __init__(self, at: int, *, kept: bool, how: signal.Signals = signal.SIGKILL) -> None:
        super().__init__()
        self.at, self.kept, self.how = at, kept, how
        self.victim = 0

    async def answer(self, _server: object, step: str, address: str, usual: str) -> str:  # type: ignore[override]
        wanted = "text" if self.kept else "data"
        if self.victim and step == wanted and address == f"c{self.at}@x.example":
            os.kill(self.victim, self.how)
        return usual


def _sending(file_book: Book, folder: Path) -> subprocess.Popen[str]:
    environment = {
        **os.environ,
        "WELLBOOK_TODAY": TODAY.isoformat(),
        "WELLBOOK_WHO": "Ida",
        "WELLBOOK_BOOK": file_book.name,
        "PYTHONUTF8": "1",
    }
    command = [sys.executable, "-m", "wellbook", "remind", "--send", "--to", str(folder)]
    return subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("kept", [False, True], ids=["before it is kept", "after"])
@pytest.mark.parametrize("at", [0, 3, 7])
def test_a_process_that_is_killed_has_sent_once_or_is_in_doubt(
    file_book: Book, tmp_path: Path, at: int, kept: bool
) -> None:
    box = Killing(at, kept=kept)
    with serving(box) as port:
        everybody = set(people(file_book, 8, port))
        with _sending(file_book, tmp_path) as process:
            box.victim = process.pid
            process.communicate(timeout=120)
        assert process.returncode == -signal.SIGKILL
        box.victim = 0
        with sqlite3.connect(file_book.name) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        connection.close()
        with open_book(file_book.name).reading() as connection:
            doubtful = {row["address"] for row in in_doubt(connection)}
        assert doubtful == {f"c{at}@x.example"}
        with _sending(file_book, tmp_path) as process:
            process.communicate(timeout=120)
        assert process.returncode == 0
    got = arrived(box)
    assert set(got.values()) == {1}, "sent twice"
    assert everybody - set(got) <= doubtful


@pytest.mark.skipif(sys.platform == "win32", reason="no signals there")
def test_stopped_by_hand_it_says_what_was_sent_and_what_is_in_doubt(
    file_book: Book, tmp_path: Path
) -> None:
    box = Killing(2, kept=True, how=signal.SIGINT)
    with serving(box) as port:
        people(file_book, 6, port)
        with _sending(file_book, tmp_path) as process:
            box.victim = process.pid
            _, err = process.communicate(timeout=120)
    assert process.returncode == 130
    # The signal comes while the server's answer is awaited, or just after it.
    said = re.search(
        r"stopped; of 6 messages made: (\d)(?:; in doubt: (\d) [^;]*)?; not sent, and left for"
        r" another run: (\d)\n",
        err,
    )
    assert said, err
    made, doubtful, left = int(said[1]), int(bool(said[2])), int(said[3])
    assert made + doubtful + left == 6
    assert made >= 2
    assert len(box.texts) == made + doubtful
    assert "Traceback" not in err
