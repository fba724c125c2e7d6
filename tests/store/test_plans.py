"""A plan is a visit that is undone: the replay's answer, and nothing left behind."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Pipe, Pump
from wellbook.hole.records import PumpModel
from wellbook.hole.sheet import SheetError
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.plans import hang
from wellbook.store.pump_writing import add_pumps
from wellbook.store.wells import add_well
from wellbook.terms import Kind

TODAY = date(2026, 11, 25)
HANGS = """
date = 2019-06-03
reason = "replacement"
[set.pump]
hp = "3/4"
rated_gpm = 10
set_depth_ft = 260
[[set.pipe]]
material = "pe3408"
to_ft = 260
[set.cable]
awg = 12
to_ft = 280
[set.check_valve]
depth_ft = 180
"""


class Undone(Exception):  # noqa: N818 - it is no error
    """Takes a transaction back."""


@pytest.fixture
def well(book: Book) -> int:
    with book.writing() as connection:
        number = add_well(connection, "me", "W-1", {}, today=TODAY)
        sheets.record(connection, "me", number, tomllib.loads(HANGS), today=TODAY)
    return number


def planned(book: Book, number: int, text: str) -> Hole:
    made = None
    with pytest.raises(Undone), book.writing() as connection:
        made = hang(connection, "me", number, tomllib.loads(text), today=TODAY)
        raise Undone
    assert made is not None
    return made.after


def test_new_pipe_takes_the_place_of_all_of_it_and_its_valves(book: Book, well: int) -> None:
    after = planned(book, well, '[[set.pipe]]\nmaterial = "pe4710"\nto_ft = 200\n')
    assert [p.to_ft for _, p in after.parts(Pipe)] == [200]
    assert not after.down(Kind.CHECK_VALVE)
    # The cable and the pump were not spoken of: they hang as they did.
    assert [c.to_ft for _, c in after.parts(Cable)] == [280]


def test_a_valve_that_goes_back_stays(book: Book, well: int) -> None:
    text = '[[set.pipe]]\nmaterial = "pe4710"\nto_ft = 200\n[back.check_valve]\n'
    assert [v.depth_ft for _, v in planned(book, well, text).parts(CheckValve)] == [180]


def test_a_pump_of_the_list_needs_its_model_only(book: Book, well: int) -> None:
    curve = HeadCurve(((0, 385), (8, 275), (12, 140)))
    model = PumpModel(maker="Kesp", model="K-9", hp=0.75, rated_gpm=8.0, curve=curve)
    with book.writing() as connection:
        add_pumps(connection, "me", [model])
    after = planned(book, well, '[set.pump]\nmodel = "k-9"\nset_depth_ft = 260\n')
    found = after.the(Pump)
    assert found is not None
    assert (found[1].hp, found[1].rated_gpm, found[1].set_depth_ft) == (0.75, 8, 260)
    assert after.pump_model is not None
    assert after.pump_model.curve == curve


def test_a_drive_takes_the_place_of_the_switch(book: Book, well: int) -> None:
    switch = 'date = 2020-05-01\nreason = "other"\n[set.switch]\ncut_out_psi = 50\n'
    with book.writing() as connection:
        sheets.record(connection, "me", well, tomllib.loads(switch), today=TODAY)
    after = planned(book, well, '[set.control]\ntype = "drive"\nsetpoint_psi = 55\n')
    assert not after.down(Kind.SWITCH)
    assert after.down(Kind.CONTROL)


def test_nothing_is_left_behind(book: Book, well: int) -> None:
    with book.reading() as connection:
        before = load_hole(connection, well)
    planned(book, well, "[set.pump]\nhp = 1\nset_depth_ft = 250\n")
    with book.reading() as connection:
        assert load_hole(connection, well) == before


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("[set.pump]\ntype = 'submersible'\nset_depth_ft = 300\n", "pipe ends at 260 ft"),
        ("[set.pump]\ntype = 'submersible'\nset_depth_ft = 200\n", "pipe ends at 260 ft"),
        (
            "[set.pump]\ntype = 'submersible'\nset_depth_ft = 320\n[[set.pipe]]\nto_ft = 320\n",
            "cable ends at 280 ft",
        ),
    ],
)
def test_pipe_and_cable_go_with_the_setting(book: Book, well: int, text: str, what: str) -> None:
    with pytest.raises(WellbookError, match=what), book.writing() as connection:
        hang(connection, "me", well, tomllib.loads(text), today=TODAY)


@pytest.mark.parametrize(
    ("text", "wrong", "error"),
    [
        ("", "a plan says what is to hang there", WellbookError),
        ("[set.pump]\nset_depth_ft = -1\n", "set depth cannot be less than nothing", SheetError),
        ("[set.pomp]\nhp = 1\n", "pomp", SheetError),
    ],
)
def test_a_plan_that_cannot_be_is_refused(
    book: Book, well: int, text: str, wrong: str, error: type[Exception]
) -> None:
    with pytest.raises(error, match=wrong), book.writing() as connection:
        hang(connection, "me", well, tomllib.loads(text), today=TODAY)
