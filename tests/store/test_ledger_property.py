"""After any series of operations the ledger equals what every rule says from nothing."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import Connection, select

from wellbook.dates import When
from wellbook.errors import ReplayError, WellbookError
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import data_rows, header_of, look
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_import import import_wells
from wellbook.hole.sheet import SheetError
from wellbook.rules import catalogue
from wellbook.rules.paper_facts import job_papers
from wellbook.store import ledger, papers, renewal, sheets
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book
from wellbook.store.holes import load_hole
from wellbook.store.replaying import clear_derived, rebuild
from wellbook.store.settings import settings as shop_settings
from wellbook.store.settings import with_setting
from wellbook.store.wells import (
    add_customer,
    add_site,
    add_well,
    edit_customer,
    edit_well,
    join_systems,
    leave_system,
    move_in,
    well_by_tag,
)
from wellbook.terms import Role, SheetKind

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
        if draw(st.booleans()):
            data["sample"]["nitrate_mg_l"] = draw(st.integers(1, 20))
    return data


class _EnoughError(Exception):
    """What was written for a look is not kept."""


def _derived(connection: Connection) -> dict[str, list[tuple[Any, ...]]]:
    """All that follows from sheets, in the order of the rows, with uids for numbers."""
    found: dict[str, list[tuple[Any, ...]]] = {}
    for table in (t.component, t.observation, t.bore_interval, t.cable_inspection, t.found):
        columns = [c for c in table.c if c.name != "id"]
        query = select(*columns).order_by(table.c.well_id, table.c.id)
        found[table.name] = [tuple(row) for row in connection.execute(query)]
    for owner, table, by in (
        *((t.component, part, "component_id") for part in t.PART_TABLES.values()),
        (t.component, t.component_claim, "component_id"),
        (t.water_sample, t.water_result, "sample_id"),
    ):
        columns = [c for c in table.c if c.name != by]
        query = select(owner.c.uid, *columns).join(owner, owner.c.id == table.c[by])
        rows = [tuple(row) for row in connection.execute(query)]
        found[table.name] = sorted(rows, key=lambda row: row[:2])
    query = select(t.water_sample.c.uid).order_by(t.water_sample.c.well_id, t.water_sample.c.id)
    found["water_sample"] = [tuple(row) for row in connection.execute(query)]
    return found


@contextmanager
def file_place() -> Iterator[str]:
    """Where a book can be made as a file."""
    with tempfile.TemporaryDirectory() as folder:
        yield str(Path(folder) / "shop.book")


class Shop(RuleBasedStateMachine):
    """Two wells, worked on in any order, and a list of others that is brought in now and then."""

    new_place: Callable[[], AbstractContextManager[str]] = staticmethod(file_place)

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.book: Book = make_book(self.stack.enter_context(self.new_place()))
        self.folder = Path(self.stack.enter_context(tempfile.TemporaryDirectory()))
        self.wells: list[int] = []
        self.numbers: list[int] = []
        self.sites: list[int] = []
        self.people: list[int] = []

    @initialize()
    def begin(self) -> None:
        with self.book.writing() as connection:
            renewal.renew_all(connection)
            for tag in ("A-1", "A-2"):
                self.sites.append(add_site(connection, "me", {"road": tag}))
                self.people.append(add_customer(connection, "me", tag))
                # What was done since the day on which they came into the book owes papers.
                place = {"site_id": self.sites[-1], "entered_on": date(2015, 1, 1)}
                self.wells.append(add_well(connection, "me", tag, place, today=TODAY))

    @rule(data=sheet(), which=st.integers(0, 3))
    def visit(self, data: dict[str, Any], which: int) -> None:
        try:
            with self.book.writing() as connection:
                made = sheets.record(
                    connection, "me", self.wells[which % len(self.wells)], data, today=TODAY
                )
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
            shop = shop_settings(connection)
            try:
                proposed = with_setting(shop, "pump-age.surely_years", str(years))
            except WellbookError:
                # Pumps would surely be past their years before they may be.
                return
            renewal.save_settings(connection, "me", proposed)

    @rule(
        name=st.sampled_from(["quiet_from_month", "quiet_to_month", "months"]),
        value=st.integers(1, 12),
    )
    def change_the_quiet_season(self, name: str, value: int) -> None:
        with self.book.writing() as connection:
            proposed = with_setting(shop_settings(connection), f"check-up.{name}", str(value))
            renewal.save_settings(connection, "me", proposed)

    @rule(days=st.sampled_from([0, 30, 60]), name=st.sampled_from(["report", "pump_report"]))
    def change_what_papers_are_asked_for(self, days: int, name: str) -> None:
        with self.book.writing() as connection:
            name = f"papers-owed.{name}_days"
            proposed = with_setting(shop_settings(connection), name, str(days))
            renewal.save_settings(connection, "me", proposed)

    @rule(which=st.integers(0, 1), month=st.one_of(st.none(), st.integers(1, 12)))
    def agree_on_a_month(self, which: int, month: int | None) -> None:
        with self.book.writing() as connection:
            edit_customer(connection, "me", self.people[which], values={"contract_month": month})

    @rule(where=st.integers(0, 1), which=st.integers(0, 1), day=DAYS)
    def move(self, where: int, which: int, day: date) -> None:
        with suppress(WellbookError), self.book.writing() as connection:
            site, person = self.sites[where], self.people[which]
            move_in(connection, "me", site, person, When.on(day), today=TODAY)

    @rule(which=st.integers(0, 3), pick=st.integers(0, 99), back=st.booleans())
    def send_a_paper(self, which: int, pick: int, back: bool) -> None:
        number = self.wells[which % len(self.wells)]
        with suppress(WellbookError), self.book.writing() as connection:
            some = list(job_papers(load_hole(connection, number)))
            if not some:
                return
            paper = some[pick % len(some)]
            visit, kind = paper.visit.number, paper.kind
            if back:
                papers.take_back(connection, "me", number, kind, number=visit)
            else:
                papers.mark_sent(
                    connection, "me", number, kind, on=TODAY, number=visit, today=TODAY
                )

    @rule(which=st.integers(0, 3), use=st.sampled_from(["ours", "reference"]))
    def change_role(self, which: int, use: str) -> None:
        with self.book.writing() as connection:
            edit_well(connection, "me", self.wells[which % len(self.wells)], {"role": use})

    @rule(which=st.integers(0, 3), status=st.sampled_from(["in_use", "seasonal", "sealed"]))
    def change_status(self, which: int, status: str) -> None:
        with self.book.writing() as connection:
            edit_well(connection, "me", self.wells[which % len(self.wells)], {"status": status})

    @rule(day=DAYS, depth=DEPTHS, hp=st.sampled_from(["", "1/2", "1"]), role=st.sampled_from(Role))
    def bring_in(self, day: date, depth: int, hp: str, role: Role) -> None:
        path = self.folder / "list.csv"
        lines = f"L-1,{depth},{day},{hp},{depth - 5}\nL-2,{depth},,1,{depth + 5}\n"
        path.write_text("id,depth_ft,date_measured,pump_hp,pump_depth_ft\n" + lines, "utf-8")
        mapping = propose(look(path), "list")
        clerk = Clerk(mapping, header_of(path, mapping), TODAY, role)
        with RowsAside() as aside, self.book.writing() as connection:
            aside.put((clerk.key(row.cells), row) for row in data_rows(path, mapping))
            import_wells(connection, aside, clerk, who="me", file_name="list", today=TODAY)
            listed = [well_by_tag(connection, f"{p}L-{n}") for p in ("", "R-") for n in (1, 2)]
        # Own wells and the list's: visits, corrections and shared tanks go on with either.
        self.wells += [w for w in listed if w is not None and w not in self.wells]

    @rule(one=st.integers(0, 3), other=st.integers(0, 3))
    def share_a_tank(self, one: int, other: int) -> None:
        first, second = (self.wells[n % len(self.wells)] for n in (one, other))
        try:
            with self.book.writing() as connection:
                join_systems(connection, "me", first, second)
        except ReplayError:
            pass

    @rule(which=st.integers(0, 3))
    def share_none(self, which: int) -> None:
        try:
            with self.book.writing() as connection:
                leave_system(connection, "me", self.wells[which % len(self.wells)])
        except WellbookError:
            pass

    @rule(data=sheet(), which=st.integers(0, 3), day=DAYS, dated=st.booleans())
    def copy_paper(self, data: dict[str, Any], which: int, day: date, dated: bool) -> None:
        data = {"date": TODAY.isoformat(), "down": data.get("set", {}) | data.get("down", {})}
        data["as_of"] = day.isoformat() if dated else "unknown"
        with suppress(ReplayError, SheetError), self.book.writing() as connection:
            number = self.wells[which % len(self.wells)]
            kind = SheetKind.OPENING
            self.numbers.append(
                sheets.record(connection, "me", number, data, today=TODAY, kind=kind).number
            )

    @invariant()
    def ledger_is_true(self) -> None:
        with self.book.reading() as connection:
            shop = shop_settings(connection)
            for number in self.wells:
                findings = catalogue.judge(load_hole(connection, number), shop)
                assert ledger.ledger_of(connection, number) == findings

    @invariant()
    def what_stands_follows_from_the_sheets(self) -> None:
        # Only what differs is written after a sheet: held against all of it, written from nothing.
        with suppress(_EnoughError), self.book.writing() as connection:
            well = t.well
            systems = connection.execute(
                select(well.c.system_id).where(well.c.id.in_(self.wells)).distinct()
            )
            numbers = list(systems.scalars())
            before = _derived(connection)
            clear_derived(connection, self.wells)
            rebuild(connection, *numbers)
            assert _derived(connection) == before
            raise _EnoughError

    def teardown(self) -> None:
        self.book.close()
        self.stack.close()


Shop.TestCase.settings = settings(
    max_examples=12,
    stateful_step_count=12,
    suppress_health_check=list(HealthCheck),
)
TestShop = Shop.TestCase


def test_on_a_server_too(new_place: Callable[[], AbstractContextManager[str]]) -> None:
    class OnServer(Shop):
        pass

    OnServer.new_place = staticmethod(new_place)
    few = settings(Shop.TestCase.settings, max_examples=4, stateful_step_count=10)
    run_state_machine_as_test(OnServer, settings=few)
