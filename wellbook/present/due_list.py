"""The list of what is due, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Protocol

from rich.text import Text

from wellbook.present.text import clean, wrap
from wellbook.rules.finding import Finding
from wellbook.terms import Severity

COLOURS = {
    Severity.ACT: "bold red",
    Severity.PLAN: "yellow",
    Severity.WATCH: "cyan",
    Severity.ASK: "dim",
}


class Item(Protocol):
    """A finding with whose well it is."""

    tag: str
    customer: str
    phone: str
    road: str
    town: str
    finding: Finding


INDENT = 20


def due_lines(
    items: Sequence[Any], by: date, today: date, *, width: int | None = None
) -> Iterator[Text]:
    """One block a well, the wells in the order of their worst finding.

    Parameters
    ----------
    items
        Findings with whose well they are, worst first.
    by
        The last day of the list.
    today
        The day on which it is read.
    width
        Where long lines wrap under their own beginning; None for a pipe, which is never wrapped.
    """
    grouped: dict[str, list[Any]] = {}
    for item in items:
        grouped.setdefault(item.tag, []).append(item)
    if not grouped:
        yield Text(f"Nothing is due by {by}.")
        return
    for tag, mine in grouped.items():
        yield _whose(tag, mine[0])
        for item in mine:
            yield from _finding(item.finding, today, width)
    wells = "well" if len(grouped) == 1 else "wells"
    yield Text(f"{len(items)} due by {by} at {len(grouped)} {wells}", style="dim")


def _whose(tag: str, item: Any) -> Text:
    where = ", ".join(clean(x) for x in (item.road, item.town) if x)
    who = clean(item.customer) or "customer unknown"
    said = "  ·  ".join(x for x in (who, clean(item.phone), where) if x)
    return Text.assemble((tag, "bold"), "  ", said)


def _finding(finding: Finding, today: date, width: int | None) -> Iterator[Text]:
    head = Text.assemble(
        "   ",
        (f"{finding.severity.value:<5}", COLOURS[finding.severity]),
        f" {finding.occasion.label:<10} ",
    )
    then = f"{since_words(finding, today)}: {clean(finding.action)}"
    for start, said in ((head, Text(clean(finding.reason))), (Text(), Text(then, style="dim"))):
        start.pad_right(INDENT - start.cell_len)
        rows = wrap(said, width - INDENT) if width else [said]
        yield start + rows[0]
        yield from (Text(" " * INDENT) + row for row in rows[1:])


def since_words(finding: Finding, today: date) -> str:
    """From when a finding holds, in words.

    "possibly since 2021-06-01, surely by 2026-06-01" is an answer; one made-up date would not be.
    """
    may, surely = finding.may_from, finding.surely_from
    if may == surely and may is not None:
        return f"since {may}" if may <= today else f"from {may}"
    begins = "for as long as is known" if may is None else f"possibly since {may}"
    if may is not None and may > today:
        begins = f"possibly from {may}"
    if surely is None:
        return f"{begins}, when surely is not known"
    return f"{begins}, surely {'since' if surely <= today else 'by'} {surely}"
