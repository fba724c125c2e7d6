"""`wellbook doubles`: customers and wells that are likely in the book twice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, session, show, show_json
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.likely import LikelyPair
    from wellbook.terms import PairOf

app = typer.Typer(
    rich_markup_mode=None,
    help="Customers and wells that are likely in the book twice: list, join, tell apart.",
)
ONE = typer.Argument(..., metavar="KEEP", help="Which stays: a well's tag, or a customer's number.")
OTHER = typer.Argument(..., metavar="GONE", help="Which goes into it.")


@app.callback(invoke_without_command=True)
def doubles(
    ctx: typer.Context,
    customers: bool = typer.Option(False, "--customers", help="Only customers."),
    wells: bool = typer.Option(False, "--wells", help="Only wells."),
    limit: int = typer.Option(20, "--limit", min=1, help="How many pairs of each to show."),
    as_json: bool = JSON,
) -> None:
    """List likely pairs, likeliest first, both side by side, with what speaks for it and against.

    The score is in bits: each more makes it twice as likely that the two are one.
    """
    if ctx.invoked_subcommand:
        if customers or wells or as_json:
            raise WellbookError("options are for the list, without a word after doubles")
        return
    from wellbook.store import pair_cards
    from wellbook.store.likely import likely_customer_pairs, likely_well_pairs
    from wellbook.terms import PairOf

    asked = {PairOf.CUSTOMER: customers, PairOf.WELL: wells}
    sources = {PairOf.CUSTOMER: likely_customer_pairs, PairOf.WELL: likely_well_pairs}
    shapes: dict[str, list[dict[str, Any]]] = {}
    with session(ctx).open().reading() as connection:
        for what, source in sources.items():
            if asked[what] or not any(asked.values()):
                pairs = sorted(source(connection), key=lambda p: (-p.likeness.score, p.one))
                shapes[f"{what}s"] = [
                    _shape(connection, what, pair, pair_cards.cards) for pair in pairs[:limit]
                ]
                if len(pairs) > limit:
                    shapes[f"{what}s"].append({"more": len(pairs) - limit})
    if as_json:
        from wellbook.present.envelope import envelope

        listed = {what: [s for s in some if "more" not in s] for what, some in shapes.items()}
        show_json(envelope("wellbook.doubles", 1, **listed))
    elif any(shapes.values()):
        _show(shapes)
    else:
        show(["Nothing looks as if it were in the book twice."])


def _shape(connection: Connection, what: PairOf, pair: LikelyPair, cards: Any) -> dict[str, Any]:
    one, other = cards(connection, what, [pair.one, pair.other])
    return {
        "score": pair.likeness.score,
        "reasons": [{"words": r.words, "worth": round(r.worth, 1)} for r in pair.likeness.reasons],
        "one": one,
        "other": other,
    }


def _show(shapes: dict[str, list[dict[str, Any]]]) -> None:
    from wellbook.cli.session import screen_width
    from wellbook.present.side_by_side import side_by_side

    for what, some in shapes.items():
        for pair in some:
            if "more" in pair:
                show([f"and {pair['more']} more likely pairs of {what}; see --limit", ""])
                continue
            show([f"score {pair['score']:g}"])
            show(side_by_side(pair["one"], pair["other"], screen_width()))
            for reason in pair["reasons"]:
                word = "for" if reason["worth"] > 0 else "against"
                show([f"  {word:<7}  {reason['words']}"])
            names = f"{pair['one']['name']} {pair['other']['name']}"
            show([f"  one?     wellbook doubles join {names}"])
            show([f"  two?     wellbook doubles apart {names}", ""])


@app.command("join")
def join(ctx: typer.Context, keep: str = ONE, gone: str = OTHER) -> None:
    """Let two records be one. What hangs on the second hangs on the first from now on.

    Nothing is lost: what differs goes to the notes of the one that stays, and all of it can be taken
    back as long as nothing was built on it.
    """
    from wellbook.store import doubles as store

    here = session(ctx)
    with here.open().writing() as connection:
        what, one, other = _pair(connection, keep, gone)
        number, differed = store.join(connection, here.who, what, one, other)
    show(
        [
            f"{keep} and {gone} are one now: {keep}",
            *(f"  noted    {line}" for line in differed),
            f"to take that back: wellbook doubles back {number}",
        ]
    )


@app.command("apart")
def apart(
    ctx: typer.Context,
    one: str = typer.Argument(..., metavar="ONE", help="A well's tag, or a customer's number."),
    other: str = typer.Argument(..., metavar="OTHER", help="The other one."),
) -> None:
    """Say that two records are two: they are not listed again."""
    from wellbook.store import doubles as store

    here = session(ctx)
    with here.open().writing() as connection:
        what, first, second = _pair(connection, one, other)
        number = store.tell_apart(connection, here.who, what, first, second)
    show([f"{one} and {other} are two", f"to take that back: wellbook doubles back {number}"])


@app.command("back")
def back(
    ctx: typer.Context,
    number: int = typer.Argument(..., metavar="NUMBER", help="See: wellbook doubles decided."),
) -> None:
    """Take a decision back. What was joined is two again, as it was before."""
    from wellbook.store import doubles as store

    here = session(ctx)
    with here.open().writing() as connection:
        row = store.back(connection, here.who, number)
    show([f"taken back: {row['names']}"])


@app.command("decided")
def decided(ctx: typer.Context, as_json: bool = JSON) -> None:
    """What was joined (the one that stayed <- the one that went) or told apart (|), the last first."""
    from dataclasses import asdict

    from wellbook.store.decided import decisions

    with session(ctx).open().reading() as connection:
        found = decisions(connection)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.doubles_decided", 1, decisions=[asdict(d) for d in found]))
    elif found:
        from wellbook.cli.session import screen_width
        from wellbook.present.tables import table

        rows = [[str(d.number), d.at[:10], d.who, d.decision.value, d.names] for d in found]
        show(table(["no.", "on", "who", "", "which"], rows, screen_width()))
    else:
        show(["Nothing was joined or told apart."])


def _pair(connection: Connection, one: str, other: str) -> tuple[PairOf, int, int]:
    """Two wells by their tags, or two customers by number or name."""
    from wellbook.store.wells import the_customer, well_by_tag
    from wellbook.terms import PairOf

    wells = [well_by_tag(connection, words) for words in (one, other)]
    if wells[0] is not None and wells[1] is not None:
        return PairOf.WELL, wells[0], wells[1]
    for words, found, mate in ((one, wells[1], wells[0]), (other, wells[0], wells[1])):
        if found is not None and mate is None:
            raise NotFoundError(f"no well has the tag '{words}'")
    return PairOf.CUSTOMER, the_customer(connection, one), the_customer(connection, other)
