"""How alike two customers are: by name, telephone, e-mail and address."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wellbook.likeness.names import NameFit, compare_names
from wellbook.likeness.places import PlaceChances, PlaceSaid, place_reasons
from wellbook.likeness.weighing import Chance, Likeness, Reason, likeness

_NAMES = {
    NameFit.SAME: ("same name", Chance(0.75, 0.0005)),
    NameFit.NEAR: ("nearly one name", Chance(0.18, 0.001)),
    NameFit.FAMILY: ("one family name", Chance(0.05, 0.01)),
    NameFit.OTHER: ("other names", Chance(0.01, 0.99)),
}
_PHONE, _PHONE_ENDS, _OTHER_PHONES = Chance(0.7, 0.0005), Chance(0.05, 0.001), Chance(0.3, 1.0)
_EMAIL, _OTHER_EMAILS = Chance(0.7, 0.0002), Chance(0.4, 1.0)
_PLACES = PlaceChances(
    same=Chance(0.55, 0.0005),
    near=Chance(0.2, 0.001),
    road=Chance(0.05, 0.01),
    other=Chance(0.2, 0.99),
    town=Chance(0.9, 0.15),
    other_town=Chance(0.1, 0.85),
)
_LOCAL_DIGITS = 7


@dataclass(frozen=True, slots=True)
class CustomerSaid:
    """A customer as he is on record, or as a file says.

    Parameters
    ----------
    name
        As it was written.
    phones
        As they were written, or in E.164.
    emails
        Mailboxes.
    places
        Where he is or was.
    """

    name: str = ""
    phones: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()
    places: tuple[PlaceSaid, ...] = ()


def compare_customers(one: CustomerSaid, other: CustomerSaid) -> Likeness:
    """What speaks for and against two customers being one.

    Parameters
    ----------
    one, other
        With their numbers in E.164 where they are valid ones.
    """
    return likeness(
        _name(one.name, other.name),
        _phones(one.phones, other.phones),
        _emails(one.emails, other.emails),
        *place_reasons(one.places, other.places, _PLACES),
    )


def _name(one: str, other: str) -> Reason | None:
    known = _NAMES.get(compare_names(one, other))
    if known is None:
        return None
    words, chance = known
    return Reason(f"{words}: {one} / {other}" if one != other else f"{words}: {one}", chance.worth)


def _phones(one: Iterable[str], other: Iterable[str]) -> Reason | None:
    mine, theirs = ["".join(p.split()) for p in one], ["".join(p.split()) for p in other]
    if not mine or not theirs:
        return None
    if same := [p for p in mine if p in theirs]:
        return Reason(f"same telephone number: {same[0]}", _PHONE.worth)
    for a in mine:
        for b in theirs:
            if _ends_alike(a, b):
                return Reason(f"telephone numbers that end alike: {a} / {b}", _PHONE_ENDS.worth)
    return Reason(f"other telephone numbers: {mine[0]} / {theirs[0]}", _OTHER_PHONES.worth)


def _ends_alike(one: str, other: str) -> bool:
    """Whether one is the other without its area code."""
    a, b = sorted(("".join(c for c in x if c.isdigit()) for x in (one, other)), key=len)
    return len(a) == _LOCAL_DIGITS and b.endswith(a)


def _emails(one: Iterable[str], other: Iterable[str]) -> Reason | None:
    mine, theirs = ([e.strip().lower() for e in some] for some in (one, other))
    if not mine or not theirs:
        return None
    if same := [e for e in mine if e in theirs]:
        return Reason(f"same e-mail: {same[0]}", _EMAIL.worth)
    return Reason(f"other e-mails: {mine[0]} / {theirs[0]}", _OTHER_EMAILS.worth)
