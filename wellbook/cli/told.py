"""WHAT=VALUE on the command line: what is said of a well, as the tables of a sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.hole.sheet import SheetError


def told_tables(told: list[str], option: str) -> dict[str, Any]:
    """The tables: a quantity was measured or told, a part is down there.

    >>> told_tables(["depth_ft=300", "pump.hp=1/2"], "--told")
    {'measured': {'depth_ft': '300'}, 'down': {'pump': {'hp': '1/2'}}}
    """
    tables: dict[str, Any] = {}
    for one in told:
        name, _, value = (x.strip() for x in one.partition("="))
        if not name or not value:
            raise WellbookError(f"'{one}' is not WHAT=VALUE, such as depth_ft=300", where=option)
        part, dot, field = name.partition(".")
        if dot:
            tables.setdefault("down", {}).setdefault(part, {})[field] = value
        else:
            tables.setdefault("measured", {})[part] = value
    return tables


def in_words(error: SheetError, option: str) -> WellbookError:
    """What is wrong, a line each, with the words that were typed for its place."""
    lines = []
    for mistake in error.mistakes:
        typed = mistake.where.removeprefix("down.").removeprefix("measured.")
        lines.append(f"{option} {typed}: {mistake.message}")
    return WellbookError(*lines)
