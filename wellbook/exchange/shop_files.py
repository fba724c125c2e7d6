"""A shop's wells as a folder of TOML files, one a well: how the demo book is made.

Each file has the well (`[well]`), whose it is (`[[customer]]`, in the order of their times), where it
is (`[site]`), what it feeds (`[system]`), what was on record when it was entered (`[opening]`), and its
`[[visit]]` and `[[call]]` sheets as they were written, and which papers of its jobs were sent
(`[[paper]]`). `pumps.csv` has the shop's list of pump models.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.exchange.pump_file import read_pump_file
from wellbook.hole.fields import read_when, word
from wellbook.hole.sheet import SheetError
from wellbook.rules.finding import later
from wellbook.rules.paper_facts import job_papers
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.consents import say
from wellbook.store.contacts import Spoken, owed_at, wells_together, write_down
from wellbook.store.holes import load_hole
from wellbook.store.papers import write_sent
from wellbook.store.pump_writing import add_pumps
from wellbook.store.renewal import renew_all
from wellbook.store.replaying import rebuild
from wellbook.store.rows import by_id, put_when
from wellbook.store.sheets import CallSaid, enter
from wellbook.store.shop import TOGETHER_DAYS, say_of_shop
from wellbook.store.wells import (
    add_customer,
    add_site,
    add_well,
    edit_customer,
    edit_system,
    join_systems,
    move_in,
    serve,
    well_by_tag,
)
from wellbook.terms import Answer, ContactWay, PaperKind, RemindBy, Said, SheetKind

INVENTED = "an invented shop"
"""How the name ends of whose book the demo is: so it is told from a shop's own."""
DEMO_SHOP = f"Thistleford Pump & Well, {INVENTED}"

_SHOP = "shop.toml"

_CALL = ("caller", "caller_phone", "symptom", "promised", "outcome")


