"""The list of what is due, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Protocol

from rich.text import Text

from wellbook.present.finding_lines import draw_finding, finding_lines
from wellbook.present.standing_texts import standing_texts
from wellbook.present.text import clean, wrap
from wellbook.rules.finding import Finding


class Item(Protocol):
    """A finding with whose well it is."""

    tag: str
    customer: str
    phone: str
    road: str
    town: str
    finding: Finding


INDENT = 3


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
        for line in finding_lines([item.finding for item in mine], today):
            yield from draw_finding(line, width, INDENT)
        for said in standing_texts([(i.finding, i.life) for i in mine], today):
            yield from _wrapped(said, width)
    wells = "well" if len(grouped) == 1 else "wells"
    yield Text(f"{len(items)} due by {by} at {len(grouped)} {wells}", style="dim")


def _wrapped(said: str, width: int | None) -> Iterator[Text]:
    text = Text(said, style="dim")
    for row in wrap(text, width - INDENT) if width else [text]:
        yield Text(" " * INDENT) + row


def _whose(tag: str, item: Any) -> Text:
    where = ", ".join(clean(x) for x in (item.road, item.town) if x)
    who = clean(item.customer) or "customer unknown"
    said = "  ·  ".join(x for x in (who, clean(item.phone), where) if x)
    return Text.assemble((tag, "bold"), "  ", said)
