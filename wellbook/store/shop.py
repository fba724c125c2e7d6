"""What a shop says of itself: address, place, time zone, mail server, how it reminds.

Each fact has a meaning, a reader that refuses what cannot be, and what counts where it is not said.
The mail server's password is no fact of the book: it is read from the environment.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from pathlib import PurePosixPath, PureWindowsPath

from sqlalchemy import Connection, delete, insert, select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.rows import fit_lengths, log
from wellbook.store.time_zones import known_zone
from wellbook.terms import ContactWay, RemindBy, Security, Word

AHEAD_DAYS, TOGETHER_DAYS = 30, 90


@dataclass(frozen=True, slots=True)
class ShopFact:
    """One thing that a shop says of itself.

    Parameters
    ----------
    meaning
        One line for the shop.
    default
        What counts where it is not said; "" for nothing.
    read
        The value as it is kept, from what was typed; raises ValueError saying what would be right.
    """

    meaning: str
    default: str
    read: Callable[[str], str]


def _line(text: str) -> str:
    if "\n" in text or "\r" in text or not text.isprintable():
        raise ValueError("write it in one line; lines of an address are parted by commas")
    return text


def _address(text: str) -> str:
    if len([part for part in text.split(",") if part.strip()]) < 2:
        raise ValueError(f"'{text}' is no postal address; write road and town, parted by a comma")
    return _line(text)


def _server(text: str) -> str:
    if not text.isprintable() or re.search(r"[\s/@,]", text) or text.count(":") == 1:
        raise ValueError(
            f"'{text}' is no name of a server; write one such as mail.example.com, and its port by"
            " mail_port"
        )
    return text


def _place(text: str) -> str:
    from wellbook.engineering.great_circle import read_place

    latitude, longitude = read_place(text)
    return f"{latitude},{longitude}"


def _zone(text: str) -> str:
    if known_zone(text) is None:
        raise ValueError(f"'{text}' is no time zone; write one such as America/Chicago")
    return text


def _folder(text: str) -> str:
    if not (PurePosixPath(text).is_absolute() or PureWindowsPath(text).is_absolute()):
        raise ValueError(f"'{text}' is no whole path; write one such as /srv/wellbook/files")
    return _line(text)


def _email(text: str) -> str:
    if not is_email(text):
        raise ValueError(f"'{text}' is no e-mail address")
    return text


_STATE_AND_CODE = re.compile(r"[A-Z]{2}(\s+\d{5}(-\d{4})?)?")


def postal_lines(address: str) -> list[str]:
    """An address that was typed on one line, as it stands on an envelope: the state and its code go
    on the line of the town (USPS Publication 28, section 211, from memory).

    >>> postal_lines("18 Foundry Lane, Thistleford, ST 00000")
    ['18 Foundry Lane', 'Thistleford, ST 00000']
    """
    lines = [part.strip() for part in address.split(",") if part.strip()]
    if len(lines) > 2 and _STATE_AND_CODE.fullmatch(lines[-1]):
        lines[-2:] = [f"{lines[-2]}, {lines[-1]}"]
    return lines


def is_email(text: str) -> bool:
    """Whether it can be an e-mail address: one @, no blanks, no control characters."""
    return bool(re.fullmatch(r"[^@\s<>,;\"]+@[^@\s<>,;\"]+\.[^@\s<>,;\".]+", text)) and (
        text.isprintable()
    )


def _country(text: str) -> str:
    from wellbook.store.phones import is_country

    if not is_country(text.upper()):
        raise ValueError(f"'{text}' is no country's code; write two letters such as US or CA")
    return text.upper()


def _area_code(text: str) -> str:
    if not re.fullmatch(r"[0-9]{1,5}", text):
        raise ValueError(f"'{text}' is no area code; write its digits, such as 207")
    return text


def _one_of(words: type[Word]) -> Callable[[str], str]:
    def read(text: str) -> str:
        known = [word.value for word in words]
        if text not in known:
            raise ValueError(f"'{text}' is not one of: {', '.join(known)}")
        return text

    return read


def _ways(text: str) -> str:
    asked = [word for word in re.split(r"[,\s]+", text.lower()) if word]
    known = [way.value for way in ContactWay]
    if asked == ["none"]:
        return "none"
    wrong = [word for word in asked if word not in known]
    if wrong or not asked:
        raise ValueError(f"'{text}' is not some of: {', '.join(known)}; or none")
    return ",".join(dict.fromkeys(asked))


def _whole(least: int, most: int) -> Callable[[str], str]:
    def read(text: str) -> str:
        if not re.fullmatch(r"\d{1,6}", text) or not least <= int(text) <= most:
            raise ValueError(f"'{text}' is no whole number from {least} to {most}")
        return str(int(text))

    return read


FACTS: Mapping[str, ShopFact] = {
    "name": ShopFact("the shop's name", "", _line),
    "address": ShopFact("its postal address, lines parted by commas", "", _address),
    "phone": ShopFact("the number that customers ring", "", _line),
    "email": ShopFact("the address that e-mail is sent from and answered to", "", _email),
    "licence": ShopFact("licence or registration number, for papers", "", _line),
    "country": ShopFact(
        "where telephone numbers without a country's code belong (two letters, ISO 3166-1)",
        "US",
        _country,
    ),
    "area_code": ShopFact(
        "the area code that completes a number without one; else it stays as it was written",
        "",
        _area_code,
    ),
    "place": ShopFact("latitude,longitude of the yard: where a day's driving begins", "", _place),
    "time_zone": ShopFact("its time zone; else that of this machine", "", _zone),
    "remind_by": ShopFact(
        "how a customer is reminded who has not chosen", "letter", _one_of(RemindBy)
    ),
    "agreement": ShopFact(
        "ways that need a customer's yes before they are used (phone, email, post, or none)",
        "email",
        _ways,
    ),
    "ahead_days": ShopFact(
        "a reminder goes out when something is due within so many days",
        str(AHEAD_DAYS),
        _whole(0, 365),
    ),
    "together_days": ShopFact(
        "and tells of all that comes due within so many",
        str(TOGETHER_DAYS),
        _whole(0, 730),
    ),
    "pause_days": ShopFact(
        "and who was told of something is not told of the next thing, unless it is grave, for so many",
        "28",
        _whole(0, 365),
    ),
    "mail_server": ShopFact("the mail server that takes the shop's e-mail (SMTP)", "", _server),
    "mail_port": ShopFact("its port", "587", _whole(1, 65535)),
    "mail_security": ShopFact(
        "how the line to it is kept private: starttls, tls or none", "starttls", _one_of(Security)
    ),
    "mail_user": ShopFact(
        "who signs in there; the password is taken from WELLBOOK_SMTP_PASSWORD", "", _line
    ),
    "files": ShopFact(
        "the folder for attached files, where the book is a server's; all who use it must reach it",
        "",
        _folder,
    ),
    "daily_backups": ShopFact(
        "how many daily backups are kept beside the book, where it is a file; 0 for none",
        "14",
        _whole(0, 999),
    ),
}
"""All facts, by name, in the order in which they are shown."""


@dataclass(frozen=True, slots=True)
class ShopSays:
    """All facts of a shop, with what counts where it says nothing."""

    said: Mapping[str, str]

    def __getitem__(self, name: str) -> str:
        return self.said.get(name, FACTS[name].default)

    def number(self, name: str) -> int:
        """A fact that is a whole number."""
        return int(self[name])

    @property
    def place(self) -> tuple[float, float] | None:
        """Where a day's driving begins, as latitude and longitude."""
        from wellbook.engineering.great_circle import read_place

        return read_place(self["place"]) if self["place"] else None

    @property
    def address_lines(self) -> tuple[str, ...]:
        """The postal address, line by line."""
        return tuple(postal_lines(self["address"]))

    @property
    def agreement(self) -> frozenset[ContactWay]:
        """The ways that need a yes."""
        said = self["agreement"]
        return frozenset() if said == "none" else frozenset(map(ContactWay, said.split(",")))

    @property
    def zone(self) -> tzinfo | None:
        """The shop's time zone; None for the machine's own."""
        return known_zone(self["time_zone"])


