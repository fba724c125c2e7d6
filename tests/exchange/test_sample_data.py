"""The invented shop loads, and each rule has a well that trips it and one that just does not."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from wellbook.exchange.shop_files import load_shop, sample_folder
from wellbook.hole.hole import Hole
from wellbook.rules.catalogue import RULES
from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.book import make_book
from wellbook.store.holes import load_holes
from wellbook.store.ledger import ledger_of
from wellbook.terms import Kind, WellStatus

DAY = date(2026, 11, 25)

# rule, subject ("" for any), severity ("" for any), the well that trips it, the one that does not
PAIRS = [
    ("control-box", "control box", "plan", "TF-0086", "TF-0085"),
    ("pump-age", "", "plan", "TF-0002", "TF-0003"),
    ("pump-age", "", "watch", "TF-0004", "TF-0005"),
    ("cable-age", "", "", "TF-0006", "TF-0007"),
    ("cable-wear", "cable splices", "plan", "TF-0008", "TF-0009"),
    ("cable-wear", "cable splices", "act", "TF-0010", "TF-0011"),
    ("cable-wear", "cable rubs", "plan", "TF-0012", "TF-0009"),
    ("cable-wear", "cable rubs", "act", "TF-0014", "TF-0013"),
    ("cable-wear", "cable, old and spliced", "act", "TF-0015", "TF-0016"),
    ("pipe-rating", "", "act", "TF-0017", "TF-0018"),
    ("pipe-rating", "", "plan", "TF-0019", "TF-0020"),
    ("pipe-rating", "pipe to 450 ft", "act", "TF-0067", "TF-0020"),
    ("lift-limit", "", "plan", "TF-0068", "TF-0069"),
    ("useless-depth", "", "plan", "TF-0070", "TF-0069"),
    ("observed-stall", "", "plan", "TF-0071", "TF-0072"),
    ("shut-off-pressure", "", "", "TF-0073", "TF-0072"),
    ("pump-depth", "pump, off the bottom", "plan", "TF-0021", "TF-0022"),
    ("pump-depth", "pump, off the bottom", "act", "TF-0023", "TF-0021"),
    ("pump-depth", "pump, above the pumping level", "act", "TF-0024", "TF-0025"),
    ("pump-depth", "pump, water over it", "plan", "TF-0082", "TF-0083"),
    ("pump-depth", "pump, at the screen", "watch", "TF-0082", "TF-0083"),
    ("suction-lift", "", "plan", "TF-0087", "TF-0059"),
    ("string-fittings", "seal", "", "TF-0026", "TF-0027"),
    ("string-fittings", "check valve", "", "TF-0028", "TF-0005"),
    ("check-up", "", "plan", "TF-0030", "TF-0032"),
    ("check-up", "", "ask", "TF-0054", "TF-0032"),
    ("water-test", "bacteria test", "plan", "TF-0030", "TF-0032"),
    ("water-test", "nitrate test", "plan", "TF-0030", "TF-0032"),
    ("samples-owed", "bacteria sample owed", "act", "TF-0034", "TF-0033"),
    ("samples-owed", "disinfection owed", "plan", "TF-0035", "TF-0036"),
    ("samples-owed", "bacteria sample owed", "plan", "TF-0035", "TF-0036"),
    ("samples-owed", "nitrate sample owed", "", "TF-0037", "TF-0038"),
    ("water-figures", "nitrate above a figure", "act", "TF-0037", "TF-0038"),
    ("water-figures", "arsenic above a figure", "plan", "TF-0088", "TF-0089"),
    ("water-figures", "manganese above a figure", "plan", "TF-0088", "TF-0089"),
    ("water-figures", "iron above a figure", "watch", "TF-0088", "TF-0089"),
    ("water-figures", "pH below a figure", "watch", "TF-0088", "TF-0089"),
    ("yield-protection", "", "", "TF-0039", "TF-0040"),
    ("check-valve-spacing", "check valves, first", "watch", "TF-0084", "TF-0085"),
    ("check-valve-spacing", "check valves, spacing", "watch", "TF-0084", "TF-0085"),
    ("check-valve-spacing", "check valve at the pump", "watch", "TF-0084", "TF-0085"),
    ("falling-level", "static level", "watch", "TF-0080", "TF-0081"),
    ("falling-level", "pump, reached by the falling level", "plan", "TF-0080", "TF-0081"),
    ("falling-capacity", "", "plan", "TF-0082", "TF-0083"),
    ("doubtful-record", "depth", "", "TF-0041", "TF-0042"),
    ("doubtful-record", "depth", "", "TF-0043", "TF-0044"),
    ("doubtful-record", "static level at the pump", "", "TF-0029", "TF-0047"),
    ("doubtful-record", "static below pumping level", "", "TF-0047", "TF-0025"),
    ("doubtful-record", "pump below the bottom", "", "TF-0065", "TF-0036"),
    ("doubtful-record", "pump below its pipe", "", "TF-0067", "TF-0036"),
    ("doubtful-record", "level below the bottom", "", "TF-0066", "TF-0036"),
    ("doubtful-record", "casing", "", "TF-0045", "TF-0036"),
    ("doubtful-record", "pump model year", "", "TF-0046", "TF-0045"),
    ("doubtful-record", "drilled date", "", "TF-0066", "TF-0036"),
    ("doubtful-record", "control box horsepower", "ask", "TF-0037", "TF-0039"),
    ("unfinished", "pump", "act", "TF-0048", "TF-0064"),
    ("unfinished", "job", "act", "TF-0049", "TF-0048"),
    ("record-gap", "set depth", "ask", "TF-0050", "TF-0036"),
    ("record-gap", "pipe rating", "ask", "TF-0050", "TF-0036"),
    ("record-gap", "pump flow", "ask", "TF-0054", "TF-0036"),
    ("record-gap", "water level", "ask", "TF-0050", "TF-0036"),
    ("record-gap", "pump", "ask", "TF-0051", "TF-0060"),
    ("voltage-drop", "voltage drop in the cable", "plan", "TF-0074", "TF-0075"),
    ("voltage-drop", "ampacity of the cable", "watch", "TF-0078", "TF-0079"),
    ("insulation", "insulation, falling", "watch", "TF-0074", "TF-0075"),
    ("insulation", "insulation, low", "plan", "TF-0076", "TF-0077"),
    ("insulation", "insulation, failed", "act", "TF-0078", "TF-0076"),
    ("short-cycling", "tank", "plan", "TF-0076", "TF-0077"),
    ("short-cycling", "tank's air", "plan", "TF-0078", "TF-0079"),
    ("season", "closing", "plan", "TF-0090", "TF-0091"),
    ("papers-owed", "pump report", "act", "TF-0092", "TF-0093"),
    ("motor-load", "supply voltage low", "plan", "TF-0078", "TF-0079"),
    ("motor-load", "running amps high", "plan", "TF-0078", "TF-0079"),
]

Shop = tuple[dict[str, Hole], dict[str, list[Finding]]]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Tag -> hole, and tag -> what its ledger says on the day."""
    book = make_book(tmp_path_factory.mktemp("shop") / "shop.book")
    load_shop(book, sample_folder(), who="test", today=DAY)
    holes: dict[str, Hole] = {}
    owed: dict[str, list[Finding]] = defaultdict(list)
    with book.reading() as connection:
        numbers = list(connection.execute(select(t.well.c.id)).scalars())
        for number, hole in zip(numbers, load_holes(connection, numbers), strict=True):
            holes[hole.tag] = hole
            owed[hole.tag] = [f for f in ledger_of(connection, number) if f.holds(DAY)]
    yield holes, owed
    book.close()


