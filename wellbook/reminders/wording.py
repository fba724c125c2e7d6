"""A notice as the facts of a letter: whose well it is, which pump hangs there, what is due and why."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from sqlalchemy import Connection

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.quantities import show
from wellbook.reminders.gathering import Notice
from wellbook.reminders.letter_facts import Facts, OneWell, Property, Receiver, Shop, Told
from wellbook.reminders.letters import TemplateKind, default_template
from wellbook.rules import names
from wellbook.rules.customer_words import in_words
from wellbook.store.contacts import Owed
from wellbook.store.shop import ShopSays
from wellbook.store.templates import template_text
from wellbook.terms import ContactWay

OF_THE_WATER = frozenset({names.WATER_TEST, names.SAMPLES_OWED, names.WATER_FIGURES})
"""Rules about the water itself: a card that anybody can read says no more than that it is one."""


def words_of_shop(connection: Connection) -> dict[TemplateKind, str]:
    """The template of each kind: the shop's own, else the program's."""
    return {k: template_text(connection, k) or default_template(k) for k in TemplateKind}


def shop_of(shop: ShopSays) -> Shop:
    """Who writes."""
    return Shop(
        name=shop["name"],
        address_lines=shop.address_lines,
        phone=shop["phone"],
        email=shop["email"],
        licence_no=shop["licence"],
    )


def facts_of(notice: Notice, shop: ShopSays, holes: Mapping[int, Hole], today: date) -> Facts:
    """All that the message of a notice may speak of.

    Parameters
    ----------
    holes
        The record of each well that it tells of, by the well's number.
    """
    place, who = notice.place, notice.place.resident
    lines = notice.choice.address.split("\n") if notice.choice.by else []
    post = notice.choice.by is not None and notice.choice.by.way is ContactWay.POST
    return Facts(
        shop=shop_of(shop),
        receiver=Receiver(who.name if who else "", tuple(lines) if post else ()),
        place=Property(place.road, place.town),
        wells=tuple(_well(tag, notice, holes, today) for tag in notice.tags),
        day=today,
    )


def _well(tag: str, notice: Notice, holes: Mapping[int, Hole], today: date) -> OneWell:
    mine = [o for o in notice.tells if o.tag == tag]
    hole = holes[mine[0].well_id]
    # Two rules may say one sentence: the test for bacteria and for nitrate, from one sample.
    once: dict[str, Told] = {}
    for owed in mine:
        once.setdefault(owed.finding.to_customer, _told(owed, today))
    return OneWell(
        tag,
        tuple(once.values()),
        hole.site.well_head if hole.site else "",
        pump_words(hole),
    )


def _told(owed: Owed, today: date) -> Told:
    finding = owed.finding
    water, begins = finding.rule in OF_THE_WATER, finding.may_from
    return Told(
        rule=finding.rule,
        what="water test" if water else finding.subject,
        sentence=finding.to_customer,
        ahead=begins if begins is not None and begins > today else None,
        is_water=water,
    )


def pump_words(hole: Hole) -> str:
    """The pump that hangs there, for somebody who owns it: "1-1/2 hp submersible, set on August 30, 2018".

    Empty where nothing is known of it.
    """
    there = hole.the(Pump)
    if there is None:
        return ""
    component, pump = there
    power = f"{show(pump.hp, 'hp')}" if pump.hp else ""
    kind = pump.type.label if pump.type else "pump"
    known = pump.hp or pump.type or component.set_on.known
    if not known:
        return ""
    said = " ".join(x for x in (power, kind) if x)
    return f"{said}, set {in_words(component.set_on)}" if component.set_on.known else said
