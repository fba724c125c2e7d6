"""Customers, properties, water systems and wells: adding, changing, showing, listing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection, delete, func, insert, or_, select

from wellbook.dates import When
from wellbook.errors import NotFoundError, WellbookError
from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.judging import renew
from wellbook.store.phones import Numbering, read_phones
from wellbook.store.replaying import rebuild
from wellbook.store.rows import add, by_id, change, get_when, log, put_when, records
from wellbook.store.word_index import index_wells, places_served, wells_of
from wellbook.terms import Construction, ContactWay, Role, WellStatus

# -- customers ---------------------------------------------------------------------------------


def add_customer(
    connection: Connection,
    who: str,
    name: str,
    *,
    phones: tuple[str, ...] = (),
    emails: tuple[str, ...] = (),
    notes: str = "",
    contract_month: int | None = None,
) -> int:
    """Add a person or firm with ways to reach him."""
    if not name.strip():
        raise WellbookError("a customer needs a name", where="name")
    values = {
        "name": name.strip(),
        "name_key": name_key(name),
        "notes": notes,
        "contract_month": contract_month,
    }
    number = add(connection, who, t.customer, values)
    for phone in phones:
        add_contact(connection, who, number, ContactWay.PHONE, phone)
    for email in emails:
        add_contact(connection, who, number, ContactWay.EMAIL, email)
    return number


def add_contact(
    connection: Connection,
    who: str,
    customer_id: int,
    way: ContactWay,
    value: str,
) -> int:
    """Add a way to reach a customer; two telephone numbers that were written as one are two.

    Returns
    -------
    The number of the row, or of the first of them.
    """
    if way is ContactWay.PHONE:
        return _add_phones(connection, who, customer_id, value)
    if way is ContactWay.POST and value.count(",") < 1:
        raise WellbookError(
            f"'{value}' is no postal address; write road and town, parted by a comma", where="post"
        )
    if way is ContactWay.EMAIL and "@" not in value:
        raise WellbookError(f"'{value}' is no e-mail address", where="email")
    return add(
        connection,
        who,
        t.contact_point,
        {
            "customer_id": customer_id,
            "way": way.value,
            "value": value.strip(),
            "digits": "",
            "e164": "",
        },
    )


def _add_phones(connection: Connection, who: str, customer_id: int, text: str) -> int:
    phones = read_phones(text, Numbering.of_book(connection))
    if not phones:
        raise WellbookError(f"'{text}' has no digits", where="phone")
    added = [
        add(
            connection,
            who,
            t.contact_point,
            {
                "customer_id": customer_id,
                "way": ContactWay.PHONE.value,
                "value": phone.value,
                "digits": phone.digits,
                "e164": phone.e164,
            },
        )
        for phone in phones
    ]
    return added[0]


def edit_customer(
    connection: Connection,
    who: str,
    number: int,
    *,
    values: Mapping[str, Any],
    phones: tuple[str, ...] = (),
    emails: tuple[str, ...] = (),
    posts: tuple[str, ...] = (),
) -> None:
    """Change what is known of a customer, and add ways to reach him.

    The month of a yearly contract says when the check-ups of his wells are due. Of postal addresses
    the one that was given last counts.
    """
    if "name" in values:
        values = {**values, "name_key": name_key(values["name"])}
    differed = change(connection, who, t.customer, number, values)
    for post in posts:
        add_contact(connection, who, number, ContactWay.POST, post)
    for phone in phones:
        add_contact(connection, who, number, ContactWay.PHONE, phone)
    for email in emails:
        add_contact(connection, who, number, ContactWay.EMAIL, email)
    wells = wells_of_customer(connection, number)
    index_wells(connection, wells)
    if differed and "contract_month" in values:
        renew(connection, wells)


def wells_of_customer(connection: Connection, customer_id: int) -> list[int]:
    """The wells that serve the properties where a customer is or was."""
    return wells_of(connection, [customer_id])


# -- properties --------------------------------------------------------------------------------

SITE_BLANK: dict[str, Any] = {
    "road": "",
    "town": "",
    "region": "",
    "postcode": "",
    "latitude": None,
    "longitude": None,
    "access": "",
    "well_head": "",
    "notes": "",
}


def add_site(connection: Connection, who: str, values: Mapping[str, Any]) -> int:
    """Add a property."""
    row = {**SITE_BLANK, **_checked_place(values)}
    return add(connection, who, t.site, {**row, "road_key": road_key(row["road"], row["town"])})


def edit_site(connection: Connection, who: str, number: int, values: Mapping[str, Any]) -> None:
    """Change what is known of a property."""
    row = {**by_id(connection, t.site, number), **_checked_place(values)}
    key = {"road_key": road_key(row["road"], row["town"])}
    change(connection, who, t.site, number, {**values, **key})
    index_wells(connection, wells_at(connection, number))


def wells_at(connection: Connection, site_id: int) -> list[int]:
    """The wells that stand on a property or serve it."""
    served = places_served(sites=[site_id])
    return list(connection.execute(select(served.c.well_id)).scalars())


def _checked_place(values: Mapping[str, Any]) -> Mapping[str, Any]:
    for name, limit in (("latitude", 90), ("longitude", 180)):
        value = values.get(name)
        if value is not None and not -limit <= value <= limit:
            raise WellbookError(f"{value:g} is not between -{limit} and {limit}", where=name)
    return values


def move_in(
    connection: Connection, who: str, site_id: int, customer_id: int, since: When, *, today: date
) -> bool:
    """A customer takes a property; whoever is there now leaves on the same day.

    Of a customer who is there already, the day is put right, and with it the day on which the one
    before left.

    Returns
    -------
    Whether anything changed.

    Raises
    ------
    WellbookError
        If it lies ahead, or before whoever is, or was, there.
    """
    if since.is_after(today):
        raise WellbookError(f"'{since}' lies ahead", where="since")
    stays = _stays(connection, site_id)
    there = [row for row in stays if row["until_text"] is None]
    mine = [row for row in there if row["customer_id"] == customer_id]
    if mine and not since.known:
        return False
    before = [row for row in stays if row["until_text"] is not None] if mine else there
    for row in before:
        _not_before(row, since)
    if mine:
        old = get_when(mine[0], "since")
        if old == since:
            return False
        change(connection, who, t.occupancy, mine[0]["id"], put_when("since", since))
        before = [row for row in before if old is not None and get_when(row, "until") == old]
    else:
        place = {"customer_id": customer_id, "site_id": site_id}
        add(
            connection,
            who,
            t.occupancy,
            {**place, **put_when("since", since), **put_when("until", None)},
        )
    for row in before:
        change(connection, who, t.occupancy, row["id"], put_when("until", since))
    wells = wells_at(connection, site_id)
    index_wells(connection, wells)
    # A contract comes and goes with its customer, and with it the day of the next check-up.
    if _any_contract(connection, {customer_id, *(row["customer_id"] for row in stays)}):
        renew(connection, wells)
    return True


def _any_contract(connection: Connection, customer_ids: set[int]) -> bool:
    query = select(t.customer.c.id).where(
        t.customer.c.id.in_(sorted(customer_ids)), t.customer.c.contract_month.is_not(None)
    )
    return connection.execute(query).first() is not None


def _stays(connection: Connection, site_id: int) -> list[Mapping[str, Any]]:
    stays = t.occupancy
    query = select(stays, t.customer.c.name).join(
        t.customer, t.customer.c.id == stays.c.customer_id
    )
    query = query.where(stays.c.site_id == site_id).order_by(stays.c.id)
    return records(connection, query)


def _not_before(stay: Mapping[str, Any], since: When) -> None:
    begun = get_when(stay, "since")
    if begun is not None and since.latest is not None and begun.is_after(since.latest):
        raise WellbookError(
            f"{stay['name']} has been there since {begun}, which is later than '{since}'",
            where="since",
        )


# -- wells -------------------------------------------------------------------------------------

WELL_BLANK: dict[str, Any] = {
    "permit_no": "",
    "site_id": None,
    "role": Role.OURS.value,
    "use": "",
    "status": WellStatus.IN_USE.value,
    "construction": Construction.UNKNOWN.value,
    "flowing": None,
    "driller": "",
    "stick_up_ft": None,
    "frost_depth_ft": None,
    "notes": "",
    **put_when("drilled", When.unknown()),
}


def add_well(
    connection: Connection,
    who: str,
    tag: str,
    values: Mapping[str, Any],
    *,
    today: date,
    system_id: int | None = None,
) -> int:
    """Add a well, with a water system of its own unless it feeds one that is there."""
    tag = checked_tag(tag)
    if connection.execute(select(t.well.c.id).where(t.well.c.tag == tag)).first():
        raise WellbookError(f"there is a well {tag} already", where="tag")
    if system_id is None:
        system_id = add(connection, who, t.water_system, {"name": "", "rise_to_tank_ft": None})
    row = {**WELL_BLANK, "entered_on": today, **values, "tag": tag, "system_id": system_id}
    number = add(connection, who, t.well, row)
    if row["site_id"] is not None:
        draw(connection, who, system_id, row["site_id"])
    refresh(connection, [number])
    return number


def edit_well(connection: Connection, who: str, number: int, values: Mapping[str, Any]) -> bool:
    """Change what is known of a well itself; True where anything differed."""
    if "tag" in values:
        values = {**values, "tag": checked_tag(values["tag"])}
        same = select(t.well.c.id).where(t.well.c.tag == values["tag"], t.well.c.id != number)
        if connection.execute(same).first():
            raise WellbookError(f"there is a well {values['tag']} already", where="tag")
    before = by_id(connection, t.well, number)
    differed = change(connection, who, t.well, number, values)
    if values.get("site_id") is not None:
        draw(connection, who, before["system_id"], values["site_id"])
    refresh(connection, [number])
    return differed


def checked_tag(tag: str) -> str:
    """A tag as it is kept: no spaces at the edges, capitals, nothing that a shell would eat."""
    tag = tag.strip().upper()
    if not re.fullmatch(r"[A-Z0-9][A-Z0-9._/-]{0,31}", tag):
        raise WellbookError(
            f"'{tag}' will not do: letters, digits and hyphens, such as MC-0042", where="tag"
        )
    return tag


def next_tag(connection: Connection) -> str:
    """A tag that no well has yet."""
    number = connection.execute(select(func.coalesce(func.max(t.well.c.id), 0))).scalar_one()
    while True:
        number += 1
        tag = f"W-{number:04d}"
        if not connection.execute(select(t.well.c.id).where(t.well.c.tag == tag)).first():
            return tag


def draw(connection: Connection, who: str, system_id: int, site_id: int) -> bool:
    """Let a property draw on a water system; False where it does already."""
    pair = {"system_id": system_id, "site_id": site_id}
    there = select(t.system_site.c.site_id).filter_by(**pair)
    if connection.execute(there).first():
        return False
    connection.execute(insert(t.system_site).values(**pair))
    log(connection, who, "add", "system_site", draws_uid(connection, pair), new=pair)
    return True


def draw_no_more(connection: Connection, who: str, system_id: int, site_id: int) -> None:
    """Let a property draw on a water system no longer."""
    pair = {"system_id": system_id, "site_id": site_id}
    uid = draws_uid(connection, pair)
    connection.execute(delete(t.system_site).filter_by(**pair))
    log(connection, who, "remove", "system_site", uid, old=pair)


def draws_uid(connection: Connection, pair: Mapping[str, int]) -> str:
    """By what the change log names that a property draws on a system: the uids of both.

    Neither of them alone, since lines about a system speak of the system.
    """
    system = by_id(connection, t.water_system, pair["system_id"])["uid"]
    return f"{system} {by_id(connection, t.site, pair['site_id'])['uid']}"


def serve(connection: Connection, who: str, well_id: int, site_id: int) -> None:
    """Let another property draw on a well's water; who lives there is found with the well."""
    system_id = by_id(connection, t.well, well_id)["system_id"]
    draw(connection, who, system_id, site_id)
    wells = select(t.well.c.id).where(t.well.c.system_id == system_id)
    index_wells(connection, list(connection.execute(wells).scalars()))


