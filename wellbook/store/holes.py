"""Loading holes, one or many, by a handful of plain queries each for all of them.

Rows are read and made into parts, visits and what else a record has in `store.loading`; here they are
put together to holes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields

from sqlalchemy import Connection

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.store.loading.wells import GROUPS, Wells
from wellbook.store.rows import batches
from wellbook.terms import Kind

_ALL = tuple(f.name for f in fields(Hole) if f.init)
_OF_A_BORE = ("components", "intervals", "observations", "visits")


def load_hole(connection: Connection, well_id: int) -> Hole:
    """One well's whole record."""
    return next(load_holes(connection, [well_id]))


def load_holes(connection: Connection, well_ids: Iterable[int]) -> Iterator[Hole]:
    """The whole records of wells, in the order given, some hundreds at a time."""
    for hole in holes_to_judge(connection, well_ids):
        yield Hole(**{name: getattr(hole, name) for name in _ALL})


def load_bores(connection: Connection, well_ids: Iterable[int]) -> Iterator[Hole]:
    """What is known of holes and of what hangs in them, in the order given.

    Nothing of people and places, of the system, of findings and samples: what the wells around a
    place say needs none of it.
    """
    some = [name for name in _ALL if name not in GROUPS or name in _OF_A_BORE]
    for hole in holes_to_judge(connection, well_ids):
        yield Hole(**{name: getattr(hole, name) for name in some})


def holes_to_judge(connection: Connection, well_ids: Iterable[int]) -> Iterator[Hole]:
    """The same as `load_holes`, but only that is read which is looked at.

    A rule looks at a few things of a hole. What it looks at first is read for some hundreds of wells
    at once, so such a hole is good only as long as the caller's transaction.
    """
    for some in batches(list(well_ids)):
        wells = Wells(connection, some)
        for number in some:
            yield _Asked.of(wells, number)


class _AtFirstLook:
    """A group of facts of a hole, made when it is first looked at and then the hole's own.

    A `__getattr__` would do the same, and make every look at any fact slower.
    """

    def __init__(self, name: str) -> None:
        self._name, self._make = name, GROUPS[name]

    def __get__(self, hole: _Asked, _owner: object = None) -> object:
        made = hole.__dict__[self._name] = self._make(hole._wells, hole._number, hole)
        return made


class _Asked(Hole):
    """A hole whose groups of facts are made when they are first looked at."""

    _wells: Wells
    _number: int

    @classmethod
    def of(cls, wells: Wells, number: int) -> _Asked:
        """A well of which nothing is read yet but its own row."""
        hole = object.__new__(cls)
        hole.__dict__.update(_wells=wells, _number=number)
        for name, value in wells.facts(number).items():
            object.__setattr__(hole, name, value)
        return hole

    @property
    def _ever_closed(self) -> bool:
        # Asked of each well by each rule: no reason to read all that was ever done at it.
        return self._number in self._wells.ever_closed

    def _of_kind(self, kind: Kind) -> Sequence[Component]:
        # Most rules look at one kind or two: the others of all wells need not be read for it.
        if "components" in self.__dict__:
            return Hole._of_kind(self, kind)
        return self._wells.components(self._number, kind)

    def _hung_with(self, components: tuple[Component, ...]) -> Hole:
        hole = _Asked.of(self._wells, self._number)
        hole.__dict__["components"] = components
        return hole


for _name in GROUPS:
    setattr(_Asked, _name, _AtFirstLook(_name))
