"""Importing wells: invented files for each kind of mess, and open sets of real records whole."""

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from import_files import count, read, written
from sqlalchemy import func, select

from wellbook.cli import run
from wellbook.dates import When
from wellbook.exchange import writing_records
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import look
from wellbook.exchange.well_record import Row, WellRecord
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.search import find

TODAY = date(2026, 11, 25)
DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
HEAD = "well_tag_number,city,construction_end_date,well_depth_ft,static_water_level_ft-btoc\n"


def joined(rows: list[Row]) -> list[WellRecord]:
    wells: dict[str, WellRecord] = {}
    for record in (r.record for r in rows if r.record):
        if wells.setdefault(record.key, record) is not record:
            wells[record.key].join(record)
    return list(wells.values())


def only(path: Path, unit: str = "") -> Row:
    (row,) = read(path, unit)
    return row


@pytest.mark.parametrize("encoding", ["utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("sign", [",", "\t", ";"])
def test_encodings_and_delimiters(tmp_path: Path, encoding: str, sign: str) -> None:
    text = "id,town,depth_ft\r\n1,Montréal,120\r\n2,Sutton,90\r\n".replace(",", sign)
    rows = read(written(tmp_path / "a.csv", text, encoding))
    assert [r.record.site["town"] for r in rows if r.record] == ["Montréal", "Sutton"]


def test_unit_and_measuring_point_from_the_header(tmp_path: Path) -> None:
    text = HEAD.replace("well_depth_ft", "well_depth (m bgl)") + "7,Sutton,2011-05,100,70.5\n"
    record = only(written(tmp_path / "a.csv", text)).record
    assert record is not None
    depth, level = record.readings
    assert depth.value == pytest.approx(328.084, abs=0.005)
    assert (depth.point, level.point, level.value) == ("ground", "casing_top", 70.5)
    assert depth.when == When.parse("2011-05", said_on=TODAY)


def test_a_length_without_a_unit_must_be_given_one(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = written(tmp_path / "a.csv", "id,well_depth\n1,100\n")
    error = answer(path)["error"]
    assert error["where"] == "--unit" and "well_depth" in error["message"]
    assert answer(path, "--unit", "m")["written"] == 1


def test_a_length_whose_cells_bear_their_units_is_not_asked_for_one(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = written(tmp_path / "a.csv", "id,well_depth\n1,310'\n2,97.5 m\n3,\n4,0\n5,99 ft\n")
    assert answer(path)["written"] == 5
    with book.reading() as connection:
        depths = connection.execute(select(t.observation.c.value)).scalars()
        # 97.5 m is 319.88 ft, by the international foot of 0.3048 m (NIST SP 811, appendix B.8).
        assert sorted(depths) == [99, 310, 319.88]
    written(path, "id,well_depth\n1,310'\n2,97.5\n")
    error = answer(path, "--source", "b")["error"]
    assert "well_depth (row 3 has 97.5)" in error["message"]


@pytest.mark.parametrize("blank", ["", "NA", "n/a", " "])
def test_blank_is_not_known(tmp_path: Path, blank: str) -> None:
    row = only(written(tmp_path / "a.csv", f"{HEAD}7,Sutton,{blank},{blank},{blank}\n"))
    assert row.record is not None and row.record.readings == [] and not row.doubts


def test_zero_depth_is_not_known_and_doubtful(tmp_path: Path) -> None:
    row = only(written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,0,\n"))
    assert row.record is not None and row.record.readings == []
    assert [d.column for d in row.doubts] == ["well_depth_ft"]


@pytest.mark.parametrize(
    ("line", "column"),
    [
        ("7,Sutton,2011-02-30,100,", "construction_end_date"),
        ("7,Sutton,2031-02-03,100,", "construction_end_date"),
        ("7,Sutton,2011,-5,", "well_depth_ft"),
        ("7,Sutton,2011,deep,", "well_depth_ft"),
        ("7,Sutton,2011,100,5 gpm", "static_water_level_ft-btoc"),
    ],
)
def test_refused_with_row_column_and_value(tmp_path: Path, line: str, column: str) -> None:
    row = only(written(tmp_path / "a.csv", f"{HEAD}{line}\n"))
    assert row.record is None
    assert [(x.row, x.column) for x in row.refusals] == [(2, column)]
    assert row.refusals[0].value in line


def test_a_place_off_the_globe_is_refused(tmp_path: Path) -> None:
    row = only(written(tmp_path / "a.csv", "id,latitude,longitude\n1,95.2,-72\n"))
    assert [x.column for x in row.refusals] == ["latitude"]


def test_dates_as_programs_write_them(tmp_path: Path) -> None:
    dates = ["5/14/2011", "3/4/2011", "1305331200000", "2011-05-14T00:00:00", "before 2010"]
    lines = [f"{n},{d},1\n" for n, d in enumerate(dates)]
    rows = read(written(tmp_path / "a.csv", "id,date_drilled,depth_ft\n" + "".join(lines)))
    # The first shows that the month stands first, so the second is in March.
    whens = [r.record.well["drilled"] for r in rows if r.record]
    assert [w.edtf() for w in whens] == [
        *("2011-05-14", "2011-03-04", "2011-05-14", "2011-05-14"),
        "../2009",
    ]


def test_banners_above_the_header_and_a_cell_of_two_lines(tmp_path: Path) -> None:
    text = 'Report\n"as of\ntoday"\n\nid,town,depth_ft\n7,"Sutton\nQC",100\n'
    row = only(written(tmp_path / "a.csv", text))
    assert row.record is not None and row.record.site == {"town": "Sutton", "region": "QC"}


def test_rows_of_one_well_are_joined_and_none_is_lost(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    text = "id,casing_from_ft,casing_to_ft,casing_diameter_in\n7,0,20,8\n8,0,9,6\n7,20,90,6\n"
    said = answer(written(tmp_path / "a.csv", text))
    assert (said["rows"], said["written"]) == (3, 3)
    assert (count(book, t.well), count(book, t.bore_interval)) == (2, 3)


def test_the_same_twice_adds_nothing_and_a_change_changes_one(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,100,20\n8,Sutton,2012,200,\n")
    assert answer(path, "--as", "ours")["written"] == 2
    dues = count(book, t.due)
    assert answer(path, "--as", "ours")["unchanged"] == 2
    written(path, f"{HEAD}7,Sutton,2011,140,20\n8,Sutton,2012,200,\n")
    said = answer(path)
    assert (said["changed"], said["unchanged"]) == (1, 1)
    assert (count(book, t.well), count(book, t.observation)) == (2, 3)
    assert dues and count(book, t.due)
    with book.reading() as connection:
        values = connection.execute(select(t.observation.c.value).order_by(t.observation.c.value))
        assert list(values.scalars()) == [20, 140, 200]
        assert [m.tag for m in find(connection, "sutton")] == ["7", "8"]


def test_reference_wells_owe_nothing(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    answer(written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,100,20\n"))
    assert (count(book, t.well), count(book, t.due), count(book, t.customer)) == (1, 0, 0)


def test_rejects_hold_the_rows_and_the_reason(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,100,20\n8,Sutton,2012,-200,\n")
    rejects = tmp_path / "bad.csv"
    said = answer(path, "--rejects", rejects)
    assert (said["written"], said["refused"]) == (1, 1)
    reason = said["refusals"][0]
    assert (reason["row"], reason["column"], reason["value"]) == (3, "well_depth_ft", "-200")
    header, row = list(csv.reader(rejects.read_text(encoding="utf-8").splitlines()))
    assert header == [*HEAD.strip().split(","), "reason"]
    assert row[:4] == ["8", "Sutton", "2012", "-200"] and "well_depth_ft" in row[-1]


def test_dry_run_writes_nothing(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    assert answer(written(tmp_path / "a.csv", f"{HEAD}7,,,9,\n"), "--look")["written"] == 1
    assert (count(book, t.well), count(book, t.import_run), count(book, t.change)) == (0, 0, 0)


def test_stopped_half_way_nothing_is_written(
    tmp_path: Path, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(writing_records, "index_wells", stop)
    path = written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,100,20\n")
    assert run(["import", str(path), "--write"]) == 130
    assert [count(book, m) for m in (t.well, t.site, t.imported_row, t.change)] == [0, 0, 0, 0]


def test_a_kept_mapping_reads_the_same(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", HEAD.replace("city", 'ci "t\\y') + "7,,,1,1\n")
    mapping: WellMapping = propose(look(path), "a")
    assert from_toml(to_toml(mapping, ["x\ny"]), "m.toml") == mapping


# -- real records ------------------------------------------------------------------------------


def real(name: str) -> Path:
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    path = DATA / name
    # Here are the sets, so a missing one is a failure and no reason to skip.
    assert path.exists(), f"{name} is missing from the sets"
    return path


@pytest.mark.realdata
@pytest.mark.parametrize(
    ("name", "delimiter", "depth", "day", "unit", "feet"),
    [
        # Province of British Columbia, GWELLS, Open Government Licence - British Columbia.
        (
            "wells/bc_gwells_new_wells_2021-12_a.csv",
            *(",", "finished_well_depth_ft-bgl", "construction_end_date", "", 1.0),
        ),
        # openwashdata/ugabore, CC BY 4.0: repairs of boreholes in Uganda, in metres.
        (
            "wells/uganda_borehole_repairs_a.csv",
            *(",", "well_depth", "repair_date", "m", 1 / 0.3048),
        ),
        # USGS NWIS, public domain: sites in Vermont.
        ("levels/usgs_nwis_vermont_sites.tsv", "\t", "well_depth_va", "", "ft", 1.0),
    ],
)
def test_open_sets_whole_with_their_own_totals(
    name: str,
    delimiter: str,
    depth: str,
    day: str,
    unit: str,
    feet: float,
    book: Book,
    answer: Callable[..., dict[str, Any]],
) -> None:
    path = real(name)
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file, delimiter=delimiter))
    key = next(k for k in rows[0] if k in ("well_tag_number", "source_id", "site_no"))
    told = {(r[key], r[depth], r.get(day)) for r in rows if r[depth] not in ("", "NA")}
    # A converted depth is kept to a hundredth of a foot.
    depths = [round(float(d) * feet, 2) for _, d, _ in told if float(d)]
    dates = sorted(r[day] for r in rows if day and r[day] not in ("", "NA"))

    said = answer(path, *(["--unit", unit] if unit else []))

    assert (said["rows"], said["written"], said["refused"]) == (len(rows), len(rows), 0)
    assert count(book, t.well) == len({r[key] for r in rows})
    seen = select(
        func.count(),
        func.avg(t.observation.c.value),
        func.min(t.observation.c.when_earliest),
        func.max(t.observation.c.when_latest),
    )
    with book.reading() as connection:
        number, mean, _, _ = connection.execute(
            seen.where(t.observation.c.quantity == "depth_ft")
        ).one()
        _, _, first, last = connection.execute(seen).one()
    assert number == len(depths)
    assert mean == pytest.approx(sum(depths) / len(depths))
    if dates:
        assert (first.isoformat(), last.isoformat()) == (dates[0], dates[-1])


@pytest.mark.realdata
def test_texas_extract_without_headers() -> None:
    # Texas groundwater database extract, finley-davis/TWD, MIT.
    path = real("wells/tx_gwdb_headerless_pecos_valley.csv")
    with path.open(newline="") as file:
        rows = list(csv.reader(file))
    wells = joined(read(path, "ft"))
    depths = [float(r[13]) for r in rows if r[13] and float(r[13])]
    years = [int(float(r[12])) for r in rows if r[12] and not r[12].startswith("Unnamed")]
    seen = [o.value for w in wells for o in w.readings]
    drilled = [w.well["drilled"] for w in wells if "drilled" in w.well]
    assert (len(wells), len(seen)) == (len(rows), len(depths))
    assert sum(seen) == pytest.approx(sum(depths))
    assert min(w.earliest.year for w in drilled) == min(years) == 1890
    assert max(w.latest.year for w in drilled) == max(years)


@pytest.mark.realdata
def test_casing_intervals_joined_well_by_well() -> None:
    # Province of British Columbia, GWELLS; saeeshm/bcgwells-cleaning.
    path = real("wells/bc_gwells_casing_even_tags.csv")
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    ends = [(r["casing_from_ft-bgl"], r["casing_to_ft-bgl"]) for r in rows]
    bad = [e for e in ends if any(x.startswith("-") for x in e)]
    upside_down = [e for e in ends if all(e) and e not in bad and float(e[0]) > float(e[1])]
    read_back = read(path)
    assert len(read_back) == len(rows)
    assert sum(r.record is None for r in read_back) == len(bad)
    doubts = [d for r in read_back for d in r.doubts if "begins below" in d.reason]
    assert len(doubts) == len(upside_down) > 50
    assert len(joined(read_back)) <= len({r["well_tag_number"] for r in rows})
