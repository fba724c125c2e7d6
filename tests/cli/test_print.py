"""`wellbook print`: where the file is, several wells in one, and what cannot be printed or shown."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")
Said = Callable[[], str]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to print into."""
    made = tmp_path / "prints"
    made.mkdir()
    monkeypatch.chdir(made)
    return made


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str]) -> Said:
    """What was said on standard error since; nothing ever goes to standard output."""

    def read() -> str:
        out, err = capsys.readouterr()
        assert out == ""
        return err.strip()

    return read


def text_of(path: Path) -> str:
    return " ".join(" ".join(p.extract_text().split()) for p in pypdf.PdfReader(path).pages)


def test_it_says_where_the_file_is_and_how_many_pages_it_has(folder: Path, said: Said) -> None:
    assert cli.run(["print", "hole", "TF-0031"]) == 0
    assert said() == "wellbook: 5 pages for TF-0031 in TF-0031-hole.pdf"
    assert "TF-0031 · Orla Venterick" in text_of(folder / "TF-0031-hole.pdf")


@pytest.mark.parametrize("what", ["hole", "sheet", "label"])
def test_several_wells_are_one_file_each_once(what: str, folder: Path, said: Said) -> None:
    words = ["print", what, "TF-0031", "orla 0131", "TF-0062"]
    assert cli.run(words) == 0
    assert "for 2 wells in TF-0031-and-1-more" in said()
    text = text_of(folder / f"TF-0031-and-1-more-{what}.pdf")
    assert "TF-0031" in text and "TF-0062" in text


