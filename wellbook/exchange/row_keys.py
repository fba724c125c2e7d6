"""By what the record of a row is known, and which rows are of none: totals, the header once more."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable

from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.person import name_in, read_person
from wellbook.exchange.row_cells import RowCells
from wellbook.exchange.well_record import HOUSE
from wellbook.likeness.names import told_name
from wellbook.likeness.roads import house_key, place_key
from wellbook.store.phones import Numbering

_TELLS = ("key", "tag", "permit_no", "name", "road", "town", "latitude", "longitude")
"""By which a well is told from others."""
_NAMES = ("customer.name", "customer.first_name", "customer.last_name")
_WHAT = "(?:wells?|customers?|records?|rows?|entries|accounts?|jobs?|visits?|owners?)"
_TOTALS = re.compile(
    r"(?:(?:grand|sub)[ -]?)?(?:totals?|sums?|averages?|avg|means?|medians?|counts?)\b"
    rf"(?: (?:of|all|depth|feet|number|{_WHAT})\b.*)?[:.=]?(?: ?[\d.,]+(?: {_WHAT})?)?[:.]?"
    rf"|(?:number of )?{_WHAT} ?[:=] ?[\d.,]+|[\d.,]+ {_WHAT}(?: (?:in )?(?:all|total))?",
    re.IGNORECASE,
)
_OF_A_PAGE = re.compile(
    r"(?:page|sheet|pg\.?) ?:?\d+(?: ?(?:of|/) ?\d+)?|-+ ?\d+ ?-+|[-=_*. ]+"
    r"|(?:printed|run|report|date)(?: (?:date|on|by))?:? ?\d[\d/.:-]*.*"
    r"|\(?(?:continued|cont'?d?\.?|end of (?:list|report|file)|end)\)?\.*",
    re.IGNORECASE,
)
"""What a printed page has at its edges."""
_NOTE = re.compile(
    r"\*.*|©.*|(?:foot)?notes?\b.*:.*|(?:\S+\s+){7,}\S+"
    r"|(?:sources?|prepared|produced|generated|exported|compiled|disclaimer|legend|copyright)"
    r"(?:\s*:| (?:by|on|from|at|of)\b| ?[\d(]).*"
    r"|\(?\d[\d,]* (?:rows?|records?) (?:affected|selected|returned)\)?",
    re.IGNORECASE | re.DOTALL,
)
"""A note on a table: it begins with words of one, or has more words than a name."""


class RowKeys:
    """Tells the records of the rows of one file apart."""

    def __init__(
        self, here: RowCells, mapping: WellMapping, people: bool, numbering: Numbering
    ) -> None:
        self.here, self.people, self.numbering = here, people, numbering
        self.headings = _folded(here.headers)
        self.lists_wells = mapping.kind != "customers"
        # Public records make nobody's visits.
        self.tells_visits = mapping.kind == "visits" and people
        self.tells = (*_TELLS, *(_NAMES if people else ()))

    def key(self) -> str:
        """By what the well of the row is known: the source's number, or what else tells it apart.

        The number is the same in any case, and with or without blanks beside a letter.
        """
        return re.sub(r"(?<=\D) | (?=\D)", "", self.spelled().upper())

    def no_well(self) -> str:
        """Why the row is of no well; "" where it may be one."""
        here = self.here
        said = [c.strip() for c in here.cells if c.strip()]
        lead = said[0] if said else ""
        if lead.casefold() in self.headings and _folded(said) == self.headings:
            return "the header once more"
        first = here.text("key") or lead
        if _TOTALS.fullmatch(first):
            return "a line of totals, and no well"
        if len(said) == 1 and _OF_A_PAGE.fullmatch(said[0]):
            return "the edge of a printed page, and no well"
        if len(said) == 1 and len(here.headers) > 2 and _NOTE.fullmatch(said[0]):
            return "a note on the table, and no record"
        named = {"key", "tag"} & self.here.places.keys() or self.people
        if named and not any(self.here.text(t) for t in self.tells):
            what = "well" if self.lists_wells else "customer"
            return f"no number, name or place tells which {what} this is"
        if len(said) == 1 and self.lists_wells and self.people and name_in(here.text):
            return "nothing stands beside it: a heading, or a name alone"
        return ""

    def spelled(self) -> str:
        """The key as the file spells it."""
        return self.own_key() or self._made_key()

    def own_key(self) -> str:
        """The number that the source gives; "" where it gives none."""
        return re.sub(r"^(\d+)\.0$", r"\1", self.here.text("key") or self.here.text("tag"))

    def _made_key(self) -> str:
        """A key from what tells a record from others: its house, its name and place, else all of its
        row.

        Of the shop's own wells the house tells, whoever is there. All of a row is taken in the order of
        its headers, so that columns may change their places.
        """
        name = self.here.text("name")
        address = self.here.address()
        where = [address.get(name, "") for name in ("road", "town")]
        where += [self.here.text(t) for t in ("latitude", "longitude", "drilled_on")]
        if self.people and self.lists_wells and (house := house_key(*where[:2])):
            return _made(HOUSE, [house, name.casefold()])
        if self.people and (called := name_in(self.here.text)):
            place = [place_key(*where[:2]), *where[2:4]]
            reached = [] if any(place) else self._reached()
            told = [told_name(called), name, *place, *reached]
            if self.lists_wells and not self.tells_visits:
                told += [where[4], self.here.text("depth_ft")]
        elif name and any(where):
            told = [name, *where]
        elif self.here.headers:
            told = [
                f"{h}\x1e{c.strip()}"
                for h, c in sorted(zip(self.here.headers, self.here.cells, strict=False))
            ]
        else:
            told = [c.strip() for c in self.here.cells]
        return _made("X", told)

    def _reached(self) -> list[str]:
        """The first ways to reach whoever is named."""
        person = read_person(self.here.text, _nobody_asks, self.numbering)
        return [*person.digits[:1], *person.emails[:1]] if person else []


def _folded(cells: Iterable[str]) -> list[str]:
    """Headings in whatever case, without the empty ones and the digit of a second of its name."""
    return [re.sub(r" \(\d+\)$", "", c.strip()).casefold() for c in cells if c.strip()]


def _made(letter: str, told: list[str]) -> str:
    return letter + hashlib.sha256("\x1f".join(told).encode()).hexdigest()[:10].upper()


def _nobody_asks(_target: str, _why: str) -> None:
    """What is doubtful is told as the row is read, and not as its key is."""