def shop_says(connection: Connection) -> ShopSays:
    """What the shop says of itself."""
    rows = connection.execute(select(t.shop_fact.c.name, t.shop_fact.c.value))
    said = {name: value for name, value in rows if name in FACTS}
    # The name that the book was begun with, until the shop says another: by it a demo is known.
    begun = connection.execute(select(t.book.c.shop_name)).scalar()
    return ShopSays({**({"name": begun} if begun else {}), **said})


def say_of_shop(connection: Connection, who: str, name: str, value: str) -> None:
    """Keep one fact; "default" takes the shop's own away.

    Raises
    ------
    WellbookError
        If there is no such fact, or the value will not do.
    """
    if name not in FACTS:
        raise WellbookError(f"a shop has no '{name}'; it has: {', '.join(FACTS)}", where=name)
    old = shop_says(connection).said.get(name)
    taken_away = value.strip().lower() in ("", "default")
    try:
        new = None if taken_away else FACTS[name].read(value.strip())
        fit_lengths({name: new})
    except ValueError as error:
        raise WellbookError(str(error), where=name) from None
    put_fact(connection, who, name, old, new)


def put_fact(connection: Connection, who: str, name: str, old: str | None, new: str | None) -> None:
    """Write one fact as it is kept; None for what is not said."""
    connection.execute(delete(t.shop_fact).where(t.shop_fact.c.name == name))
    if new is not None:
        connection.execute(insert(t.shop_fact).values(name=name, value=new))
    log(connection, who, "change", "shop", name, old={name: old}, new={name: new})
    if name in ("country", "area_code"):
        from wellbook.store.keys import look_again

        look_again(connection)
