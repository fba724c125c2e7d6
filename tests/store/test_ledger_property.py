"""After any series of operations the ledger equals what every rule says from nothing."""

from __future__ import annotations

import tempfile
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from wellbook.errors import ReplayError, WellbookError
from wellbook.rules import catalogue
from wellbook.store import ledger, sheets
from wellbook.store.book import Book, make_book
from wellbook.store.holes import load_hole
from wellbook.store.wells import add_well, edit_well, join_systems

TODAY = date(2026, 11, 25)
DAYS = st.integers(0, 9000).map(lambda n: TODAY - timedelta(days=n))
DEPTHS = st.integers(10, 600)


@st.composite
def sheet(draw: Any) -> dict[str, Any]:
    """Any sheet that the reader takes; whether it fits the others is for the replay to say."""
    data: dict[str, Any] = {
        "date": draw(DAYS).isoformat(),
        "reason": draw(
            st.sampled_from(
                [
                    *("check up", "no water", "other", "disinfection", "deepening"),
                    *("decommissioning", "closing down", "opening up"),
                ]
            )
        ),
    }
    if draw(st.booleans()):
        data["set"] = {
            "pump": {"hp": 1, "rated_gpm": draw(st.integers(1, 20)), "set_depth_ft": draw(DEPTHS)},
            "pipe": {"rating_psi": draw(st.sampled_from([100, 160, 200])), "to_ft": draw(DEPTHS)},
            "cable": {"made": "2001", "splices_added": draw(st.integers(0, 6))},
        }
    elif draw(st.booleans()):
        data["pulled"] = {"pump": {"why": "worn"}}
        data["left_without_pump"] = draw(st.booleans())
    elif draw(st.booleans()):
        data["back"] = {
            "pump": {"set_depth_ft": draw(DEPTHS)},
            "pipe": {"to_ft": draw(DEPTHS)},
            "cable": {"splices_added": 1},
        }
    elif draw(st.booleans()):
        join, end = sorted(draw(st.lists(DEPTHS, min_size=2, max_size=2, unique=True)))
        sections = [{"to_ft": join}, {"from_ft": join, "to_ft": end, "rating_psi": 160}]
        data["set"] = {"pipe": sections, "motor": {"hp": 1}}
    elif draw(st.booleans()):
        told = draw(st.sampled_from(["5 years old", "about 2003", "unknown"]))
        data["down"] = {"pump": {"set_on": told, "hp": 2}}
        data["basis"] = draw(st.sampled_from(["customer told", "paper record", "measured"]))
    if draw(st.booleans()):
        volumes = st.sampled_from([20, 44, 62])
        section = draw(st.sampled_from(["set", "down", "pulled"]))
        rows = draw(st.lists(volumes.map(lambda gal: {"volume_gal": gal}), max_size=2))
        data.setdefault(section, {})["tank"] = rows
    if draw(st.booleans()):
        data["measured"] = {"depth_ft": draw(DEPTHS), "static_level_ft": draw(DEPTHS)}
    if draw(st.booleans()):
        kinds = ["absent", "coliform present", "ecoli present"]
        data["sample"] = {"bacteria": draw(st.sampled_from(kinds))}
    return data


class Shop(RuleBasedStateMachine):
    """Two wells, worked on in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.book: Book = make_book(Path(self.folder.name) / "shop.book")
        self.wells: list[int] = []
        self.numbers: list[int] = []

    @initialize()
    def begin(self) -> None:
        with self.book.writing() as connection:
            ledger.renew_all(connection)
            for tag in ("A-1", "A-2"):
                self.wells.append(add_well(connection, "me", tag, {}, today=TODAY))

    @rule(data=sheet(), which=st.integers(0, 1))
    def visit(self, data: dict[str, Any], which: int) -> None:
        try:
            with self.book.writing() as connection:
                made = sheets.record(connection, "me", self.wells[which], data, today=TODAY)
            self.numbers.append(made.number)
        except ReplayError:
            pass

    @rule(data=sheet(), pick=st.integers(0, 99))
    def correct(self, data: dict[str, Any], pick: int) -> None:
        if self.numbers:
            try:
                with self.book.writing() as connection:
                    number = self.numbers[pick % len(self.numbers)]
                    made = sheets.correct(connection, "me", number, data, today=TODAY)
                self.numbers.append(made.number)
            except WellbookError:
                pass

    @rule(pick=st.integers(0, 99))
    def withdraw(self, pick: int) -> None:
        if self.numbers:
            try:
                with self.book.writing() as connection:
                    number = self.numbers[pick % len(self.numbers)]
                    sheets.withdraw(connection, "me", number, today=TODAY)
            except WellbookError:
                pass

    @rule(years=st.integers(1, 30))
    def change_a_number(self, years: int) -> None:
        with self.book.writing() as connection:
            shop = ledger.settings(connection)
            proposed = ledger.with_setting(shop, "pump-age.surely_years", str(years))
            ledger.save_settings(connection, "me", proposed)

    @rule(which=st.integers(0, 1), use=st.sampled_from(["ours", "reference"]))
    def change_role(self, which: int, use: str) -> None:
        with self.book.writing() as connection:
            edit_well(connection, "me", self.wells[which], {"role": use})

    @rule(which=st.integers(0, 1), status=st.sampled_from(["in_use", "seasonal", "sealed"]))
    def change_status(self, which: int, status: str) -> None:
        with self.book.writing() as connection:
            edit_well(connection, "me", self.wells[which], {"status": status})

    @rule()
    def share_a_tank(self) -> None:
        try:
            with self.book.writing() as connection:
                join_systems(connection, "me", self.wells[1], self.wells[0])
        except ReplayError:
            pass

    @invariant()
    def ledger_is_true(self) -> None:
        with self.book.reading() as connection:
            shop = ledger.settings(connection)
            for number in self.wells:
                findings = catalogue.judge(load_hole(connection, number), shop)
                assert ledger.ledger_of(connection, number) == findings

    def teardown(self) -> None:
        self.book.close()
        self.folder.cleanup()


Shop.TestCase.settings = settings(
    max_examples=12,
    stateful_step_count=12,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
TestShop = Shop.TestCase