def join_systems(connection: Connection, who: str, well_id: int, other_id: int) -> bool:
    """Let a well feed the water system of another, which has both tanks then.

    What was told of either tank before stays told of that one (`store.sharing`).

    Returns
    -------
    False where they fed one already.
    """
    well, other = by_id(connection, t.well, well_id), by_id(connection, t.well, other_id)
    old, new = well["system_id"], other["system_id"]
    if old == new:
        return False
    left = select(t.well.c.id).where(t.well.c.system_id == old, t.well.c.id != well_id)
    alone = not connection.execute(left).first()
    change(connection, who, t.well, well_id, {"system_id": new})
    for site_id in list(
        connection.execute(select(t.system_site.c.site_id).filter_by(system_id=old)).scalars()
    ):
        if alone or site_id == well["site_id"]:
            draw(connection, who, new, site_id)
    if alone:
        here = select(t.system_site.c.site_id).where(t.system_site.c.system_id == old)
        for site_id in list(connection.execute(here).scalars()):
            draw_no_more(connection, who, old, site_id)
        row = by_id(connection, t.water_system, old)
        if by_id(connection, t.water_system, new)["rise_to_tank_ft"] is None:
            change(
                connection, who, t.water_system, new, {"rise_to_tank_ft": row["rise_to_tank_ft"]}
            )
        connection.execute(delete(t.water_system).where(t.water_system.c.id == old))
        log(connection, who, "remove", "water_system", row["uid"], old=dict(row))
    refresh(connection, rebuild(connection, *([new] if alone else [new, old])))
    return True


