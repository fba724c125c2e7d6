"""A plan is a visit that is undone: the replay's answer, and nothing left behind."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Pipe
from wellbook.hole.records import PumpModel
from wellbook.hole.sheet import SheetError
from wellbook.rules import catalogue
from wellbook.rules.check import Check
from wellbook.rules.finding import OfPlan, Settings
from wellbook.rules.pump_facts import pump_facts
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.plans import comes_out, hang
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
    after = planned(book, well, '[[set.pipe]]\nmaterial = "pe4710"\nto_ft = 255\n')
    assert [p.to_ft for _, p in after.parts(Pipe)] == [255]
    assert not after.down(Kind.CHECK_VALVE)
    # The cable and the pump were not spoken of: they hang as they did.
    assert [c.to_ft for _, c in after.parts(Cable)] == [280]


def test_a_valve_that_goes_back_stays(book: Book, well: int) -> None:
    text = '[[set.pipe]]\nmaterial = "pe4710"\nto_ft = 255\n[back.check_valve]\n'
    assert [v.depth_ft for _, v in planned(book, well, text).parts(CheckValve)] == [180]


def test_a_pump_of_the_list_needs_its_model_only(book: Book, well: int) -> None:
    curve = HeadCurve(((0, 385), (8, 275), (12, 140)))
    model = PumpModel(maker="Kesp", model="K-9", hp=0.75, rated_gpm=8.0, curve=curve)
    with book.writing() as connection:
        add_pumps(connection, "me", [model])
    after = planned(book, well, '[set.pump]\nmodel = "k-9"\nset_depth_ft = 260\n')
    found = pump_facts(after)
    assert found is not None
    assert (found.pump_hp.value, found.rated_gpm.value) == (0.75, 8)
    assert (found.listed_curve, found.pump.set_depth_ft) == (curve, 260)


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


LISTED = PumpModel(maker="Oskerby", model="O-510", hp=1.0, rated_gpm=5.0)
SHOP = Settings()
FILES = {
    "a model of the list, and nothing else of it": """
[set.pump]
model = "O-510"
set_depth_ft = 260
""",
    "a whole string": """
[set.pump]
type = "submersible"
hp = "1/2"
rated_gpm = 7
set_depth_ft = 260
[[set.pipe]]
material = "pe4710"
wall = "SIDR 7"
nominal_in = "1"
to_ft = 260
[back.check_valve]
[set.motor]
hp = "3/4"
supply_v = 230
phases = 1
[set.switch]
cut_in_psi = 40
cut_out_psi = 60
""",
    "a shorter string, of which the plan does not say that the old one comes out": """
[set.pump]
type = "submersible"
hp = "1/2"
rated_gpm = 7
set_depth_ft = 220
[[set.pipe]]
material = "pe4710"
wall = "SIDR 9"
nominal_in = "1"
to_ft = 220
[[set.cable]]
awg = 10
to_ft = 220
""",
    "a drive": """
[set.pump]
model = "o 510"
set_depth_ft = 255
[set.control]
type = "drive"
setpoint_psi = 55
""",
}


@pytest.mark.parametrize("text", FILES.values(), ids=FILES)
def test_what_passes_as_a_plan_is_what_will_be_on_record(book: Book, well: int, text: str) -> None:
    """The same file, judged as a plan and then recorded as the visit that it became."""
    with book.writing() as connection:
        add_pumps(connection, "me", [LISTED])
        water = 'date = 2026-11-25\nreason = "check up"\n[measured]\nstatic_level_ft = 90\n'
        told = f"{water}pumping_level_ft = 200\nyield_gpm = 2.8\n"
        sheets.record(connection, "me", well, tomllib.loads(told), today=TODAY)
    of_the_plan = catalogue.checks_of_a_plan(planned(book, well, text), SHOP)
    assert of_the_plan
    with book.writing() as connection:
        room = comes_out(load_hole(connection, well), tomllib.loads(text))
        pulled = "".join(f"[pulled.{kind.value}]\n" for kind in room)
        visit = f'date = 2026-11-25\nreason = "replacement"\n{text}{pulled}'
        made = sheets.record(connection, "me", well, tomllib.loads(visit), today=TODAY)
    of_the_record = catalogue.checks_of_a_plan(made.after, SHOP)
    assert [shape_of(c) for c in of_the_plan] == [shape_of(c) for c in of_the_record]
    # Whatever `check` says beyond that is of what hangs only.
    more = {c.rule for c in catalogue.checks(made.after, SHOP)} - {c.rule for c in of_the_record}
    assert more <= {rule.name for rule in catalogue.RULES if rule.of_a_plan is not OfPlan.ALL}


def shape_of(check: Check) -> tuple[object, ...]:
    """A check without its finding, which names its parts by their uids."""
    return (check.rule, check.aspect, check.subject, check.verdict, check.says, check.value)
