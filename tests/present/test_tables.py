"""Lists in columns on terminals of any width: no line is wider, and no word is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from wellbook.present.tables import table

WIDTHS = (40, 60, 80)
words = st.text(st.sampled_from("abcdeé井9-"), min_size=1, max_size=70)
cells = st.lists(words, max_size=8).map(" ".join)


@st.composite
def lists(draw: st.DrawFn) -> tuple[list[str], list[list[str]]]:
    many = draw(st.integers(1, 8))
    row = st.lists(cells, min_size=many, max_size=many)
    return draw(row), draw(st.lists(row, max_size=5))


def shown(headers: list[str], rows: list[list[str]], width: int | None) -> list[str]:
    return [line.plain for line in table(headers, rows, width)]


def letters(text: str) -> str:
    return "".join(sorted(text.replace(" ", "")))


@pytest.mark.parametrize("width", WIDTHS)
@given(lists())
def test_no_line_is_wider_and_nothing_is_lost(
    width: int, given_list: tuple[list[str], list[list[str]]]
) -> None:
    headers, rows = given_list
    lines = shown(headers, rows, width)
    assert all(cell_len(line) <= width for line in lines)
    assert letters("".join(lines)) == letters("".join("".join(r) for r in (headers, *rows)))


@pytest.mark.parametrize("width", WIDTHS)
@given(st.lists(st.lists(st.sampled_from(("ab", "TF-0031", "555-0131")), min_size=7, max_size=7)))
def test_what_is_short_is_never_broken(width: int, rows: list[list[str]]) -> None:
    headers = ["maker", "model", "hp", "rated", "head there", "shut-off", "wells"]
    said = " ".join(shown(headers, rows, width)).split()
    assert said == " ".join(" ".join(row) for row in (headers, *rows)).split()


@given(lists())
def test_a_pipe_has_a_line_a_row(given_list: tuple[list[str], list[list[str]]]) -> None:
    headers, rows = given_list
    assert len(shown(headers, rows, None)) == 1 + len(rows)


def test_columns_without_room_go_below_their_row() -> None:
    headers = ["maker", "model", "hp", "rated", "wells"]
    rows = [
        ["Pellwin", "P-77", "3/4 hp", "7 gpm", "TF-0009, TF-0011, TF-0013, TF-0015"],
        ["Pellwin", "J-50", "1/2 hp", "8 gpm", ""],
    ]
    assert shown(headers, rows, 40) == [
        "maker    model  hp      rated",
        "  wells",
        "Pellwin  P-77   3/4 hp  7 gpm",
        "  TF-0009, TF-0011, TF-0013, TF-0015",
        "Pellwin  J-50   1/2 hp  8 gpm",
    ]
    assert shown(headers, rows, 60)[1:3] == [
        "Pellwin  P-77   3/4 hp  7 gpm  TF-0009, TF-0011, TF-0013,",
        "                               TF-0015",
    ]


def test_before_a_column_goes_below_the_widest_wrap() -> None:
    headers = ["", "now", "as planned"]
    rows = [
        ["reaches cut-out, drawn down", "passes 402, max. 560 ft", "passes 360, max. 490 ft"],
        ["ampacity", "passes 14.4, max. 20 A", "passes"],
    ]
    assert shown(headers, rows, 73) == [
        "                         now                      as planned",
        "reaches cut-out, drawn   passes 402, max. 560 ft  passes 360, max. 490 ft",
        "down",
        "ampacity                 passes 14.4, max. 20 A   passes",
    ]
