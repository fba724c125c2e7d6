"""Where a mistake stands in a sheet's text."""

from __future__ import annotations

import tomllib

import pytest

from wellbook.hole.toml_lines import line_of

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
