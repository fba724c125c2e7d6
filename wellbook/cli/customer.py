"""`wellbook customer`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, note, session, show, show_json, show_list
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None, help="Customers: add, show, edit, list, forget.")
PHONES = typer.Option([], "--phone", help="A telephone number; may be given again.")
EMAILS = typer.Option([], "--email", help="An e-mail address; may be given again.")
POST = typer.Option(
    "", "--post", metavar="ADDRESS", help="Where letters go, where it is not the property."
)
REMIND_BY = typer.Option(
    "", "--remind-by", metavar="WAY", help="letter, postcard, email, call or none; or default."
)
CONTRACT = typer.Option(
    "",
    "--contract-month",
    metavar="MONTH",
    help="A yearly contract: the month of the check-up, 1 to 12; 0 or none takes it away.",
)
WHO = typer.Argument(..., metavar="CUSTOMER", help="A number, or words of the name.")


@app.command("add")
def add(
    ctx: typer.Context,
    name: str = typer.Argument(..., metavar="NAME"),
    phone: list[str] = PHONES,
    email: list[str] = EMAILS,
    post: str = POST,
    remind_by: str = REMIND_BY,
    notes: str = typer.Option("", "--notes", help="What else to know of him or her."),
    contract_month: str = CONTRACT,
) -> None:
    """Add a customer, with ways to reach him or her."""
    from wellbook.store import wells

    here, month = session(ctx), _month(contract_month)
    with here.open().writing() as connection:
        number = wells.add_customer(
            connection,
            here.who,
            name,
            phones=tuple(phone),
            emails=tuple(email),
            notes=notes,
            contract_month=month,
        )
        wells.edit_customer(
            connection, here.who, number, values=_reminded(remind_by), posts=_posts(post)
        )
    show([f"customer {number}: {name}"])
    _tell_doubts(here.open(), phone)


@app.command("edit")
def edit(
    ctx: typer.Context,
    customer: str = WHO,
    name: str = typer.Option("", "--name", help="Another name."),
    phone: list[str] = PHONES,
    email: list[str] = EMAILS,
    post: str = POST,
    remind_by: str = REMIND_BY,
    notes: str = typer.Option("", "--notes", help="What else to know of him or her."),
    contract_month: str = CONTRACT,
) -> None:
    """Change a name, notes or contract, or add another way to reach the customer."""
    from wellbook.cli.meanwhile import writing_over
    from wellbook.store import wells

    here = session(ctx)
    values: dict[str, str | int | None] = dict(_reminded(remind_by))
    values |= {k: v for k, v in (("name", name.strip()), ("notes", notes)) if v}
    if contract_month:
        values["contract_month"] = _month(contract_month)
    if not (values or phone or email or post):
        raise WellbookError("nothing to change; see: wellbook customer edit --help")
    with writing_over(here.open()) as connection:
        number = wells.the_customer(connection, customer)
        wells.edit_customer(
            connection,
            here.who,
            number,
            values=values,
            phones=tuple(phone),
            emails=tuple(email),
            posts=_posts(post),
        )
    show([f"customer {number} is changed"])
    _tell_doubts(here.open(), phone)


def _reminded(word: str) -> dict[str, str | None]:
    """How the customer wants to be reminded; "default" leaves it to the shop."""
    from wellbook.cli.ways import plain_way
    from wellbook.terms import RemindBy

    asked = plain_way(word)
    if not asked:
        return {}
    known = [way.value for way in RemindBy]
    if asked not in (*known, "default"):
        raise WellbookError(
            f"'{word}' is not one of: {', '.join(known)}; or default", where="--remind-by"
        )
    return {"remind_by": None if asked == "default" else asked}


def _posts(post: str) -> tuple[str, ...]:
    return (post,) if post.strip() else ()


@app.command("consent")
def consent(
    ctx: typer.Context,
    customer: str = WHO,
    way: str = typer.Argument(..., metavar="WAY", help="phone, email or post."),
    answer: str = typer.Argument(..., metavar="YES|NO", help="What was said; no stops at once."),
    how: str = typer.Option("", "--how", help='How it was said: "ticked it on the sheet".'),
    on: str = typer.Option("", "--on", metavar="DATE", help="The day (default today)."),
) -> None:
    """Write down whether a customer may be reached by a way, when and how that was said.

    The last answer counts; all of them stay on record.
    """
    from wellbook.cli.session import past_day
    from wellbook.store import consents, wells
    from wellbook.terms import Answer, ContactWay

    here = session(ctx)
    day = past_day(on, here.today)
    words = {"e-mail": "email", "letter": "post", "postcard": "post", "call": "phone"}
    asked = words.get(way.strip().lower(), way.strip().lower())
    if asked not in [w.value for w in ContactWay]:
        raise WellbookError(f"'{way}' is not one of: phone, email, post", where="WAY")
    if answer.strip().lower() not in ("yes", "no"):
        raise WellbookError(f"'{answer}' is neither yes nor no", where="YES|NO")
    said = Answer(answer.strip().lower())
    with here.open().writing() as connection:
        number = wells.the_customer(connection, customer)
        consents.say(
            connection,
            here.who,
            number,
            ContactWay(asked),
            said,
            on_day=day,
            how=how,
            today=here.today,
        )
    show([f"customer {number} said {said} to {asked} on {day}"])


@app.command("forget")
def forget(
    ctx: typer.Context,
    customer: str = WHO,
    yes: bool = typer.Option(False, "--yes", help="Do not ask before it is done."),
) -> None:
    """Forget a person on his or her wish: name, numbers, letters go; the wells' history stays.

    It cannot be taken back. That it was done stays, so that no other book brings the person back. One
    who was added and taken back (wellbook undo) is forgotten in the change log, by name or number.
    """
    from wellbook.cli.forgetting import forget_customer

    show(forget_customer(session(ctx), customer, yes=yes))


def _month(text: str) -> int | None:
    """The month of a contract; None where there is to be none."""
    said = text.strip().lower()
    if said in ("", "0", "none"):
        return None
    if said.isdigit() and 1 <= int(said) <= 12:
        return int(said)
    raise WellbookError(
        f"'{text}' is no month; give 1 to 12, or 0 for no contract", where="--contract-month"
    )


@app.command("show")
def show_one(ctx: typer.Context, customer: str = WHO, as_json: bool = JSON) -> None:
    """A customer, the ways to reach him or her, and the wells."""
    from wellbook.present.envelope import envelope
    from wellbook.present.text import span_words
    from wellbook.rules.customer_words import month_name
    from wellbook.store import listing, wells

    with session(ctx).open().reading() as connection:
        card = listing.customer_card(connection, wells.the_customer(connection, customer))
    if as_json:
        show_json(envelope("wellbook.customer", 1, customer=card))
        return
    lines = [f"customer {card['number']}: {card['name']}"]
    lines += [
        f"  {c['way']:<6} {c['value']}{_as_read(c)}  (may be used: {c['may_use']})"
        for c in card["contacts"]
    ]
    wants = card["remind_by"] or "as the shop does where nobody has chosen"
    lines.append(f"  reminders: {wants}")
    lines += [
        f"  said {c['answer']} to {c['way']} on {c['on_day']}{f' ({how})' if (how := c['how']) else ''}"
        for c in card["consents"]
    ]
    for w in card["wells"]:
        lines.append(f"  well   {w['tag']}  {w['where']}  {span_words(w['since'], w['until'])}")
    if card["contract_month"]:
        lines.append(f"  contract: a check-up each {month_name(card['contract_month'])}")
    show([*lines, *(f"  {line}" for line in card["notes"].splitlines())])


def _as_read(contact: dict[str, str]) -> str:
    """The whole number, where not all of it was written."""
    from wellbook.store.phones import shown, written_out

    e164 = contact["e164"]
    return f"  ({shown(e164)})" if e164 and not written_out(contact["value"], e164) else ""


def _tell_doubts(book: Book, phones: list[str]) -> None:
    """Say once, as they come in, what is doubtful of telephone numbers."""
    from wellbook.store.phones import Numbering, read_phones

    if not phones:
        return
    with book.reading() as connection:
        numbering = Numbering.of_book(connection)
    for text in phones:
        for phone in read_phones(text, numbering):
            if phone.doubt:
                note(phone.doubt)


@app.command("list")
def list_all(
    ctx: typer.Context,
    words: list[str] = typer.Argument(None, metavar="[WORDS...]"),
    as_json: bool = JSON,
) -> None:
    """Customers by name."""
    from wellbook.store import listing

    with session(ctx).open().reading() as connection:
        rows = listing.customer_list(connection, " ".join(words or []))
    columns = {"no.": "number", "name": "name", "phone": "phone", "wells": "wells"}
    show_list("customers", rows, columns, as_json=as_json)
