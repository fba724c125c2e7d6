"""`wellbook customer`."""

from __future__ import annotations

import typer

from wellbook.cli.session import JSON, session, show, show_json, show_list
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None, help="Customers: add, show, edit, list.")
PHONES = typer.Option([], "--phone", help="A telephone number; may be given again.")
EMAILS = typer.Option([], "--email", help="An e-mail address; may be given again.")
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
    show([f"customer {number}: {name}"])


@app.command("edit")
def edit(
    ctx: typer.Context,
    customer: str = WHO,
    name: str = typer.Option("", "--name", help="Another name."),
    phone: list[str] = PHONES,
    email: list[str] = EMAILS,
    notes: str = typer.Option("", "--notes", help="What else to know of him or her."),
    contract_month: str = CONTRACT,
) -> None:
    """Change a name, notes or contract, or add another way to reach the customer."""
    from wellbook.store import wells

    here = session(ctx)
    values: dict[str, str | int | None] = {
        k: v for k, v in (("name", name.strip()), ("notes", notes)) if v
    }
    if contract_month:
        values["contract_month"] = _month(contract_month)
    if not (values or phone or email):
        raise WellbookError("nothing to change; see: wellbook customer edit --help")
    with here.open().writing() as connection:
        number = wells.the_customer(connection, customer)
        wells.edit_customer(
            connection, here.who, number, values=values, phones=tuple(phone), emails=tuple(email)
        )
    show([f"customer {number} is changed"])


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
        f"  {c['way']:<6} {c['value']}  (may be used: {c['may_use']})" for c in card["contacts"]
    ]
    for w in card["wells"]:
        lines.append(f"  well   {w['tag']}  {w['where']}  {span_words(w['since'], w['until'])}")
    if card["contract_month"]:
        lines.append(f"  contract: a check-up each {month_name(card['contract_month'])}")
    show([*lines, *([f"  {card['notes']}"] if card["notes"] else [])])


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
