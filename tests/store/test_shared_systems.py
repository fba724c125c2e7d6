"""Wells that come to feed one water system, and part again: whose tank is whose.

The wells are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest

from wellbook.errors import WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Switch, Tank
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.wells import add_site, add_well, join_systems, leave_system

TODAY = date(2026, 11, 25)


def well(book: Book, tag: str, site: int | None = None) -> int:
    with book.writing() as connection:
        return add_well(connection, "me", tag, {"site_id": site}, today=TODAY)


def record(book: Book, number: int, text: str, **more: Any) -> sheets.Recording:
    with book.writing() as connection:
        return sheets.record(connection, "me", number, tomllib.loads(text), today=TODAY, **more)


def hole(book: Book, number: int) -> Hole:
    with book.reading() as connection:
        return load_hole(connection, number)


def join(book: Book, one: int, other: int) -> None:
    with book.writing() as connection:
        assert join_systems(connection, "me", one, other)


def part(book: Book, one: int) -> None:
    with book.writing() as connection:
        leave_system(connection, "me", one)


def tanks(book: Book, number: int) -> list[float | None]:
    return [tank.volume_gal for _, tank in hole(book, number).parts(Tank)]


def tank_of(year: int, gallons: int) -> str:
    return (
        f'date = {year}-05-01\nreason = "replacement"\n[set.tank]\nvolume_gal = {gallons}\n'
        f"[set.switch]\ncut_in_psi = 40\ncut_out_psi = {gallons}"
    )


@pytest.fixture
def two(book: Book) -> tuple[int, int]:
    """A well with a tank of 2010, and one with a tank of 2019."""
    elder, younger = well(book, "C"), well(book, "D")
    record(book, elder, tank_of(2010, 44))
    record(book, younger, tank_of(2019, 86))
    return elder, younger


@pytest.mark.parametrize("turned", [False, True])
def test_two_wells_that_come_to_share_keep_both_tanks(
    book: Book, two: tuple[int, int], turned: bool
) -> None:
    join(book, *(two if turned else two[::-1]))
    for number in two:
        assert sorted(filter(None, tanks(book, number))) == [44, 86]
        assert all(c.pulled_on is None for c in hole(book, number).components)
        assert len(list(hole(book, number).parts(Switch))) == 2


def test_each_tank_is_named_by_its_size_since_then(book: Book, two: tuple[int, int]) -> None:
    join(book, *two)
    elder, younger = two
    with pytest.raises(Exception, match="volume_gal = 44"):
        record(
            book,
            younger,
            'date = 2020-01-01\nreason = "replacement"\n[set.tank]\nprecharge_psi = 30',
        )
    out = 'date = 2026-10-01\nreason = "replacement"\n[pulled.tank]\nvolume_gal = 44'
    record(book, younger, out)
    assert tanks(book, elder) == tanks(book, younger) == [86]


def test_a_correction_of_an_older_sheet_is_still_of_its_own_tank(book: Book) -> None:
    elder, younger = well(book, "C"), well(book, "D")
    record(book, elder, tank_of(2010, 44))
    made = record(book, younger, tank_of(2019, 85))
    join(book, younger, elder)
    with book.writing() as connection:
        data = tomllib.loads(tank_of(2019, 86))
        sheets.correct(connection, "me", made.number, data, today=TODAY)
    assert sorted(filter(None, tanks(book, elder))) == [44, 86]


def test_what_is_set_while_they_share_takes_the_place_for_both(book: Book) -> None:
    elder, younger = well(book, "C"), well(book, "D")
    record(book, elder, tank_of(2010, 44))
    join(book, younger, elder)
    record(book, younger, tank_of(2019, 86))
    assert tanks(book, elder) == tanks(book, younger) == [86]


@pytest.mark.parametrize("turned", [False, True])
def test_a_well_that_parts_again_has_its_own_tank_back(
    book: Book, two: tuple[int, int], turned: bool
) -> None:
    before = [{c.uid for c in hole(book, n).components} for n in two]
    join(book, *(two if turned else two[::-1]))
    part(book, two[1])
    assert [tanks(book, n) for n in two] == [[44], [86]]
    assert [{c.uid for c in hole(book, n).components} for n in two] == before
    for number in two:
        system = hole(book, number).system
        assert system is not None
        assert system.other_wells == ()


def test_a_house_draws_on_the_well_that_parted_alone(book: Book) -> None:
    with book.writing() as connection:
        houses = [add_site(connection, "me", {"road": f"{n} Elm"}) for n in (1, 2)]
    one, other = (well(book, tag, site) for tag, site in zip("CD", houses, strict=True))
    join(book, one, other)
    part(book, one)
    for number in (one, other):
        system = hole(book, number).system
        assert system is not None
        assert system.other_sites == ()


def test_a_well_by_itself_cannot_part(book: Book) -> None:
    number = well(book, "C")
    with pytest.raises(WellbookError, match="C shares its tank with no other well"):
        part(book, number)