def _said(findings: list[Finding], rule: str, subject: str, severity: str) -> list[str]:
    return [
        f.reason
        for f in findings
        if f.rule == rule and subject in ("", f.subject) and severity in ("", f.severity.value)
    ]


def _files() -> dict[str, dict[str, Any]]:
    files = sorted(sample_folder().glob("TF-*.toml"))
    return {f.stem: tomllib.loads(f.read_text("utf-8")) for f in files}


def test_enough_wells_a_file_each(shop: Shop) -> None:
    assert 55 <= len(shop[0]) <= 100
    assert set(_files()) == set(shop[0])


def test_every_rule_has_a_pair() -> None:
    assert {pair[0] for pair in PAIRS} == {rule.name for rule in RULES}


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: "-".join(p for p in pair if p))
def test_one_well_trips_and_one_just_does_not(
    shop: Shop, pair: tuple[str, str, str, str, str]
) -> None:
    rule, subject, severity, trips, quiet = pair
    _, owed = shop
    assert _said(owed[trips], rule, subject, severity)
    assert not _said(owed[quiet], rule, subject, severity)


def test_head_of_each_file_says_what_it_shows() -> None:
    for file in sample_folder().glob("TF-*.toml"):
        first, second, *_ = file.read_text("utf-8").splitlines()
        assert first == f"# {file.stem}, an invented well."
        assert second.startswith("# ")