def of_shop(*facts: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    for name, value in facts:
        assert cli.run(["shop", "set", name, value]) == 0
    capsys.readouterr()


def test_a_label_says_nothing_of_the_customer(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(("name", "Three Forks"), ("phone", "555-0123"), capsys=capsys)
    assert cli.run(["print", "label", "TF-0031", "--roll"]) == 0
    assert text_of(folder / "TF-0031-label.pdf") == "TF-0031 Three Forks 555-0123"
    said()


def test_a_number_that_no_tag_has_room_for_is_refused(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(("phone", "5" * 60), capsys=capsys)
    assert cli.run(["print", "label", "TF-0031"]) == 2
    assert "too long for a number on a tag" in said()
    assert list(folder.iterdir()) == []


def test_a_sheet_for_a_pull_begins_with_what_waited(folder: Path, said: Said) -> None:
    assert cli.run(["print", "sheet", "TF-0031", "--opens", "--to", "pull.pdf"]) == 0
    assert "FOR THIS PULL" in text_of(folder / "pull.pdf")
    assert said().endswith("in pull.pdf")


def test_a_well_that_is_not_there_prints_nothing_of_the_others(folder: Path, said: Said) -> None:
    assert cli.run(["print", "hole", "TF-0031", "TF-9999"]) != 0
    assert "TF-9999" in said()
    assert list(folder.iterdir()) == []


def test_a_file_that_is_no_pdf_is_refused_before_anything_is_read(
    folder: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(folder / "nowhere.book"))
    assert cli.run(["print", "hole", "TF-0031", "--to", "page.doc"]) == 2
    assert said() == "wellbook: --to: 'page.doc' is no name of a PDF; end it in .pdf"


def test_a_folder_that_is_not_there_leaves_nothing_half_written(folder: Path, said: Said) -> None:
    assert cli.run(["print", "label", "TF-0031", "--to", "gone/tag.pdf"]) != 0
    assert said() == "wellbook: gone/tag.pdf: no such file or directory"
    assert list(folder.iterdir()) == []


def test_a_file_in_the_way_is_replaced_whole(folder: Path, said: Said) -> None:
    (folder / "tag.pdf").write_text("old")
    assert cli.run(["print", "label", "TF-0031", "--to", "tag.pdf"]) == 0
    assert "TF-0031" in text_of(folder / "tag.pdf")
    assert [path.name for path in folder.iterdir()] == ["tag.pdf"]
    said()


def test_letters_that_the_print_lacks_are_named(folder: Path, said: Said) -> None:
    assert cli.run(["well", "edit", "TF-0031", "--notes", "井戸 behind the barn"]) == 0
    said_of = cli.run(["print", "hole", "TF-0031"])
    assert said_of == 0
    assert "□□ behind the barn" in text_of(folder / "TF-0031-hole.pdf")


def test_paper_shows_what_was_said_to_the_customer(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["contact", "TF-0031", "--booked", "2026-12-03", "--about", "check-up"]) == 0
    capsys.readouterr()
    for what in ("hole", "sheet"):
        assert cli.run(["print", what, "TF-0031"]) == 0
        assert "said booked for 2026-12-03: check-up" in text_of(folder / f"TF-0031-{what}.pdf")
    said()


# -- the check-up list ----------------------------------------------------------------------------


def stops_of(text: str) -> list[str]:
    """The tags of the stops on the summary, in their order."""
    return re.findall(r"reach (?:\S+|no number) · (TF-\d+)", text)


def test_the_list_has_the_stops_of_the_screen_in_its_order(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["--month", "2027-03", "--days", "2", "--per-day", "3"]
    assert cli.run(["checkups", *asked, "--json"]) == 0
    shape = json.loads(capsys.readouterr().out)
    listed = [stop for day in shape["days"] for stop in day["stops"]] + shape["left_over"]
    assert cli.run(["print", "list", *asked]) == 0
    assert re.fullmatch(r"wellbook: \d+ pages for 6 stops in checkups-2027-03.pdf", said())
    text = text_of(folder / "checkups-2027-03.pdf")
    summary = text.partition("MIND")[0]
    assert stops_of(summary) == [stop["wells"][0] for stop in listed]
    assert "Day 1 · 3 stops · " in summary and "Day 2 · 3 stops · " in summary
    assert f"{len(shape['left_over'])} more are due and find no room" in summary
    # Text is broken into rows between words, so that both are read without their blanks.
    flat = "".join(summary.split())
    assert all("".join(remark.split()) in flat for remark in shape["not_known"])
    for number in ("1.1", "1.2", "1.3", "2.1", "2.2", "2.3"):
        assert f" {number} · " in text


def test_a_month_that_is_over_prints_no_list(folder: Path, said: Said) -> None:
    assert cli.run(["print", "list", "--month", "2026-10"]) == 2
    assert said().startswith("wellbook: --month: 2026-10 is over")
    assert list(folder.iterdir()) == []


# -- papers ---------------------------------------------------------------------------------------


def test_a_paper_says_how_it_is_marked_as_sent_until_it_is(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["print", "paper", "TF-0092", "pump-report"]) == 0
    file, hint = said().splitlines()
    assert file == "wellbook: 2 pages for TF-0092 in TF-0092-pump_report-2026-08-25.pdf"
    told = hint.partition("to mark it as sent: wellbook ")[2].split()
    assert told[:4] == ["papers", "sent", "TF-0092", "pump_report"]
    assert cli.run([*told, "--to", "the county"]) == 0
    capsys.readouterr()
    assert cli.run(["print", "paper", "TF-0092", "pump_report"]) == 0
    assert said().endswith("sent before: 2026-11-25 to the county")


def test_a_paper_of_another_visit_is_named_by_its_number(folder: Path, said: Said) -> None:
    assert cli.run(["print", "paper", "TF-0031", "report"]) == 0
    number = said().rpartition(" ")[2]
    assert cli.run(["print", "paper", "TF-0031", "report", "--visit", number, "--to", "a.pdf"]) == 0
    newest = (folder / "TF-0031-report-2025-09-09.pdf").read_bytes()
    assert (folder / "a.pdf").read_bytes() == newest
    said()


@pytest.mark.parametrize(
    ("words", "status", "message"),
    [
        (["TF-0031", "sealing_record"], 1, "no visit at TF-0031 gives rise to a sealing record"),
        (["TF-0031", "laboratory_sheet"], 1, "the laboratory's sheet is the laboratory's own"),
        (["TF-0031", "invoice"], 2, "KIND: 'invoice' is not one of"),
        (["TF-0031", "report", "--visit", "last"], 2, "--visit: 'last' is no number of a visit"),
        (["TF-0031", "report", "--visit", "99999"], 1, "99999"),
        (["TF-9999", "report"], 1, "TF-9999"),
        (["TF-0031", "report", "--to", "a.txt"], 2, "--to: 'a.txt' is no name of a PDF"),
    ],
)
def test_a_paper_that_cannot_be_is_one_clear_line(
    words: list[str], status: int, message: str, folder: Path, said: Said
) -> None:
    assert cli.run(["print", "paper", *words]) == status
    line = said()
    assert message in line and "\n" not in line
    assert list(folder.iterdir()) == []


def test_a_statement_is_of_a_day(folder: Path, said: Said) -> None:
    assert cli.run(["print", "statement", "TF-0031", "--on", "2015-01-01"]) == 0
    text = text_of(folder / "TF-0031-statement.pdf")
    assert "Statement of recorded facts, 2015-01-01 · TF-0031" in text
    assert "It is no opinion on the condition" in text and "2018-08-30" not in text
    assert said().endswith("in TF-0031-statement.pdf")
    assert cli.run(["print", "statement", "TF-0031", "--on", "2031-01-01"]) == 2
    assert "lies ahead" in said()


NAMED = ("name", "Three Forks Pumps")

# -- letters --------------------------------------------------------------------------------------


def test_a_copy_of_a_letter_leaves_nothing_written(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(NAMED, capsys=capsys)
    assert cli.run(["remind", "--json"]) == 0
    before = capsys.readouterr().out
    assert cli.run(["print", "letter", "TF-0031"]) == 0
    assert said().endswith("for TF-0031 in TF-0031-letter-copy.pdf")
    text = text_of(folder / "TF-0031-letter-copy.pdf")
    assert "Dear Orla Venterick" in text and "TF-0031" in text
    assert cli.run(["remind", "--json"]) == 0
    assert capsys.readouterr().out == before


def test_a_customer_who_takes_cards_has_a_card(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(NAMED, capsys=capsys)
    assert cli.run(["customer", "edit", "Tamsin Hollisgate", "--remind-by", "postcard"]) == 0
    capsys.readouterr()
    assert cli.run(["print", "letter", "TF-0015"]) == 0
    assert said() == "wellbook: 2 pages for TF-0015 in TF-0015-letter-copy.pdf"
    page = pypdf.PdfReader(folder / "TF-0015-letter-copy.pdf").pages[0]
    assert (page.mediabox.width, page.mediabox.height) == (432, 288)


def test_where_nothing_is_to_be_told_it_says_so(folder: Path, said: Said) -> None:
    assert cli.run(["print", "letter", "TF-0001"]) == 1
    assert said() == "wellbook: TF-0001: nothing is to be told of it now (wellbook contact TF-0001)"
    assert cli.run(["print", "letter", "TF-0034"]) == 1
    assert "TF-0034: wants no reminders" in said()
    assert list(folder.iterdir()) == []


def test_of_several_wells_those_that_get_no_letter_are_named(
    said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(NAMED, capsys=capsys)
    assert cli.run(["print", "letter", "TF-0001", "TF-0031"]) == 0
    first, second = said().splitlines()
    assert first.startswith("wellbook: TF-0001: nothing is to be told")
    assert second.endswith("for TF-0031 in TF-0031-letter-copy.pdf")


def test_a_shop_without_an_address_writes_no_letter(
    folder: Path, said: Said, capsys: pytest.CaptureFixture[str]
) -> None:
    of_shop(NAMED, ("address", "default"), capsys=capsys)
    assert cli.run(["print", "letter", "TF-0031"]) == 2
    assert "messages need the shop's address" in said()
    assert list(folder.iterdir()) == []
