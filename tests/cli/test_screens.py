"""Lines on a narrow terminal: none is wider than it, and what belongs to a label hangs under its text."""

from __future__ import annotations

import sys
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from tests.cli.commands import Commands
from wellbook.cli import session
from wellbook.cli.index import COMMANDS
from wellbook.present.text import at_blanks

WIDTHS = (40, 60, 80)
words = st.text(st.sampled_from("abcé井9-,"), min_size=1, max_size=50)
lines = st.builds(
    lambda blanks, label, gap, text: f"{' ' * blanks}{label}{' ' * gap}{' '.join(text)}",
    st.integers(0, 6),
    words,
    st.integers(1, 12),
    st.lists(words, max_size=30),
)


def shown(line: str, width: int) -> list[str]:
    said: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(session, "screen_width", lambda: width)
        patch.setattr(
            "wellbook.present.screen.print_lines",
            lambda texts, _: said.extend(text.plain for text in texts),
        )
        session.show([line])
    return said


@pytest.mark.parametrize("width", WIDTHS)
@given(lines)
def test_no_line_is_wider_than_the_terminal(width: int, line: str) -> None:
    found = shown(line, width)
    assert all(cell_len(row) <= width for row in found)
    assert "".join("".join(found).split()) == "".join(line.split())


def test_what_is_labelled_goes_on_under_its_text() -> None:
    motor = "  motor    service factor 1.5, 8 A at it, 230 V"
    assert shown(motor, 40) == ["  motor    service factor 1.5, 8 A at", "           it, 230 V"]
    whose = "TF-0056  Ambelow Summer Camp  ·  555-0199"
    assert shown(whose, 40) == ["TF-0056  Ambelow Summer Camp  ·", "         555-0199"]
    words_ = "  stick up ft        " + "above ground " * 2
    assert shown(words_, 40)[1:] == [" " * 21 + "ground"]


def test_a_paragraph_does_not_hang() -> None:
    assert shown("Nobody pulls a working pump because of its age.", 40)[1] == "its age."
    assert shown("    source: of a table that nobody can find again", 40)[1] == "      find again"


@pytest.mark.parametrize("width", WIDTHS)
@given(st.lists(words, min_size=1, max_size=30))
def test_a_remark_breaks_at_blanks_and_by_cells(width: int, said: list[str]) -> None:
    """Of what is wider than the terminal, each line is one word: as many letters as it has, in one piece."""
    found = at_blanks(" ".join(said), width, hang=2)
    assert [word for row in found for word in row.split()] == said
    assert all(cell_len(row) <= width or len(row.split()) == 1 for row in found)
    # No line ends before it has to.
    for row, below in pairwise(found):
        assert cell_len(row) + 1 + cell_len(below.split()[0]) > width


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_the_help_is_wider_than_the_terminal(
    width: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    say = Commands(capsys)
    pages = [say.fine("--help"), *(say.fine(name, "--help") for name in COMMANDS)]
    assert all("Usage: wellbook" in page for page in pages)
    assert not [x for page in pages for x in page.splitlines() if cell_len(x) > width]


def test_into_a_pipe_a_line_stays_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert not sys.stdout.isatty()
    session.show(["  motor    " + "long " * 40 + "end"])
    assert capsys.readouterr().out.count("\n") == 1
