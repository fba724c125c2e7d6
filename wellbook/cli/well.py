"""`wellbook well`."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import (
    JSON,
    WELL,
    read_option,
    session,
    show,
    show_json,
    show_list,
    taking,
    uncertain,
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.hole.hole import Hole
    from wellbook.hole.records import System
    from wellbook.terms import Basis

app = typer.Typer(rich_markup_mode=None, help="Wells: add, show, edit, list; which share a tank.")
ROLE = typer.Option("", "--role", help="ours, or reference (a public record: it owes nothing).")
STATUS = typer.Option("", "--status", help="in_use, seasonal, standby or sealed.")
FIELDS: dict[str, tuple[Any, Any]] = {
    "permit": (str, typer.Option("", "--permit", help="Permit or state number.")),
    "site": (
        str,
        typer.Option("", "--site", help="The property: a number, or words of road and town."),
    ),
    "role": (str, ROLE),
    "use": (str, typer.Option("", "--use", help="House, stock, irrigation ...")),
    "status": (str, STATUS),
    "construction": (
        str,
        typer.Option("", "--construction", help="drilled, driven, dug or unknown."),
    ),
    "flowing": (
        bool,
        typer.Option(None, "--flowing/--not-flowing", help="Whether it flows by itself."),
    ),
    "driller": (str, typer.Option("", "--driller", help="Who drilled it.")),
    "drilled": (
        str,
        typer.Option("", "--drilled", metavar="WHEN", help='As known: 1998, "about 1998".'),
    ),
    "stick_up": (
        str,
        typer.Option("", "--stick-up", metavar="FT", help="Casing top above ground."),
    ),
    "frost_depth": (
        str,
        typer.Option("", "--frost-depth", metavar="FT", help="How deep frost goes."),
    ),
    "notes": (str, typer.Option("", "--notes", help="What else to know of it.")),
    "rise_to_tank": (
        str,
        typer.Option("", "--rise-to-tank", metavar="FT", help="From the well head up to the tank."),
    ),
    "shares_tank_with": (
        str,
        typer.Option("", "--shares-tank-with", metavar="WELL", help="Feeds that well's system."),
    ),
    "own_tank": (
        bool,
        typer.Option(
            None,
            "--own-tank",
            help="Shares its tank no more; what was set there through it goes with it.",
        ),
    ),
    "also_serves": (
        list[str],
        typer.Option([], "--also-serves", metavar="SITE", help="Another house on this water."),
    ),
    "known": (
        list[str],
        typer.Option(
            [],
            "--known",
            metavar="WHAT=VALUE",
            help="From paper: depth_ft=310, pump.hp=1/2, pump.set_on='about 2006', cable.awg=12.",
        ),
    ),
    "basis": (
        str,
        typer.Option(
            "", "--basis", help="What --known rests on: drillers_log, paper_record, measured ..."
        ),
    ),
    "as_of": (
        str,
        typer.Option(
            "",
            "--as-of",
            metavar="WHEN",
            help="The date of that paper; a driller's log is as old as the well.",
        ),
    ),
}


@app.command("add")
@taking(FIELDS)
def add(
    ctx: typer.Context,
    tag: str = typer.Argument("", metavar="[TAG]", help="Your tag; one is made up otherwise."),
    **given: Any,
) -> None:
    """Add a well, with what is known of it so far."""
    from wellbook.store import wells

    here = session(ctx)
    with here.open().writing() as connection:
        values = _values(connection, given, here.today)
        made = wells.add_well(
            connection,
            here.who,
            tag or wells.next_tag(connection),
            values,
            today=here.today,
        )
        _system(connection, here.who, made, given)
        shown = _opening(connection, here.who, made, given, here.today)
    show([f"well {shown} is in the book", f"Next: wellbook hole {shown}"])


@app.command("edit")
@taking(FIELDS)
def edit(
    ctx: typer.Context,
    well: list[str] = WELL,
    tag: str = typer.Option("", "--tag", help="Another tag."),
    **given: Any,
) -> None:
    """Change what is known of a well, or which water system it feeds."""
    from wellbook.cli.meanwhile import writing_over
    from wellbook.store import wells
    from wellbook.store.holes import load_hole
    from wellbook.store.the_well import the_well

    here = session(ctx)
    if not tag and all(value in ("", None, []) for value in given.values()):
        raise WellbookError("nothing to change; see: wellbook well edit --help")
    if given["shares_tank_with"] and given["own_tank"]:
        raise WellbookError("a tank is shared or its own: give one", where="--own-tank")
    with writing_over(here.open()) as connection:
        number = the_well(connection, " ".join(well))
        before = load_hole(connection, number)
        values = _values(connection, given, here.today)
        if tag:
            values["tag"] = tag
        wells.edit_well(connection, here.who, number, values)
        _system(connection, here.who, number, given)
        shown = _opening(connection, here.who, number, given, here.today)
        after = load_hole(connection, number)
    show([f"well {shown} is changed", *_what_came_of_it(before, after, given)])


def _what_came_of_it(before: Hole, after: Hole, given: dict[str, Any]) -> Iterator[str]:
    """What became otherwise by what was told, or by a shared tank, and the way back."""
    from wellbook.present.changes import changes

    lines = changes(before, after)
    yield from (f"  {line}" for line in lines)
    if given["known"] and all(line.startswith("then:") for line in lines):
        yield (
            "nothing that is there today is another by it: the paper is taken to be older;"
            " --as-of gives its date"
        )
    if given["shares_tank_with"] or given["own_tank"]:
        yield from _system_lines(before, after)
    if given["shares_tank_with"] and after.system is not None:
        others = ", ".join(after.system.other_wells)
        yield f"It feeds one system with {others}; to take that back: --own-tank"


def _system_lines(before: Hole, after: Hole) -> Iterator[str]:
    """What is otherwise of the water system: how far up its tank is, which houses draw on it."""
    old, new = before.system, after.system
    if old is None or new is None:
        return
    if old.rise_to_tank_ft != new.rise_to_tank_ft:
        yield f"  rise to the tank: {_rise(new)} (was {_rise(old)}); see --rise-to-tank"
    gone = [o.address for o in old.other_sites if o.address not in _addresses(new)]
    come = [o.address for o in new.other_sites if o.address not in _addresses(old)]
    if gone:
        yield f"  no longer served: {', '.join(gone)}; see --also-serves"
    if come:
        yield f"  served now too: {', '.join(come)}"


def _rise(system: System) -> str:
    feet = system.rise_to_tank_ft
    return "not known" if feet is None else f"{feet:g} ft"


def _addresses(system: System) -> set[str]:
    return {other.address for other in system.other_sites}


@app.command("show")
def show_one(ctx: typer.Context, well: list[str] = WELL, as_json: bool = JSON) -> None:
    """What is kept of a well itself.

    For what hangs in it, see:  wellbook hole WELL
    """
    from wellbook.present.envelope import envelope
    from wellbook.store import listing
    from wellbook.store.the_well import the_well

    with session(ctx).open().reading() as connection:
        card = listing.well_card(connection, the_well(connection, " ".join(well)))
    if as_json:
        show_json(envelope("wellbook.well", 1, well=card))
        return
    card = {**card, "status": card["status"].replace("_", " ")}
    known = {name: value for name, value in card.items() if value not in ("", None, [])}
    shown = [f"  {name.replace('_', ' '):<18} {_plain(v)}" for name, v in known.items()]
    show([f"well {card['tag']}", *shown])


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return "; ".join(map(str, value)) if isinstance(value, list) else str(value)


@app.command("list")
def list_all(
    ctx: typer.Context,
    town: str = typer.Option("", "--town", help="Only one town."),
    role: str = ROLE,
    status: str = STATUS,
    as_json: bool = JSON,
) -> None:
    """Wells by tag."""
    from wellbook.store import listing
    from wellbook.terms import Role, WellStatus

    of_role = read_option(partial(_word, Role, role), "--role") if role else ""
    of_status = read_option(partial(_word, WellStatus, status), "--status") if status else ""
    with session(ctx).open().reading() as connection:
        rows = listing.well_list(connection, town=town, role=of_role, status=of_status)
    shown = [{**row, "state": row["status"].replace("_", " ")} for row in rows]
    columns = {"well": "tag", "status": "state", "town": "town", "road": "road"}
    show_list("wells", rows if as_json else shown, columns, as_json=as_json)


def _values(connection: Any, given: dict[str, Any], today: date) -> dict[str, Any]:
    """The columns of a well that were given."""
    from wellbook.store import wells
    from wellbook.store.rows import put_when
    from wellbook.terms import Construction, Role, WellStatus

    values: dict[str, Any] = {}
    for option, column in (("permit", "permit_no"), ("use",) * 2, ("driller",) * 2, ("notes",) * 2):
        if given[option]:
            values[column] = given[option]
    for option, words in (("role", Role), ("status", WellStatus), ("construction", Construction)):
        if given[option]:
            values[option] = read_option(partial(_word, words, given[option]), f"--{option}")
    for option, column in (("stick_up", "stick_up_ft"), ("frost_depth", "frost_depth_ft")):
        if given[option]:
            values[column] = _feet(given, option)
    if given["flowing"] is not None:
        values["flowing"] = given["flowing"]
    if given["drilled"]:
        values.update(put_when("drilled", uncertain(given["drilled"], "--drilled", today)))
    if given["site"]:
        values["site_id"] = wells.the_site(connection, given["site"])
    return values


def _feet(given: dict[str, Any], option: str) -> float:
    from wellbook.limits import within_limits
    from wellbook.quantities import read

    def read_feet() -> float:
        return within_limits(f"{option}_ft", read(given[option], "ft"))

    feet: float = read_option(read_feet, f"--{option.replace('_', '-')}")
    return feet


def _word(words: Any, text: str) -> str:
    from wellbook.hole.fields import word

    return str(word(words, text).value)


def _system(connection: Any, who: str, number: int, given: dict[str, Any]) -> None:
    from wellbook.store import wells
    from wellbook.store.the_well import the_well

    if given["shares_tank_with"]:
        other = the_well(connection, given["shares_tank_with"])
        if not wells.join_systems(connection, who, number, other):
            raise WellbookError(
                f"the two feed one system already: {given['shares_tank_with']}",
                where="--shares-tank-with",
            )
    if given["own_tank"]:
        wells.leave_system(connection, who, number)
    if given["rise_to_tank"]:
        rise_ft = _feet(given, "rise_to_tank")
        wells.edit_system(connection, who, number, {"rise_to_tank_ft": rise_ft})
    for words in given["also_serves"]:
        wells.serve(connection, who, number, wells.the_site(connection, words))


def _opening(connection: Any, who: str, number: int, given: dict[str, Any], today: date) -> str:
    """What is known from paper goes on an opening sheet, like all that is known."""
    from wellbook.cli.told import in_words, told_tables
    from wellbook.hole.sheet import SheetError
    from wellbook.store import tables as t
    from wellbook.store.rows import by_id
    from wellbook.store.sheets import record
    from wellbook.terms import SheetKind

    well = by_id(connection, t.well, number)
    for option in ("as_of", "basis"):
        if given[option] and not given["known"]:
            name = f"--{option.replace('_', '-')}"
            raise WellbookError("it says of what --known tells; give that too", where=name)
    if given["known"]:
        data = {"date": today.isoformat(), **told_tables(given["known"], "--known")}
        basis = _basis(given["basis"])
        data["basis"] = basis.value
        data["as_of"] = _date_of_paper(well, basis, given, today)
        try:
            record(connection, who, number, data, today=today, kind=SheetKind.OPENING)
        except SheetError as error:
            raise in_words(error, "--known") from None
    return str(well["tag"])


def _basis(text: str) -> Basis:
    from wellbook.hole.fields import word
    from wellbook.terms import Basis

    if not text:
        return Basis.PAPER_RECORD
    basis: Basis = read_option(partial(word, Basis, text), "--basis")
    return basis


def _date_of_paper(well: Any, basis: Basis, given: dict[str, Any], today: date) -> str:
    """As of when it is known: what old paper says must not be taken for what hangs there since."""
    from wellbook.store.rows import get_when
    from wellbook.terms import Basis

    if given["as_of"]:
        return str(uncertain(given["as_of"], "--as-of", today))
    drilled = get_when(well, "drilled")
    if basis is Basis.DRILLERS_LOG and drilled is not None and drilled.known:
        return str(drilled)
    on_paper = basis in (Basis.PAPER_RECORD, Basis.DRILLERS_LOG)
    return "unknown" if on_paper else today.isoformat()
