"""`wellbook near` on real public records, against pandas and numpy on the files themselves."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy
import pandas
import pytest
from import_files import written

from wellbook.cli import run
from wellbook.store.book import make_book

LEVELS = Path(__file__).resolve().parents[3] / "shared" / "data" / "levels"
MAPPINGS = {
    "sites": """\
source = "NWIS"
table = "sites"
delimiter = "\\t"
[columns]
key = "site_no"
latitude = "dec_lat_va"
longitude = "dec_long_va"
depth_ft = { column = "well_depth_va", unit = "ft" }
""",
    "levels": """\
source = "NWIS"
table = "levels"
delimiter = "\\t"
[columns]
key = "site_no"
measured_on = "lev_dt"
water_level_ft = { column = "lev_va", unit = "ft" }
""",
}
HERE = (44.26, -72.58)
WITHIN_MI = 7.5


@pytest.fixture(scope="module")
def sites() -> pandas.DataFrame:
    """USGS NWIS, public domain: the sites in Vermont, as text."""
    if not LEVELS.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    return pandas.read_csv(LEVELS / "usgs_nwis_vermont_sites.tsv", sep="\t", dtype=str)


@pytest.mark.realdata
def test_wells_of_vermont_near_its_capital(
    sites: pandas.DataFrame,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    place = tmp_path / "shop.book"
    make_book(place).close()
    monkeypatch.setenv("WELLBOOK_BOOK", str(place))
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    # Three numbers stand there twice: of them the file alone does not say which row counts.
    once = sites[~sites.site_no.duplicated(keep=False)]
    near = _within(once)
    levels = _levels(near)
    files = {
        "sites": once.to_csv(sep="\t", index=False),
        "levels": levels.to_csv(sep="\t", index=False),
    }
    for name, content in files.items():
        path = written(tmp_path / f"{name}.tsv", content)
        mapping = written(tmp_path / f"{name}.toml", MAPPINGS[name])
        assert run(["import", str(path), "--mapping", str(mapping), "--write", "--json"]) == 0
    capsys.readouterr()
    where = f"{HERE[0]},{HERE[1]}"
    words = ["near", where, "--within", f"{WITHIN_MI} mi", "--limit", "1000", "--json"]
    assert run(words) == 0
    said = json.loads(capsys.readouterr().out)

    assert said["count"] == len(near) > 200
    assert {w["permit_no"] for w in said["wells"]} <= {"", *near.site_no}
    assert [w["away_mi"] for w in said["wells"]] == pytest.approx(
        sorted(near.away_mi), rel=1e-9, abs=1e-6
    )
    depths = pandas.to_numeric(near.well_depth_va).dropna()
    _same(said["summary"]["depth_ft"], depths[depths > 0])
    newest = _newest(levels)
    _same(said["summary"]["level_ft"], newest)
    assert len(newest) > 50
    # Every figure that nobody gives is said to be given by nobody.
    assert said["summary"]["yield_gpm"] is None and said["summary"]["pump_set_ft"] is None
    _shared_coordinates(said, near)


def _within(sites: pandas.DataFrame) -> pandas.DataFrame:
    """Those within the distance, by the spherical law of cosines on the radius of GRS 80."""
    latitude, longitude = (
        numpy.radians(sites[name].astype(float)) for name in ("dec_lat_va", "dec_long_va")
    )
    here = numpy.radians(HERE)
    cosine = numpy.sin(here[0]) * numpy.sin(latitude) + numpy.cos(here[0]) * numpy.cos(
        latitude
    ) * numpy.cos(longitude - here[1])
    away = 6371.0088 / 1.609344 * numpy.arccos(cosine)
    return sites.assign(away_mi=away)[away <= WITHIN_MI]


def _levels(near: pandas.DataFrame) -> pandas.DataFrame:
    """Their levels that have a whole date and a number and no word on the state of the well."""
    table = pandas.read_csv(LEVELS / "usgs_nwis_vermont_gwlevels.tsv", sep="\t", dtype=str)
    plain = table.lev_va.notna() & table.lev_status_cd.isna() & (table.lev_dt.str.len() == 10)
    return table[table.site_no.isin(near.site_no) & plain]


def _newest(levels: pandas.DataFrame) -> pandas.Series:
    """The level of each site on its last day; of one day, the last in the file."""
    in_order = levels.assign(ft=pandas.to_numeric(levels.lev_va)).sort_values(
        "lev_dt", kind="stable"
    )
    return in_order.groupby("site_no").ft.last()


def _same(summary: dict[str, Any], values: pandas.Series) -> None:
    assert summary["count"] == len(values)
    quarters = values.quantile([0.0, 0.25, 0.5, 0.75, 1.0])
    names = ("least", "first_quartile", "median", "third_quartile", "most")
    assert [summary[name] for name in names] == pytest.approx(list(quarters))


def _shared_coordinates(said: dict[str, Any], near: pandas.DataFrame) -> None:
    """Of those whose coordinates four or more bear, each says how many."""
    bear = near.groupby(["dec_lat_va", "dec_long_va"]).site_no.transform("size")
    assert sorted(w["sharing_coordinates"] for w in said["wells"]) == sorted(
        int(n) if n >= 4 else 0 for n in bear
    )
