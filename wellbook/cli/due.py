"""`wellbook due`."""

from __future__ import annotations

import re
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

import typer

from wellbook.cli.narrowing import one_month
from wellbook.cli.session import JSON, one_day, read_option, screen_width, session, show, show_json
from wellbook.errors import WellbookError
from wellbook.terms import Occasion, Severity

if TYPE_CHECKING:
    from rich.text import Text

    from wellbook.store.due_list import Asked, DueItem

Words = TypeVar("Words", bound=StrEnum)

app = typer.Typer(rich_markup_mode=None)


@app.command("due")
def due(
    ctx: typer.Context,
    by: str = typer.Option(
        "", "--by", metavar="DATE", help="What is due by a day (default today)."
    ),
    within: str = typer.Option("", "--within", metavar="SPAN", help="From today: 90d, 6w, 3m."),
    month: str = typer.Option("", "--month", metavar="YYYY-MM", help="What comes due in a month."),
    rule: str = typer.Option("", "--rule", help="Only one rule; wellbook rules lists them."),
    town: str = typer.Option("", "--town", help="Only one town."),
    severity: str = typer.Option("", "--severity", help="Only act, plan, watch or ask."),
    occasion: str = typer.Option("", "--occasion", help="Only now, next_visit or next_pull."),
    as_json: bool = JSON,
) -> None:
    """What is due, worst first, with customer, phone and reason.

    What would only be done when the string is up is left out: ask for it with --occasion next_pull.
    """
    from wellbook.store.due_list import Asked
    from wellbook.store.due_list import due as list_due

    here = session(ctx)
    start, end = _span(by, within, month, here.today)
    asked = Asked(
        by=end,
        start=start,
        rule=_rule_name(rule) if rule else None,
        town=town or None,
        severity=_word(Severity, severity, "--severity") if severity else None,
        occasion=_word(Occasion, occasion, "--occasion") if occasion else None,
    )
    book = here.open()
    with book.reading() as connection:
        items = list_due(connection, asked, today=here.today)
        if town and not items:
            from wellbook.store.listing import known_town

            known_town(connection, town)
    if as_json:
        from wellbook.present.envelope import envelope
        from wellbook.present.json_shapes import due_json, standing_json

        day = max(end, here.today)
        listed = [{**due_json(i.tag, i.finding), **standing_json(i.life, day)} for i in items]
        show_json(envelope("wellbook.due", 1, by=end.isoformat(), items=listed))
        return
    show(_lines(items, asked, here.today))


def _rule_name(text: str) -> str:
    """The name of a rule, however its words are joined; only for this are the rules loaded."""
    from wellbook.rules.catalogue import the_rule

    return the_rule(text).name


def _word(words: type[Words], text: str, option: str) -> Words:
    from wellbook.hole.fields import word

    found: Words = read_option(lambda: word(words, text), option)
    return found


def _lines(items: list[DueItem], asked: Asked, today: date) -> list[Text]:
    from wellbook.present.due_list import due_lines

    return list(due_lines(items, asked.by, today, width=screen_width()))


def _span(by: str, within: str, month: str, today: date) -> tuple[date | None, date]:
    """The span of days that is asked for; only the end is set unless a month is."""
    if sum(map(bool, (by, within, month))) > 1:
        raise WellbookError("give one of --by, --within and --month")
    if month:
        return one_month(month, today)
    if within:
        return None, _ahead(within, today)
    return None, one_day(by, "--by", today) if by else today


def _ahead(text: str, today: date) -> date:
    from wellbook.days import add_months

    found = re.fullmatch(r"(\d{1,4})\s*(d|w|m|y)\w*", text.strip().lower())
    if not found:
        raise WellbookError(f"'{text}' is no span; write it as 90d, 6w or 3m", where="--within")
    number, unit = int(found.group(1)), found.group(2)
    try:
        if unit in "dw":
            return today + timedelta(days=number * (7 if unit == "w" else 1))
        return add_months(today, number * (12 if unit == "y" else 1))
    except (OverflowError, ValueError):
        return date.max
