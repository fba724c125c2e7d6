"""The list of what is due, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Protocol

from rich.text import Text

from wellbook.present.text import clean
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


def due_lines(items: Sequence[Any], by: date, today: date) -> Iterator[Text]:
    """One block a well, the wells in the order of their worst finding.

    Parameters
    ----------
    items
        Findings with whose well they are, worst first.
    by
        The last day of the list.
    today
        The day on which it is read.
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
            yield from _finding(item.finding, today)
    wells = "well" if len(grouped) == 1 else "wells"
    yield Text(f"{len(items)} due by {by} at {len(grouped)} {wells}", style="dim")


def _whose(tag: str, item: Any) -> Text:
    where = ", ".join(clean(x) for x in (item.road, item.town) if x)
    who = clean(item.customer) or "customer unknown"
    said = "  ·  ".join(x for x in (who, clean(item.phone), where) if x)
    return Text.assemble((tag, "bold"), "  ", said)


def _finding(finding: Finding, today: date) -> Iterator[Text]:
    yield Text.assemble(
        "   ",
        (f"{finding.severity.value:<5}", COLOURS[finding.severity]),
        f" {finding.occasion.label:<10} ",
        clean(finding.reason),
    )
    yield Text(f"{'':20}{since_words(finding, today)}: {clean(finding.action)}", style="dim")


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