def test_every_paired_well_says_so_in_its_head() -> None:
    for rule, _, _, trips, _ in PAIRS:
        text = (sample_folder() / f"{trips}.toml").read_text("utf-8")
        head = "\n".join(line for line in text.splitlines() if line.startswith("#"))
        thin = "As thin as records are" in head
        assert thin or rule in head.replace("\n# ", " "), (rule, trips)


def test_history_of_twenty_five_years_in_one_well_in_use(shop: Shop) -> None:
    first = shop[0]["TF-0001"]
    days = [v.start for v in first.visited()]
    assert first.status is WellStatus.IN_USE
    assert min(days) <= date(2001, 12, 31)
    assert (max(days) - min(days)).days >= 25 * 365.25
    pumps = [c for c in first.components if c.kind.value == "pump"]
    assert len(pumps) == 4


def test_sealed_well_owes_nothing_and_keeps_its_record(shop: Shop) -> None:
    holes, owed = shop
    sealed = holes["TF-0063"]
    assert sealed.status is WellStatus.SEALED
    assert owed["TF-0063"] == []
    assert len(sealed.visited()) == 3


def test_odd_ones_are_there(shop: Shop) -> None:
    holes, _ = shop
    assert holes["TF-0053"].site is None
    assert holes["TF-0052"].site is not None and not holes["TF-0052"].occupants
    assert len(holes["TF-0001"].occupants) == 2
    assert holes["TF-0056"].system is not None
    assert holes["TF-0056"].system.other_wells == ("TF-0055",)
    assert holes["TF-0057"].system is not None
    assert len(holes["TF-0057"].system.other_sites) == 2
    assert holes["TF-0060"].flowing
    assert holes["TF-0061"].reworked_on == date(2015, 6, 16)


def test_reused_cable_is_no_new_one(shop: Shop) -> None:
    cables = [c for c in shop[0]["TF-0016"].components if c.kind.value == "cable"]
    assert [c.set_on.earliest for c in cables if c.pulled_on is None] == [date(2012, 2, 14)]


def test_replaced_bottom_section_leaves_the_top_one(shop: Shop) -> None:
    down = [c.part for c in shop[0]["TF-0020"].down(Kind.PIPE)]
    spans = {(p.from_ft, p.to_ft, p.rating_psi) for p in down}  # type: ignore[attr-defined]
    assert spans == {(0, 200, 160), (200, 250, 200)}


def test_showcase_is_rich_and_its_owner_is_on_the_telephone(shop: Shop) -> None:
    holes, owed = shop
    showcase = holes["TF-0031"]
    assert max(v.start for v in showcase.visits) == date(2026, 11, 24)
    assert {"pipe-rating", "cable-wear", "cable-age", "samples-owed", "yield-protection"} <= {
        f.rule for f in owed["TF-0031"]
    }


def test_telephone_numbers_are_fictional() -> None:
    for data in _files().values():
        phones = [p for c in data.get("customer", []) for p in c.get("phones", [])]
        phones += [c["caller_phone"] for c in data.get("call", []) if "caller_phone" in c]
        assert all(len(p) == 8 and p.startswith("555-01") for p in phones)


def test_nothing_is_dated_after_the_day_of_the_demo() -> None:
    for data in _files().values():
        for sheet in (*data.get("visit", []), *data.get("call", [])):
            assert sheet.get("date", sheet.get("start")) <= DAY


def test_folder_has_nothing_but_wells_and_the_list_of_pumps() -> None:
    others = [f.name for f in sample_folder().iterdir() if Path(f).suffix != ".toml"]
    assert others == ["pumps.csv"]
