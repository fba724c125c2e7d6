"""What customers are to be told now: one notice a property, for all that is due there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection, func, or_, select

from wellbook.reminders.choosing import Choice, choose
from wellbook.store import tables as t
from wellbook.store.contacts import Owed, owed_at
from wellbook.store.lives import Key, Life, Standing, lives, standing
from wellbook.store.outbox import may_tell, open_calls, refused_addresses, told_already
from wellbook.store.reachable import Place, places
from wellbook.store.rows import batches
from wellbook.store.shop import ShopSays
from wellbook.terms import Occasion, RemindBy, Role, Severity

AT_ONCE = 200
"""How many properties are looked at together, so that memory does not grow with the shop."""


@dataclass(frozen=True, slots=True)
class Notice:
    """What one customer is to be told of one property, and by which way; or why he is not.

    `still_to_call` says that it stands on an earlier call list, and that nobody wrote down a call.
    """

    place: Place
    choice: Choice
    tells: tuple[Owed, ...]
    still_to_call: bool = False

    @property
    def tags(self) -> tuple[str, ...]:
        """The wells that it is about."""
        return tuple(dict.fromkeys(o.tag for o in self.tells))

    @property
    def goes(self) -> bool:
        """Whether it goes out."""
        return not self.choice.why_not and not self.still_to_call


@dataclass(frozen=True, slots=True)
class _Days:
    """Of what is due by `soon` a notice is made; it tells of all that comes due by `by`."""

    today: date
    soon: date
    by: date


def gather(
    connection: Connection,
    shop: ShopSays,
    *,
    today: date,
    town: str = "",
    only: Collection[int] | None = None,
) -> Iterator[Notice]:
    """Every property at which something is to be told of now, by town and road.

    What is due within the shop's `ahead_days` calls for a notice; it then tells of all that comes
    due within its `together_days`, so that nobody gets two for one visit.

    Parameters
    ----------
    town
        Only this town; all where it is empty.
    only
        The numbers of the properties that are looked at, a few hundred at most; None for all.
    """
    soon = today + timedelta(days=shop.number("ahead_days"))
    by = max(soon, today + timedelta(days=shop.number("together_days")))
    days = _Days(today, soon, by)
    sites = _sites(connection, days, town, only)
    for batch in batches(sites, AT_ONCE):
        yield from _notices(connection, shop, batch, days)


def _sites(
    connection: Connection, days: _Days, town: str, only: Collection[int] | None
) -> list[int]:
    """The properties with anything due soon that customers are told of, in the order of roads."""
    ledger, well, site = t.due, t.well, t.site
    query = (
        select(site.c.id)
        .join(well, well.c.site_id == site.c.id)
        .join(ledger, ledger.c.well_id == well.c.id)
        .where(
            well.c.role == Role.OURS.value,
            ledger.c.from_day <= days.soon,
            or_(ledger.c.until.is_(None), ledger.c.until > days.today),
            ledger.c.occasion.in_([Occasion.NOW.value, Occasion.NEXT_VISIT.value]),
            ledger.c.to_customer != "",
        )
        .group_by(site.c.id, site.c.town, site.c.road)
        .order_by(site.c.town, site.c.road, site.c.id)
    )
    if town:
        query = query.where(func.lower(site.c.town) == town.lower())
    if only is not None:
        query = query.where(site.c.id.in_(only))
    return list(connection.execute(query).scalars())


def _notices(
    connection: Connection,
    shop: ShopSays,
    site_ids: Sequence[int],
    days: _Days,
) -> Iterator[Notice]:
    query = select(t.well.c.id, t.well.c.site_id).where(t.well.c.site_id.in_(site_ids))
    at = {row.id: row.site_id for row in connection.execute(query)}
    owed: dict[int, list[Owed]] = {site_id: [] for site_id in site_ids}
    for one in owed_at(connection, at, by=days.by, today=days.today):
        owed[at[one.well_id]].append(one)
    spoken: dict[int, list[Life]] = {site_id: [] for site_id in site_ids}
    for (well, _), life in lives(connection, at).items():
        spoken[at[well]].append(life)
    told, calls = told_already(connection, at), open_calls(connection, at)
    where, said = places(connection, owed, days.today)
    people = {p.resident.customer_id for p in where.values() if p.resident}
    refused = refused_addresses(connection, people)
    for site_id, mine in owed.items():
        place = where[site_id]
        fit = [o for o in mine if o.finding.to_customer]
        waiting = tuple(o for o in fit if _waits(o, calls, days.today))
        if waiting:
            choice = choose(place, said, shop, refused, RemindBy.CALL)
            yield Notice(place, choice, waiting, still_to_call=not choice.why_not)
        tells = tuple(o for o in fit if may_tell(o.life, o.key, told, days.today))
        if any(_due_by(o, days.soon) for o in tells):
            why = _not_yet(spoken[site_id], tells, days.today, shop.number("pause_days"))
            choice = choose(place, said, shop, refused)
            yield Notice(place, choice if choice.why_not or not why else _quiet(choice, why), tells)
        missed = tuple(o for o in fit if standing(o.life, days.today) is Standing.MISSED)
        if missed:
            choice = choose(place, said, shop, refused)
            yield Notice(place, _quiet(choice, _no_visit(missed)), missed)


def _not_yet(spoken: Sequence[Life], tells: Sequence[Owed], today: date, pause_days: int) -> str:
    """Why a property is left alone for now; empty where it is not.

    Where a visit is booked, the crew tells of all else. Who was told of something lately is not
    written to again for the next thing, unless that is grave.
    """
    booked = [x.for_day for x in spoken if x.standing(today) is Standing.BOOKED and x.for_day]
    if booked:
        return f"a visit is booked for {min(booked)}"
    if any(o.finding.severity is Severity.ACT for o in tells):
        return ""
    told = [x.told_on for x in spoken if x.told_on]
    if told and max(told) + timedelta(days=pause_days) > today:
        return f"was told of something on {max(told)}, less than {pause_days} days ago"
    return ""


def _no_visit(missed: Sequence[Owed]) -> str:
    """Why what was booked is not told of: somebody has to ask what came of it."""
    days = [o.life.for_day for o in missed if o.life and o.life.for_day]
    what = ", ".join(dict.fromkeys(o.finding.subject for o in missed))
    return f"{what} was booked for {max(days)} and is not done: ring, and say what came of it"


def _quiet(choice: Choice, why: str) -> Choice:
    return Choice(choice.by, choice.address, why)


def _waits(owed: Owed, calls: Mapping[tuple[Key, int], int], today: date) -> bool:
    turn = owed.life.round if owed.life else 0
    return (owed.key, turn) in calls and standing(owed.life, today) is Standing.DUE


def _due_by(owed: Owed, day: date) -> bool:
    return owed.finding.may_from is None or owed.finding.may_from <= day
