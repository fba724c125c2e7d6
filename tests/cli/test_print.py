"""`wellbook print`: where the file is, several wells in one, and what cannot be printed or shown."""

from __future__ import annotations

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


def test_a_label_says_nothing_of_the_customer(folder: Path, said: Said) -> None:
    assert cli.run(["print", "label", "TF-0031", "--roll", "--phone", "555-0100"]) == 0
    assert text_of(folder / "TF-0031-label.pdf") == "TF-0031 555-0100"
    said()


def test_a_number_that_no_tag_has_room_for_is_refused(folder: Path, said: Said) -> None:
    assert cli.run(["print", "label", "TF-0031", "--phone", "5" * 60]) == 2
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
