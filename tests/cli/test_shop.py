"""`wellbook shop` and the consent of customers as a user meets them, on the demo book."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from reminding import Reminding

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Reminding:
    return Reminding(capsys)


def test_what_it_says_of_itself(run: Reminding) -> None:
    run.fine("shop", "set", "address", "default")
    assert "address        not said" in run.fine("shop", "show")
    said = run.fine("shop", "set", "Time-Zone", "America/Chicago")
    assert said.startswith("time_zone      America/Chicago  ·")
    assert run.json("shop", "show")["shop"]["time_zone"] == "America/Chicago"
    assert "not said" in run.fine("shop", "set", "time_zone", "default")


WRONG = [
    (["set", "adress", "x"], "a shop has no 'adress'; it has: name, address"),
    (["set", "email", "me"], "email: 'me' is no e-mail address"),
    (["set", "place", "here"], "write latitude and longitude"),
    (["set", "mail_security", "ssl"], "none, starttls, tls"),
    (["letter"], "say which: letter, postcard, email, call"),
    (["letter", "fax"], "'fax' is no letter"),
    (["letter", "letter", "--from", "nowhere.txt"], "nowhere.txt: no such file"),
    (["letter", "letter", "--from", "a.txt", "--default"], "give one of --from and --default"),
]


@pytest.mark.parametrize(("words", "says"), WRONG, ids=str)
def test_a_slip_is_one_clear_line(
    run: Reminding, words: list[str], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert says in run.refused("shop", *words)


def test_the_shops_own_words_are_taken_shown_and_dropped(run: Reminding, tmp_path: Path) -> None:
    own = run.fine("shop", "letter", "letter")
    words = tmp_path / "letter.txt"
    words.write_text(own.replace("Subject: ", "Subject: Hello, "), "utf-8")
    assert "the shop’s own" in run.fine("shop", "letter", "letter", "--from", str(words))
    assert run.fine("shop", "letter", "letter") == words.read_text("utf-8")
    assert "the program’s own" in run.fine("shop", "letter", "letter", "--default")
    assert run.fine("shop", "letter", "letter") == own


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("no subject\n\nx", "line 1: the first line is 'Subject: ...'"),
        ("Subject: x\n\n{{ shop.nme }}", "line 3: there is no field 'nme'"),
        ("Subject: x\n\n{% for one in told %}\n", "line"),
        ("Subject: x\n\nsome words", "shop"),
    ],
)
def test_words_that_would_not_work_are_refused_and_the_old_stay(
    run: Reminding, monkeypatch: pytest.MonkeyPatch, text: str, says: str
) -> None:
    before = run.fine("shop", "letter", "letter")
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert says in run.refused("shop", "letter", "letter", "--from", "-")
    assert run.fine("shop", "letter", "letter") == before


def test_a_file_that_is_no_text(run: Reminding, tmp_path: Path) -> None:
    (tmp_path / "x.pdf").write_bytes(b"%PDF\xff\xfe")
    assert "is no text in UTF-8" in run.refused(
        "shop", "letter", "letter", "--from", str(tmp_path / "x.pdf")
    )


def test_a_yes_and_a_no_stand_on_the_customers_card(run: Reminding) -> None:
    run.fine("customer", "consent", "venterick", "e-mail", "Yes", "--how", "ticked it on the sheet")
    assert run.fine("customer", "consent", "venterick", "letter", "no") == (
        "customer 33 said no to post on 2026-11-25\n"
    )
    card = run.fine("customer", "show", "venterick")
    assert "said yes to email on 2026-11-25 (ticked it on the sheet)" in card
    assert "said no to post on 2026-11-25" in card


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["venterick", "fax", "yes"], 2, "phone, email, post"),
        (["venterick", "email", "maybe"], 2, "neither yes nor no"),
        (["venterick", "email", "yes"], 2, "--how: a yes needs to say how it was given"),
        (["venterick", "email", "no", "--on", "2027-01-01"], 2, "lies ahead"),
        (["nobody", "email", "no"], 1, "no customer fits 'nobody'"),
    ],
)
def test_a_consent_that_cannot_be_is_refused(
    run: Reminding, words: list[str], status: int, says: str
) -> None:
    assert says in run.refused("customer", "consent", *words, status=status)
