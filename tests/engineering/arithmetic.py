"""The page of formulas: every row of the `formulas_*.py` beside it, with what the program gives."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path

from formula import Formula, NotMet, NotMetInPart
from printed_otherwise import rows

_HEAD = """# The arithmetic

Every formula of `wellbook/engineering/`, its source, one case with the published value, and what the program
gives for it. The tests hold each row to its tolerance, and this page to the rows.

Evidence: *published* is a value in print; *another program* is an independent library or model;
*common practice* is what the trade goes by, without a published source; *from memory* is a value that was seen
on no page; *own answer* is published inputs or a definition worked out by hand, which shows that the formula is
typed right and no more. A tolerance is that of the print; where the two differ by more than its last place, why
that is no disagreement stands beside it.
"""
_NOT_MET = """
## In print, and not met

What is in print, or was worked out for the file of check values that may stand beside the checkout, and is not
what the program gives, within what the figure may be off by itself: half its last place, or what its source
allows. The tests run every row of the engineering part of that file: what it has and the program does not meet
is here, and nothing here is met. Where a row of that file has a relative and an absolute tolerance, they add up:
3 % for the formula of friction, and half the last place for the rounding of print. By the wider of the two alone
11 more rows of friction would not be met; they are 3.0 to 7.3 % apart.

| | in print | the program | why |
|---|---|---|---|
"""
# From the top of the string to the hook that pulls it.
AREAS = (
    "Pressure of the column",
    "Ratings of drop pipe",
    "Pipe: dimensions and weight",
    "Friction",
    "Head and power",
    "Pump lift and operating point",
    "Cable",
    "Electrical condition",
    "The bore",
    "Trends",
    "Pumping tests",
    "Pressure tank",
    "Disinfection",
    "Weight on the hook",
    "Driving order",
)


def formulas() -> list[Formula]:
    """Every row there is, in the order of the areas."""
    files = sorted(Path(__file__).parent.glob("formulas_*.py"))
    rows = [row for file in files for row in import_module(file.stem).FORMULAS]
    return sorted(rows, key=lambda row: AREAS.index(row.area))


def page() -> str:
    """The whole page."""
    return "".join((_HEAD, *_areas(formulas()), _NOT_MET, *map(_not_met, rows())))


def _areas(rows: list[Formula]) -> Iterator[str]:
    for area in dict.fromkeys(row.area for row in rows):
        yield f"\n## {area}\n\n"
        yield "| what | formula | case | check | the program | apart | source | evidence |\n"
        yield "|---|---|---|---:|---:|---:|---|---|\n"
        for row in (r for r in rows if r.area == area):
            gives = row.gives()
            cells = (
                row.name,
                f"`{row.formula}`",
                row.case,
                f"{_number(row.check)} {row.unit}",
                f"{_number(gives)} {row.unit}",
                _apart(row, gives),
                row.source,
                row.evidence,
            )
            yield _row(cells)


def _not_met(row: NotMet | NotMetInPart) -> str:
    gives = row.shown.format(row.gives()) if isinstance(row, NotMet) else row.shown
    return _row((row.area, row.printed, gives, row.why))


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(c.replace('|', chr(92) + '|').strip() for c in cells)} |\n"


def _apart(row: Formula, gives: float) -> str:
    """How far what the program gives is from the check, of what is allowed."""
    apart = abs(gives - row.check) / abs(row.check) if row.check else abs(gives)
    # What a solver leaves over, or the last bits of a float, need not be the same on every machine.
    said = "none" if apart < 1e-9 else "under 0.01 %" if apart < 1e-4 else f"{100 * apart:.2g} %"
    of = f"{said} of {100 * row.within:.2g} %" if row.within > 1e-6 else said
    return f"{of}: {row.allowed}" if row.allowed else of


def _number(value: float) -> str:
    """Five figures, none before the point lost."""
    if value == 0:
        return "0"
    decimals = max(0, 4 - math.floor(math.log10(abs(value))))
    if decimals > 8:
        return f"{value:.4g}"
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