def leave_system(connection: Connection, who: str, well_id: int) -> None:
    """Give a well that shares its water system one of its own again.

    What its own sheets tell of tank and switch goes with it; its house draws on it alone, unless
    another well of the old system stands there too.

    Raises
    ------
    WellbookError
        If it shares none.
    """
    well = by_id(connection, t.well, well_id)
    old, site_id = well["system_id"], well["site_id"]
    others = list(
        connection.execute(
            select(t.well.c.site_id).where(t.well.c.system_id == old, t.well.c.id != well_id)
        ).scalars()
    )
    if not others:
        raise WellbookError(f"{well['tag']} shares its tank with no other well", where="--own-tank")
    # How far up its tank is was one figure for all; it stays until somebody says otherwise.
    rise_ft = by_id(connection, t.water_system, old)["rise_to_tank_ft"]
    new = add(connection, who, t.water_system, {"name": "", "rise_to_tank_ft": rise_ft})
    change(connection, who, t.well, well_id, {"system_id": new})
    if site_id is not None:
        draw(connection, who, new, site_id)
        if site_id not in others:
            draw_no_more(connection, who, old, site_id)
    refresh(connection, rebuild(connection, new, old))


def edit_system(connection: Connection, who: str, well_id: int, values: Mapping[str, Any]) -> None:
    """Change the water system that a well feeds."""
    system_id = by_id(connection, t.well, well_id)["system_id"]
    change(connection, who, t.water_system, system_id, values)
    wells = connection.execute(select(t.well.c.id).where(t.well.c.system_id == system_id)).scalars()
    refresh(connection, list(wells))


