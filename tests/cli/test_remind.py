"""`wellbook remind` as a user meets it, on the demo book: nobody is bothered twice."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from reminding import Reminding

from wellbook.reminders import sending
from wellbook.store.book import open_book
from wellbook.store.outbox import in_doubt

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Reminding:
    return Reminding(capsys)


def _going(run: Reminding, *words: str) -> int:
    """How many would go out now."""
    found = run.json("remind", *words)["notices"]
    return sum(not n["why_not"] and not n["still_to_call"] for n in found)


def test_looking_writes_nothing(run: Reminding, shop: Path) -> None:
    before = run.fine("remind")
    assert before.endswith("Nothing was sent. To make them: wellbook remind --send\n")
    assert run.fine("remind") == before
    with open_book(shop).reading() as connection:
        assert not in_doubt(connection)


def test_each_is_told_once_by_his_own_way(run: Reminding, tmp_path: Path) -> None:
    made = run.settle_in(tmp_path)
    run.fine("customer", "edit", "venterick", "--remind-by", "postcard")
    run.fine("customer", "edit", "ravenhale", "--remind-by", "call")
    going = run.fine("remind")
    assert re.search(r"^postcard +Orla Venterick", going, re.MULTILINE)
    assert re.search(r"^call +Jory Ravenhale · 555-0112", going, re.MULTILINE)
    count = {way: _going(run, "--by", way) for way in ("letter", "postcard", "call")}
    said = run.fine("remind", "--send", "--to", str(made), "--by", "letter")
    assert f"{count['letter']} messages on paper" in said
    run.fine("remind", "--send", "--to", str(made), "--by", "postcard")
    said = run.fine("remind", "--send", "--to", str(made), "--by", "call")
    assert "555-0112  Jory Ravenhale" in said
    assert sorted(f.name for f in made.iterdir()) == [
        "calls-2026-11-25.txt", "reminders-2026-11-25-2.pdf", "reminders-2026-11-25.pdf",
    ]  # fmt: skip
    assert (made / "reminders-2026-11-25.pdf").read_bytes().startswith(b"%PDF")
    # Nobody is told again; who has to be rung waits for the call.
    again = run.fine("remind")
    assert "STILL TO CALL" in again
    assert f"{count['call']} still to call" in again
    assert {way: _going(run, "--by", way) for way in count} == dict.fromkeys(count, 0)
    run.fine("contact", "TF-0014", "--told", "--by", "phone")
    assert "Ravenhale" not in run.fine("remind")


def test_a_file_that_is_there_is_never_written_over(run: Reminding, tmp_path: Path) -> None:
    made = run.settle_in(tmp_path)
    for town in ("Ambelow", "dravel"):
        run.fine("remind", "--send", "--to", str(made), "--town", town, "--by", "letter")
    assert sorted(f.name for f in made.iterdir()) == [
        "reminders-2026-11-25-2.pdf", "reminders-2026-11-25.pdf",
    ]  # fmt: skip


def test_who_is_not_told_is_shown_with_the_reason(run: Reminding) -> None:
    run.fine("customer", "consent", "venterick", "post", "no", "--how", "on the phone")
    run.fine("customer", "edit", "mossiter", "--remind-by", "email")
    out = run.fine("remind")
    assert "said no to post on 2026-11-25 (on the phone)" in out
    assert "has not agreed to e-mail yet" in out
    why = {n["customer"]: n["why_not"] for n in run.json("remind")["notices"]}
    assert why["Orla Venterick"] == "said no to post on 2026-11-25 (on the phone)"
    assert why["Corvin Mossiter"] == "has not agreed to e-mail yet"


def test_a_shop_without_an_address_sends_nothing(run: Reminding, tmp_path: Path) -> None:
    for name in ("name", "address", "phone"):
        run.fine("shop", "set", name, "default")
    said = run.refused("remind", "--send", "--to", str(tmp_path), "--by", "letter")
    assert 'name, address, phone; say it: wellbook shop set name "..."' in said


def test_letters_wait_for_no_mail_server(run: Reminding, tmp_path: Path) -> None:
    made = run.settle_in(tmp_path)
    run.fine("shop", "set", "mail_server", "default")
    status, out, err = run("remind", "--send", "--to", str(made), "--town", "Ambelow")
    assert status == 2
    assert "Print and post" in out
    assert [f.suffix for f in made.iterdir()] == [".pdf"]
    assert "1 left for another run: messages need the shop's mail server" in err
    assert err.count("\n") == 1
    # The letters are told; the e-mail is still to go.
    assert "1 email" in run.fine("remind", "--town", "Ambelow")


WRONG: list[tuple[list[str], int, str]] = [
    (["--send", "--to", "nowhere"], 2, "nowhere: is no folder"),
    (["--to", "x"], 2, "--to: goes with --send"),
    (["--by", "pigeon"], 2, "letter, postcard, email, call"),
    (["--by", "none"], 2, "letter, postcard, email, call"),
    (["--town", "Nowhere"], 1, "no well is in 'Nowhere'; there are: Ambelow"),
    (["--went", "5"], 1, "there is no message 5; wellbook remind shows those in doubt"),
    (["--went", "x"], 2, "--went: 'x' is no number"),
    (["--did-not-go", "9-3"], 2, "--did-not-go: '9-3' is no number"),
    (["--went", "1-999999"], 2, "is no number"),
    (["--went", "5", "--send"], 2, "--went: goes without --send"),
    (["--did-not-go", "5", "--town", "Dravel"], 2, "--did-not-go: goes without --town"),
]


@pytest.mark.parametrize(("words", "status", "says"), WRONG, ids=str)
def test_a_slip_is_one_clear_line(
    run: Reminding, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], status: int,
    says: str,
) -> None:  # fmt: skip
    run.settle_in(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert says in run.refused("remind", *words, status=status)


def test_a_folder_in_which_nothing_may_be_written(
    run: Reminding, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = run.settle_in(tmp_path)
    monkeypatch.setattr("os.access", lambda *_: False)
    said = run.refused("remind", "--send", "--to", str(made))
    assert f"{made}: nothing may be written there" in said
    assert _going(run)


def test_what_was_sent_is_not_told_in_json(run: Reminding) -> None:
    status, out, _ = run("remind", "--send", "--json")
    assert status == 2
    assert "goes without --send" in out
    assert _going(run)


@pytest.fixture
def interrupted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while the letters are drawn."""

    def stop(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("wellbook.paper.mail.draw_mail", stop)


@pytest.mark.usefixtures("interrupted")
def test_stopped_before_the_file_is_there_nothing_was_sent(run: Reminding, tmp_path: Path) -> None:
    made, going = run.settle_in(tmp_path), _going(run)
    status, out, err = run("remind", "--send", "--to", str(made))
    assert (status, out) == (130, "")
    assert err == (
        f"wellbook: stopped; of {going} messages made: 0; not sent, and left for another run:"
        f" {going}\n"
    )
    assert _going(run) == going
    assert not list(made.iterdir())


def test_stopped_when_the_file_is_there_it_is_in_doubt_and_is_settled(
    run: Reminding, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = run.settle_in(tmp_path)
    mark = sending._mark

    def stop(*_: Any, **__: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(sending, "_mark", stop)
    status, _, err = run("remind", "--send", "--to", str(made), "--by", "letter")
    assert status == 130
    said = re.search(r"in doubt: (\d+)-(\d+) \(wellbook remind shows how to say\)", err)
    assert said, err
    first, last = int(said[1]), int(said[2])
    monkeypatch.setattr(sending, "_mark", mark)
    shown = run.fine("remind")
    assert "reminders-2026-11-25.pdf is there" in shown
    numbers = f"{first}-{last}"
    assert f"wellbook remind --went {numbers}, or --did-not-go {numbers}; nothing of it" in shown
    assert f"{last - first + 1} in doubt" in shown
    run.fine("remind", "--went", f"{first}-{last - 3},{last}", "--did-not-go", str(last - 1))
    left = run.fine("remind", "--by", "letter")
    # The hint names what is in doubt, and nothing between.
    assert f"--went {last - 2}, or --did-not-go {last - 2};" in left
    assert re.search(r"^1 letter, .*1 in doubt$", left, re.MULTILINE)
    assert f"message {first} is not in doubt: it is marked 'made'" in run.refused(
        "remind", "--went", str(first)
    )


def test_one_wrong_number_settles_none(run: Reminding, tmp_path: Path) -> None:
    made = run.settle_in(tmp_path)
    run.fine("remind", "--send", "--to", str(made), "--by", "letter")
    assert "not in doubt" in run.refused("remind", "--did-not-go", "1")
    assert "not in doubt" in run.refused("remind", "--went", "1-3", "--did-not-go", "4")
