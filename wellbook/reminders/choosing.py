"""By which way a customer is told, or why he is not. Nobody who said no is; nobody who has to agree
first is, before he has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wellbook.store.consents import Answers
from wellbook.store.reachable import Place, Resident
from wellbook.store.shop import ShopSays, is_email, postal_lines
from wellbook.terms import Answer, ContactWay, RemindBy


@dataclass(frozen=True, slots=True)
class Choice:
    """The way and the address that it goes to, or in `why_not` the reason that there is none."""

    by: RemindBy | None
    address: str = ""
    why_not: str = ""


WAY_WORDS = {
    ContactWay.PHONE: "calls",
    ContactWay.EMAIL: "e-mail",
    ContactWay.POST: "post",
}


def choose(
    place: Place,
    said: Answers,
    shop: ShopSays,
    refused: Mapping[tuple[int, str], str],
    listed: RemindBy | None = None,
) -> Choice:
    """How the customer at a property is told that something is due there.

    Parameters
    ----------
    said
        What customers said of being reached by each way.
    refused
        Addresses that a mail server refused, with its words.
    listed
        The way by which he is waiting to be told already, whatever he has chosen since; None for none.
    """
    who = place.resident
    if who is None:
        return Choice(None, why_not="nobody is on record there")
    by = listed or who.remind_by or RemindBy(shop["remind_by"])
    way = by.way
    if way is None:
        wants = (
            "wants no reminders" if who.remind_by else "the shop reminds only who has chosen a way"
        )
        return Choice(by, why_not=wants)
    answer = said.get((who.customer_id, way))
    if answer is not None and answer.answer is Answer.NO:
        how = f" ({answer.how})" if answer.how else ""
        return Choice(by, why_not=f"said no to {WAY_WORDS[way]} on {answer.on_day}{how}")
    if answer is None and way in shop.agreement:
        return Choice(by, why_not=f"has not agreed to {WAY_WORDS[way]} yet")
    return _address(by, way, who, place, refused)


def _address(
    by: RemindBy,
    way: ContactWay,
    who: Resident,
    place: Place,
    refused: Mapping[tuple[int, str], str],
) -> Choice:
    given = who.addresses.get(way, ())
    if way is ContactWay.POST:
        lines = _postal_lines(given, place)
        if len(lines) < 2:
            return Choice(by, why_not="no whole postal address on record")
        return Choice(by, "\n".join(lines))
    if way is ContactWay.PHONE:
        return Choice(by, given[0]) if given else Choice(by, why_not="no telephone on record")
    good = [a for a in given if is_email(a)]
    if not good:
        return Choice(by, why_not="no e-mail address on record")
    taken = [a for a in good if (who.customer_id, a.lower()) not in refused]
    if not taken:
        words = refused[who.customer_id, good[0].lower()]
        return Choice(by, why_not=f"{good[0]} was refused before: {words}")
    return Choice(by, taken[0])


def _postal_lines(given: tuple[str, ...], place: Place) -> list[str]:
    """The address that the customer gave last for post, else the property's own."""
    if given:
        return postal_lines(given[-1])
    town = " ".join(x for x in (place.town, place.region, place.postcode) if x)
    return [x for x in (place.road, town) if x]
