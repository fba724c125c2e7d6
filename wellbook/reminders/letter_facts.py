"""What a letter may speak of: the fields that a template can name, and made-up ones to try it with.

The pages of docs are made from what stands here, and a template is checked against it. All text is
put on one line before a template sees it: what somebody typed into a name or a note is never a
header, a paragraph or a part of the template.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from typing import Annotated, Any, TypeVar

from wellbook.plain_text import on_one_line

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Shop:
    """Who writes."""

    name: Annotated[str, "the shop's name"]
    address_lines: Annotated[tuple[str, ...], "its postal address, a line each"]
    phone: Annotated[str, "the number to ring"]
    email: Annotated[str, "its e-mail address"] = ""
    licence_no: Annotated[str, "its licence number, as the state wrote it"] = ""


@dataclass(frozen=True, slots=True)
class Receiver:
    """Who is written to."""

    name: Annotated[str, "the customer's name"]
    address_lines: Annotated[tuple[str, ...], "the customer's postal address"] = ()


@dataclass(frozen=True, slots=True)
class Property:
    """Where the wells are."""

    road: Annotated[str, "number and road"]
    town: Annotated[str, "the town"]


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that is due."""

    rule: Annotated[str, "the rule that found it, as `wellbook rules` names it"]
    what: Annotated[str, "the thing in two or three words, fit for a card that anybody can read"]
    sentence: Annotated[str, "the thing in one whole sentence for the customer"]
    ahead: Annotated[date | None, "the day from which it is due, where that is still ahead"] = None
    is_water: Annotated[bool, "whether it is about the water itself"] = False


@dataclass(frozen=True, slots=True)
class OneWell:
    """A well at which something is due."""

    tag: Annotated[str, "the shop's tag of the well"]
    told: Annotated[tuple[Told, ...], "what is due at it"]
    where: Annotated[str, "where on the property it is"] = ""
    pump: Annotated[str, "the pump in it, and since when"] = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """All that one message may speak of: one property, one customer, everything that is due there."""

    shop: Annotated[Shop, "who writes"]
    receiver: Annotated[Receiver, "who is written to"]
    place: Annotated[Property, "where the wells are"]
    wells: Annotated[
        tuple[OneWell, ...], "the wells at which something is due, one after the other"
    ]
    day: Annotated[date, "the day of the message"]

    @property
    def told(self) -> tuple[Told, ...]:
        """All that is due there, of whichever well."""
        return tuple(one for well in self.wells for one in well.told)

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of those wells."""
        return tuple(well.tag for well in self.wells)

    @property
    def things(self) -> tuple[str, ...]:
        """What is due in a few words, each thing once."""
        return tuple(dict.fromkeys(one.what for one in self.told))

    @property
    def briefly(self) -> tuple[Told, ...]:
        """What is due, each thing once and as it first comes: for a card, which has little room."""
        first: dict[str, Told] = {}
        # What is due now is before what is due on any day ahead.
        for one in sorted(self.told, key=lambda one: one.ahead or date.min):
            first.setdefault(one.what, one)
        return tuple(first[what] for what in self.things)

    @property
    def is_water(self) -> bool:
        """Whether anything that is due is about the water itself."""
        return any(one.is_water for one in self.told)

    @property
    def way_out(self) -> str:
        """How to get no more of these; every e-mail has to say it."""
        return (
            "To get no more of these by e-mail, answer with STOP"
            + (f", or ring {self.shop.phone}" if self.shop.phone else "")
            + "."
        )


def cleaned(value: T) -> T:
    """The same with every text in it on one line, and no empty lines in an address.

    >>> cleaned(Receiver("Orla\\r\\nBcc: x@y.example", ("4 Larkspur Bend", " ")))
    Receiver(name='Orla Bcc: x@y.example', address_lines=('4 Larkspur Bend',))
    """
    new: Any = value
    if isinstance(value, str):
        new = on_one_line(value)
    elif isinstance(value, tuple):
        new = tuple(one for one in map(cleaned, value) if one != "")
    elif is_dataclass(value) and not isinstance(value, type):
        new = replace(value, **{f.name: cleaned(getattr(value, f.name)) for f in fields(value)})
    return new  # type: ignore[no-any-return]


_SHOP = Shop(
    name="Thornfield Pump & Well",
    address_lines=("18 Foundry Lane", "Nettlewick, ST 00000"),
    phone="555-0100",
    email="desk@thornfield.example",
    licence_no="PI-0417",
)
_CHECK_UP = Told(
    rule="check-up",
    what="yearly check-up",
    sentence="The last check-up on record is from September 9, 2025; one is due every 12 months.",
    ahead=date(2026, 12, 9),
)
_SAMPLE = Told(
    rule="water-test",
    what="water sample",
    sentence="No laboratory sheet newer than June 2, 2025 is on record.",
    is_water=True,
)
_WELL = OneWell(
    "TF-0031",
    (_CHECK_UP,),
    "behind the barn, 40 ft north of the corner post",
    "a 1-1/2 hp submersible, set on August 30, 2018",
)
SAMPLES: tuple[Facts, ...] = (
    Facts(
        _SHOP,
        Receiver("Orla Venterick", ("4 Larkspur Bend", "Nettlewick, ST 00000")),
        Property("4 Larkspur Bend", "Nettlewick"),
        (_WELL, OneWell("TF-0032", (_SAMPLE,))),
        date(2026, 11, 25),
    ),
    # What often is not known: a template has to do without it.
    Facts(
        Shop(_SHOP.name, _SHOP.address_lines, _SHOP.phone),
        Receiver("Orla Venterick"),
        Property("", "Nettlewick"),
        (OneWell("TF-0032", (_SAMPLE,)),),
        date(2026, 11, 25),
    ),
    Facts(
        Shop(_SHOP.name, _SHOP.address_lines, _SHOP.phone),
        Receiver("Orla Venterick"),
        Property("4 Larkspur Bend", "Nettlewick"),
        (OneWell("TF-0031", (replace(_CHECK_UP, ahead=None),)),),
        date(2026, 11, 25),
    ),
)
"""Invented facts: with all that can be known, and with little; with water in it, and without."""