def refresh(connection: Connection, well_ids: list[int]) -> None:
    """Renew what follows from wells: the ledger and the words by which they are found."""
    renew(connection, well_ids)
    index_wells(connection, well_ids)


# -- naming ------------------------------------------------------------------------------------


def well_by_tag(connection: Connection, tag: str) -> int | None:
    """A well's number by its tag, in any case."""
    query = select(t.well.c.id).where(t.well.c.tag == tag.strip().upper())
    return connection.execute(query).scalar()


def customers(connection: Connection, words: str = "") -> list[Mapping[str, Any]]:
    """Customers whose name has these words, by name."""
    table = t.customer
    query = select(table).order_by(func.lower(table.c.name), table.c.id)
    for word in words.lower().split():
        query = query.where(func.lower(table.c.name).contains(word, autoescape=True))
    return records(connection, query)


def the_customer(connection: Connection, words: str) -> int:
    """The one customer whom a number or words single out."""
    if words.strip().isdigit():
        found = [c for c in customers(connection) if c["id"] == int(words)]
    else:
        found = customers(connection, words)
    return _only(found, words, "customer", lambda c: f"{c['id']} {c['name']}")


def customer_name(connection: Connection, number: int) -> str:
    """A customer's name."""
    return str(by_id(connection, t.customer, number)["name"])


def sites(connection: Connection, words: str = "") -> list[Mapping[str, Any]]:
    """Properties whose road or town has these words, by town and road."""
    table = t.site
    query = select(table).order_by(func.lower(table.c.town), func.lower(table.c.road), table.c.id)
    for word in words.lower().split():
        query = query.where(
            or_(
                func.lower(table.c.road).contains(word, autoescape=True),
                func.lower(table.c.town).contains(word, autoescape=True),
            )
        )
    return records(connection, query)


def the_site(connection: Connection, words: str) -> int:
    """The one property that a number or words single out."""
    if words.strip().isdigit():
        found = [s for s in sites(connection) if s["id"] == int(words)]
    else:
        found = sites(connection, words)
    return _only(found, words, "property", lambda s: f"{s['id']} {s['road']}, {s['town']}")


def _only(found: list[Mapping[str, Any]], words: str, what: str, show: Any) -> int:
    if not found:
        raise NotFoundError(f"no {what} fits '{words}'")
    if len(found) > 1:
        some = "; ".join(show(x) for x in found[:6])
        raise WellbookError(f"'{words}' fits {len(found)}: {some}; name one by its number")
    return int(found[0]["id"])
