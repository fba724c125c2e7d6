"""`wellbook attach` and `wellbook files`, as a user meets them."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import Commands

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Commands:
    """Commands in a folder with a photograph and a log."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    Path("head.jpg").write_bytes(b"\xff\xd8\xff\xe0 the shed")
    Path("log 1987.txt").write_text("0 to 12 ft clay\n")
    return Commands(capsys)


def test_files_are_attached_seen_copied_out_and_taken_off(run: Commands) -> None:
    said = run.fine("attach", "TF-0031", "head.jpg", "log 1987.txt", "--note", "from the  owner")
    assert said.splitlines() == [
        "TF-0031  no. 1, head.jpg, 13 bytes: from the owner (JPEG picture)",
        "TF-0031  no. 2, log 1987.txt, 16 bytes: from the owner (text)",
    ]
    assert "FILES    2: log 1987.txt, head.jpg\n" in run.fine("hole", "TF-0031")
    history = run.fine("history", "TF-0031")
    assert "2026-11-25     file: no. 2, log 1987.txt, 16 bytes: from the owner\n" in history
    shape = run.json("hole", "TF-0031")["files"]
    assert set(shape[0]) == {
        "well", "number", "uid", "name", "media_type", "size_bytes", "sha256", "note", "visit_uid",
        "added_on", "added_by",
    }  # fmt: skip
    assert run.json("files", "list", "TF-0031")["files"] == shape
    assert run.json("files", "list")["schema"] == {"name": "wellbook.files", "version": 1}
    # What is here already stays.
    assert run.fine("files", "get", "1") == "TF-0031  head.jpg: head-2.jpg\n"
    assert Path("head-2.jpg").read_bytes() == Path("head.jpg").read_bytes()
    assert run.fine("files", "get", "2", "--to", "x.txt") == "TF-0031  log 1987.txt: x.txt\n"
    assert "taken off" in run.fine("files", "off", "1", "--because", "of another place")
    assert "FILES    1: log 1987.txt\n" in run.fine("hole", "TF-0031")
    assert "1 file of no well" in run.fine("files", "check")
    assert run.json("files", "check", "--sweep")["swept"] == 1
    assert run.fine("files", "check") == "1 file there and whole\n"


def test_a_file_of_a_visit_stands_with_it_in_the_history(run: Commands) -> None:
    visit = next(v for v in run.json("hole", "TF-0031")["visits"] if v["kind"] == "visit")
    run.fine("attach", "TF-0031", "head.jpg", "--visit", str(visit["number"]))
    entries = run.json("history", "TF-0031")["entries"]
    (with_it,) = [e for e in entries if e["number"] == visit["number"] and e["what"] == "sheet"]
    assert {"word": "file", "text": "no. 1, head.jpg, 13 bytes"} in with_it["details"]
    assert not [e for e in entries if e["what"] == "file"]


def test_what_is_attached_again_says_so(run: Commands) -> None:
    run.fine("attach", "TF-0031", "head.jpg")
    again = run.json("attach", "TF-0031", "head.jpg", "--note", "the shed")
    assert [(f["new"], f["changed"], f["note"]) for f in again["files"]] == [
        (False, True, "the shed")
    ]
    assert "is there already, nothing changed" in run.fine("attach", "TF-0031", "head.jpg")


def test_one_that_cannot_be_kept_keeps_all_of_them_out(run: Commands) -> None:
    assert run.refused("attach", "TF-0031", "head.jpg", "none.jpg").startswith("wellbook: none.jpg")
    assert run.refused("files", "list", status=1) == (
        "wellbook: no file is attached; attach one: wellbook attach WELL FILE\n"
    )
    assert run.json("files", "check")["nobodys"] == []


def test_what_is_gone_or_changed_is_said_in_one_line(run: Commands, shop: Path) -> None:
    (made,) = run.json("attach", "TF-0031", "head.jpg")["files"]
    kept = shop.with_name(f"{shop.name}.files") / made["sha256"][:2] / made["sha256"]
    kept.write_bytes(b"other")
    assert "the file is changed; put" in run.refused("files", "get", "1", "--to", "new.jpg")
    assert not Path("new.jpg").exists()
    status, out, err = run("files", "check")
    assert (status, err) == (1, "")
    assert out.splitlines()[0] == "TF-0031  no. 1, head.jpg, 13 bytes: CHANGED"
    kept.unlink()
    assert "the file is gone; put" in run.refused("files", "get", "1")
    # The same file attached again is whole again.
    run.fine("attach", "TF-0031", "head.jpg")
    assert run("files", "check")[0] == 0


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["attach", "TF-9999", "head.jpg"], 1, "WELL: no well has the tag"),
        (["attach", "TF-0031"], 2, "Missing argument"),
        (["attach", "TF-0031", "."], 2, "is a folder; name the files in it"),
        (["attach", "TF-0031", "head.jpg", "--visit", "x"], 2, "--visit: 'x' is no number"),
        (["attach", "TF-0031", "head.jpg", "--visit", "999999"], 1, "no visit has the number"),
        (["attach", "TF-0092", "head.jpg", "--visit", "1"], 1, "--visit: visit 1 is of another"),
        (["files", "get", "7"], 1, "NO: no file has the number 7"),
        (["files", "get", "x"], 2, "NO: 'x' is no number of a file"),
        (["files", "off", "99999999999"], 2, "is no number of a file"),
        (["files", "list", "TF-9999"], 1, "WELL: no well"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    run: Commands, words: list[str], status: int, says: str
) -> None:
    assert says in run.refused(*words, status=status)


def test_a_folder_to_copy_into_that_is_not_there(run: Commands) -> None:
    run.fine("attach", "TF-0031", "head.jpg")
    assert "no such file" in run.refused("files", "get", "1", "--to", "none/x.jpg").lower()
