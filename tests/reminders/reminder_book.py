"""A small book with customers who can be reminded, and doubles for what leaves the house."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from email.message import EmailMessage
from pathlib import Path
from typing import Any

from wellbook.dates import When
from wellbook.reminders.gathering import Notice, gather
from wellbook.reminders.letters import TemplateKind, default_template
from wellbook.reminders.sending import ON_PAPER, Outcomes, Run, print_letters, send_emails
from wellbook.reminders.smtp import Outcome, Sent
from wellbook.store import wells
from wellbook.store.book import Book
from wellbook.store.consents import say
from wellbook.store.renewal import renew_all
from wellbook.store.sheets import record
from wellbook.store.shop import say_of_shop, shop_says
from wellbook.terms import Answer, ContactWay, RemindBy

TODAY = date(2026, 11, 25)
SHOP = {
    "name": "Marlow Bend Pumps",
    "address": "2 Foundry Ln, Nettlewick, ST 00000",
    "phone": "555-0100",
    "email": "desk@marlow.example",
    "mail_server": "127.0.0.1",
    "mail_security": "none",
}


def begin(book: Book) -> None:
    """A shop that has said what its messages need."""
    with book.writing() as connection:
        renew_all(connection)
        for name, value in SHOP.items():
            say_of_shop(connection, "me", name, value)


def customer(
    book: Book,
    name: str,
    tag: str,
    *,
    remind_by: str | None = "letter",
    email: str = "",
    phone: str = "",
    agreed: ContactWay | None = None,
    last_check_up: date | None = date(2025, 9, 9),
) -> int:
    """A customer at a property of his own with one well; the well's number."""
    with book.writing() as connection:
        site = wells.add_site(connection, "me", {"road": f"1 {name} Rd", "town": "Nettlewick"})
        number = wells.add_customer(
            connection,
            "me",
            name,
            phones=(phone,) if phone else (),
            emails=(email,) if email else (),
        )
        wells.edit_customer(connection, "me", number, values={"remind_by": remind_by})
        wells.move_in(connection, "me", site, number, When.unknown(), today=TODAY)
        well = wells.add_well(connection, "me", tag, {"site_id": site}, today=date(2020, 1, 1))
        if agreed is not None:
            day = date(2026, 1, 2)
            say(connection, "me", number, agreed, Answer.YES, on_day=day, how="sheet", today=TODAY)
        if last_check_up is not None:
            sheet: dict[str, Any] = {"date": last_check_up.isoformat(), "reason": "check up"}
            record(connection, "me", well, sheet, today=TODAY)
    return well


@dataclass
class FakeMailer:
    """A mail server that says what it is told to; what was delivered is kept."""

    outcomes: Callable[[EmailMessage], Outcome] = lambda _mail: Outcome.SENT
    delivered: list[EmailMessage] = field(default_factory=list)

    def send(self, mail: EmailMessage) -> Sent:
        outcome = self.outcomes(mail)
        if outcome is Outcome.SENT:
            self.delivered.append(mail)
        return Sent(outcome, "250 fine")


def write_plainly(rows: Iterable[Any], path: Path) -> None:
    """Letters as plain text: what is drawn is the affair of other tests."""
    path.write_text("\f".join(f"{r['name']}\n{r['body']}" for r in rows), "utf-8")


def notices(book: Book, today: date = TODAY) -> list[Notice]:
    """What should go out."""
    with book.reading() as connection:
        return list(gather(connection, shop_says(connection), today=today))


def run(book: Book, today: date = TODAY) -> Run:
    """A run of sending in the program's own words."""
    with book.reading() as connection:
        shop = shop_says(connection)
    words = {kind: default_template(kind) for kind in TemplateKind}
    moment = datetime(today.year, today.month, today.day, 9, tzinfo=UTC)
    return Run(book, "me", shop, words, moment, today)


def send(book: Book, folder: Path, mailer: Any, today: date = TODAY) -> list[Outcomes]:
    """All that should go out, by every way but the telephone."""
    going = [n for n in notices(book, today) if n.goes]
    one = run(book, today)
    paper = [n for n in going if n.choice.by in ON_PAPER]
    mails = [n for n in going if n.choice.by is RemindBy.EMAIL]
    path = folder / f"{one.uid}.pdf"
    return [print_letters(one, paper, path, write_plainly), send_emails(one, mails, mailer)]
