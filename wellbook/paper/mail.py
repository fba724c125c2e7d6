"""Letters and postcards of the outbox, in one file for the printer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from wellbook.paper.faces import Setter
from wellbook.paper.letters import Letter, LetterText, Postcard
from wellbook.paper.printing import Printable, Printed, print_into
from wellbook.paper.strips import TooLongError
from wellbook.reminders.gathering import Notice
from wellbook.store.outbox import Outgoing
from wellbook.store.shop import ShopSays
from wellbook.terms import RemindBy
from wellbook.whole_files import part_of


def letter_of(row: Mapping[str, Any], shop: ShopSays) -> Letter | Postcard:
    """A message of the outbox as it is printed, the shop's name and address at its head."""
    by = RemindBy(row["by"])
    licence = f"License {shop['licence']}" if shop["licence"] else ""
    reach = (shop["phone"], shop["email"], licence) if by is RemindBy.LETTER else (shop["phone"],)
    text = LetterText(
        sender=tuple(x for x in (shop["name"], *shop.address_lines, *reach) if x),
        receiver=(row["name"], *row["address"].split("\n")),
        day=row["on_day"],
        about=", ".join(x for x in (row["road"], row["town"]) if x),
        subject=row["subject"],
        paragraphs=tuple(row["body"].rstrip("\n").split("\n\n")),
        signature=shop["name"],
    )
    return Letter(text) if by is RemindBy.LETTER else Postcard(text)


def not_kept(notice: Notice, message: Outgoing, today: date) -> dict[str, Any]:
    """A message as its row in the outbox will be, before it is written there, or without."""
    place, who = notice.place, notice.place.resident
    name = who.name if who else ""
    return {
        "name": name,
        "road": place.road,
        "town": place.town,
        "on_day": today,
        **asdict(message),
    }


def unfit(row: Mapping[str, Any], shop: ShopSays) -> str:
    """Why a message cannot be printed: an address or a card that has no room; empty where it can."""
    try:
        for _ in letter_of(row, shop).leaves(Setter()):
            pass
    except TooLongError as error:
        return error.message
    return ""


def draw_mail(
    rows: Iterable[Mapping[str, Any]], path: Path, shop: ShopSays, tell: Callable[[int], None]
) -> Printed:
    """Print messages into a file that is there whole or not at all; they are drawn as they come.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    part = part_of(path)
    try:
        with part.open("wb") as file:
            printed = print_into(file, _pieces(rows, shop), title="reminders", tell=tell)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return printed


def _pieces(rows: Iterable[Mapping[str, Any]], shop: ShopSays) -> Iterator[Printable]:
    return (letter_of(row, shop) for row in rows)