def sample_folder() -> Path:
    """Where the invented shop is: in the installed package, or in the source tree."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "_sample_data"
    return inside if inside.is_dir() else package.parent / "sample_data"


def load_shop(book: Book, folder: Path, *, who: str, today: date) -> int:
    """Read a folder of well files into an empty book, in one transaction.

    Returns
    -------
    How many wells were read.

    Raises
    ------
    WellbookError
        Naming the file and what is wrong in it; nothing is then written.
    """
    files = [file for file in sorted(folder.glob("*.toml")) if file.name != _SHOP]
    pumps = folder / "pumps.csv"
    with book.writing() as connection:
        if pumps.exists():
            add_pumps(connection, who, read_pump_file(pumps).models())
        _say(connection, who, folder / _SHOP)
        read = {file: tomllib.loads(file.read_text("utf-8")) for file in files}
        for file, data in read.items():
            with _named(file):
                _load_well(connection, data, who, today)
        renew_all(connection)
        # What was said is about what stands in the ledger.
        for file, data in read.items():
            with _named(file):
                _contacts(connection, data, who)
    return len(files)


@contextmanager
def _named(file: Path) -> Iterator[None]:
    """What is wrong in a file, with its name."""
    try:
        yield
    except (SheetError, WellbookError, ValueError, KeyError, TypeError) as error:
        raise WellbookError(str(error), where=file.name) from error


def _say(connection: Connection, who: str, file: Path) -> None:
    if file.exists():
        with _named(file):
            for name, value in tomllib.loads(file.read_text("utf-8")).items():
                say_of_shop(connection, who, name, str(value))


def _contacts(connection: Connection, data: Mapping[str, Any], who: str) -> None:
    """What the customer was told and said, of what was due when he was."""
    number = well_by_tag(connection, data["well"]["tag"])
    for one in data.get("contact", []):
        day = one["on"]
        by = max(later(day, days=TOGETHER_DAYS), one.get("for_day", day))
        owed = owed_at(connection, wells_together(connection, number or 0), by=by, today=day)
        about = [o.key for o in owed if o.finding.rule in one["about"]]
        if number is None or not about:
            raise WellbookError(f"nothing of {', '.join(one['about'])} was due on {day}")
        spoken = Spoken(
            word(Said, one["said"]),
            day,
            word(RemindBy, one["by"]),
            one.get("for_day"),
            one.get("for_time", ""),
            one.get("crew", ""),
            one.get("note", ""),
        )
        write_down(connection, who, number, spoken, about, today=day)


def _load_well(connection: Connection, data: Mapping[str, Any], who: str, today: date) -> None:
    site_id = _site(connection, data, who)
    well = dict(data["well"])
    tag = well.pop("tag")
    entered_on = well.get("entered_on", today)
    if "drilled_on" in well:
        well.update(put_when("drilled", read_when(well.pop("drilled_on"), today)))
    number = add_well(connection, who, tag, {**well, "site_id": site_id}, today=today)
    _customers(connection, data, who, site_id, today)
    _system(connection, data.get("system", {}), who, number)
    if "opening" in data:
        opening = {"date": entered_on, **data["opening"]}
        enter(connection, who, number, opening, today=today, kind=SheetKind.OPENING)
    for visit in data.get("visit", []):
        enter(connection, who, number, visit, today=today)
    for call in data.get("call", []):
        told = {k: v for k, v in call.items() if k not in _CALL}
        said = CallSaid(**{k: call.get(k, "") for k in _CALL})
        enter(connection, who, number, told, today=today, kind=SheetKind.CALL, call=said)
    rebuild(connection, by_id(connection, t.well, number)["system_id"])
    _papers(connection, data.get("paper", []), who, number)


def _papers(
    connection: Connection, papers: list[Mapping[str, Any]], who: str, well_id: int
) -> None:
    hole = load_hole(connection, well_id) if papers else None
    for paper in papers:
        kind = word(PaperKind, paper["kind"])
        owed = [p for p in job_papers(hole) if p.kind is kind] if hole else []
        of = [p for p in owed if p.visit.start == paper["visit"]]
        if not of:
            raise WellbookError(f"no visit of {paper['visit']} gives rise to a {kind.label}")
        write_sent(connection, who, well_id, of[0], on=paper["sent_on"], to=paper.get("to", ""))


def _site(connection: Connection, data: Mapping[str, Any], who: str) -> int | None:
    place = data.get("site")
    if place is None:
        return None
    same = select(t.site.c.id).where(
        t.site.c.road == place.get("road", ""), t.site.c.town == place.get("town", "")
    )
    known = connection.execute(same).scalar() if place.get("road") else None
    return known if known is not None else add_site(connection, who, place)


def _customers(
    connection: Connection, data: Mapping[str, Any], who: str, site_id: int | None, today: date
) -> None:
    for person in data.get("customer", []):
        if site_id is None:
            raise WellbookError("a customer needs a [site] to be at")
        known = connection.execute(
            select(t.customer.c.id).where(t.customer.c.name == person["name"])
        ).scalar()
        customer = known or add_customer(
            connection,
            who,
            person["name"],
            phones=tuple(person.get("phones", ())),
            emails=tuple(person.get("emails", ())),
            notes=person.get("notes", ""),
            contract_month=person.get("contract_month"),
        )
        if known is None:
            _reached(connection, who, customer, person)
        since = When.parse(str(person.get("since", "unknown")), said_on=today)
        move_in(connection, who, site_id, customer, since, today=today)


def _reached(connection: Connection, who: str, customer: int, person: Mapping[str, Any]) -> None:
    """How a customer wants to be reminded, and what he said of the ways."""
    posts = (person["post"],) if "post" in person else ()
    wants = {"remind_by": person["remind_by"]} if "remind_by" in person else {}
    edit_customer(connection, who, customer, values=wants, posts=posts)
    for said in person.get("consent", []):
        way, answer = word(ContactWay, said["way"]), word(Answer, said["answer"])
        say(
            connection,
            who,
            customer,
            way,
            answer,
            on_day=said["on"],
            how=said["how"],
            today=said["on"],
        )


def _system(connection: Connection, system: Mapping[str, Any], who: str, well_id: int) -> None:
    if "with_well" in system:
        other = well_by_tag(connection, system["with_well"])
        if other is None:
            raise WellbookError(f"no well {system['with_well']} was read before")
        join_systems(connection, who, well_id, other)
    values = {k: system[k] for k in ("name", "rise_to_tank_ft") if k in system}
    if values:
        edit_system(connection, who, well_id, values)
    for place in system.get("also_serves", []):
        site = _site(connection, {"site": place}, who)
        if site is not None:
            serve(connection, who, well_id, site)
