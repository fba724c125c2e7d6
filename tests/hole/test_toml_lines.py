"""Where a mistake stands in a sheet's text."""

from __future__ import annotations

import tomllib

import pytest

from wellbook.hole.sheet_text import plain_tables
from wellbook.hole.toml_lines import line_of, twice

TEXT = '''\
# a comment with [brackets] and a = sign
date = 2026-11-25
notes = """
reason = "this is only text"
[set.pump]
"""
reason = "no water"

[measured]
flow_gpm = [7, 6.5]
[set.pump]
hp = 0.5
[[set.pipe]]
to_ft = 20
[[set.pipe]]   # the lower one
to_ft = 280
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("date",), 2),
        (("reason",), 7),
        (("measured", "flow_gpm", 1), 10),
        (("set", "pump"), 11),
        (("set", "pump", "hp"), 12),
        (("set", "pipe", 0, "to_ft"), 14),
        (("set", "pipe", 1), 15),
        (("set", "pipe", 1, "to_ft"), 16),
        (("set", "pump", "rated_gpm"), 11),
        (("crew",), None),
    ],
)
def test_finds_the_line_or_the_nearest_table(path: tuple[str | int, ...], line: int | None) -> None:
    assert tomllib.loads(TEXT)
    assert line_of(TEXT, path) == line


def test_nothing_stands_twice_in_a_sheet_that_can_be_read() -> None:
    assert twice(TEXT) is None


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "[set.pump]\nhp = 1\nset_depth_ft = 9\nhp = 2",
            "'hp' stands twice under [set.pump], here and 2 lines above (at line 4, column 1)",
        ),
        (
            "date = 2026-06-02\ndate = 2026-06-02",
            "'date' stands twice, here and 1 line above (at line 2, column 1)",
        ),
        (
            "[measured]\nph = 7\n[measured]\nflow_gpm = 3",
            "[measured] stands twice; here and 2 lines above (at line 3, column 1)",
        ),
        *(
            (
                f"{one}\nto_ft = 1\n{two}\nto_ft = 9",
                "[set.pipe] stands twice; each of several begins with [[set.pipe]];"
                " here and 2 lines above (at line 3, column 1)",
            )
            for one, two in (
                ("[set.pipe]", "[set.pipe]"),
                ("[[set.pipe]]", "[set.pipe]"),
                ("[set.pipe]", "[[set.pipe]]"),
            )
        ),
    ],
)
def test_what_stands_twice_is_named(text: str, message: str) -> None:
    with pytest.raises(ValueError, match="stands twice") as caught:
        plain_tables(text)
    assert str(caught.value) == message


def test_another_mistake_is_told_in_the_reader_s_own_words() -> None:
    with pytest.raises(ValueError, match=r"\(at line 1, column 8\)"):
        plain_tables("date = = 3\ndate = 2026-06-02")
