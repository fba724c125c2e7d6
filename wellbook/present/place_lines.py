"""Who lives there, where the well is, and how to get to it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from wellbook.dates import When
from wellbook.hole.hole import Hole
from wellbook.hole.records import Contact, Occupant, OtherSite, Site, System
from wellbook.present.lines import Line
from wellbook.present.text import and_list, plural
from wellbook.quantities import show
from wellbook.terms import ContactWay, Permission, Quantity, Role, WellStatus


def occupants_now(hole: Hole) -> list[Occupant]:
    """Whose place it is on the day of the picture."""
    return [o for o in hole.occupants if o.until is None]


def title(hole: Hole) -> str:
    """The well in one line: tag, customer, road and town."""
    names = and_list([o.name for o in occupants_now(hole)]) or "customer unknown"
    return " · ".join(part for part in (hole.tag, names, address(hole.site)) if part)


def address(site: Site | None) -> str:
    """Road and town, as far as they are known."""
    if site is None:
        return "place unknown"
    town = " ".join(p for p in (site.town, site.region, site.postcode) if p)
    return ", ".join(p for p in (site.road, town) if p) or "place unknown"


def place_lines(hole: Hole) -> Iterator[Line]:
    """What one needs to ring up, drive there, and find the well."""
    texts = (
        ("well", _well(hole)),
        ("reach", _reach(hole)),
        ("where", _where(hole.site)),
        ("feeds", _feeds(hole)),
        ("notes", _notes(hole)),
    )
    for label, text in texts:
        if text:
            yield Line(label, text)


def _well(hole: Hole) -> str:
    said: list[str] = []
    if hole.role is Role.REFERENCE:
        said.append("public record, kept for reference")
    if hole.status is not WellStatus.IN_USE:
        said.append(hole.status.label.upper())
    return " · ".join(said)


def _reach(hole: Hole) -> str:
    contacts = [contact_text(c) for o in occupants_now(hole) for c in o.contacts]
    return " · ".join(contacts)


def contact_text(contact: Contact) -> str:
    """A way to reach somebody, and whether it may not be used.

    >>> contact_text(Contact(ContactWay.PHONE, "+12075550147", Permission.NO))
    '207-555-0147 (asked not to be used)'
    """
    value = contact.value
    if contact.way is ContactWay.PHONE:
        value = phone_text(value)
    return f"{value} (asked not to be used)" if contact.may_use is Permission.NO else value


def phone_text(number: str) -> str:
    """A number as it is dialled at home; a foreign one as it stands.

    >>> phone_text("+12075550147"), phone_text("+447700900123")
    ('207-555-0147', '+447700900123')
    """
    home = re.fullmatch(r"\+1(\d{3})(\d{3})(\d{4})", number)
    return "-".join(home.groups()) if home else number


def _where(site: Site | None) -> str:
    if site is None:
        return ""
    spot = ""
    if site.latitude is not None and site.longitude is not None:
        spot = f"{site.latitude:.5f}, {site.longitude:.5f}"
    return " · ".join(p for p in (site.access, site.well_head, spot) if p)


def _feeds(hole: Hole) -> str:
    said = [hole.use] if hole.use else []
    people = hole.fact(Quantity.PEOPLE)
    if people is not None:
        count = show(people.number, "")
        said.append(
            f"{count} {'person' if count == '1' else 'people'} ({people.basis.mark} {people.as_of})"
        )
    return " · ".join([*said, *_shared(hole.system, hole.day)])


def _shared(system: System | None, day: date | None) -> Iterator[str]:
    if system is None:
        return
    if system.other_wells:
        yield "together with " + and_list(list(system.other_wells))
    if system.other_sites:
        count_of = plural(len(system.other_sites), "other place")
        yield f"{count_of}: {', '.join(_other(site, day) for site in system.other_sites)}"
    if system.rise_to_tank_ft:
        yield f"tank {show(system.rise_to_tank_ft, 'ft')} above the well head"


def others_now(site: OtherSite, day: date | None) -> list[Occupant]:
    """Who was at another property that draws on the well, on a day; who is there, without one."""
    return [
        o
        for o in site.occupants
        if not (day and o.since.is_after(day)) and (o.until is None or _not_yet(o.until, day))
    ]


def _not_yet(when: When, day: date | None) -> bool:
    return day is not None and when.is_after(day)


def _other(site: OtherSite, day: date | None) -> str:
    """Where the other property is, and who rings from there."""
    here = others_now(site, day)
    phones = [c for o in here for c in o.contacts if c.way is ContactWay.PHONE]
    who = [and_list([o.name for o in here]), *map(contact_text, phones)]
    known = " ".join(w for w in who if w)
    return f"{site.address} ({known})" if known else site.address


def _notes(hole: Hole) -> str:
    notes = [o.notes for o in occupants_now(hole)]
    notes += [hole.site.notes] if hole.site else []
    return " · ".join(n for n in (*notes, *hole.notes.splitlines()) if n)
