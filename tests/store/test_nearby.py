"""The wells around a place: all that are within, nearest first, by the index and few queries."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pandas
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, delete, event, insert, text

from wellbook.dates import When
from wellbook.engineering.great_circle import boxes_around, distance_mi
from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.neighbours import FIGURES, spread, years_of
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book
from wellbook.store.holes import load_bores, load_holes
from wellbook.store.nearby import Spot, in_box, spot_of, wells_near
from wellbook.store.places import book_url
from wellbook.store.wells import add_site, add_well, edit_well
from wellbook.terms import SheetKind

TODAY = date(2026, 11, 25)
HERE = (44.5, -72.5)


def site(connection: Connection, place: tuple[float, float] | None, road: str = "") -> int:
    values: dict[str, Any] = {"road": road, "town": "Nettlewick"}
    if place:
        values |= {"latitude": place[0], "longitude": place[1]}
    return add_site(connection, "me", values)


def well(
    connection: Connection,
    tag: str,
    place: tuple[float, float] | None,
    opening: dict[str, Any] | None = None,
    **values: Any,
) -> int:
    """A well on a property of its own, with what its opening sheet says."""
    number = add_well(
        connection,
        "me",
        tag,
        {"entered_on": date(2020, 1, 1), "site_id": site(connection, place), **values},
        today=TODAY,
    )
    if opening:
        sheets.record(connection, "me", number, opening, today=TODAY, kind=SheetKind.OPENING)
    return number


def near(book: Book, place: tuple[float, float] = HERE, within_mi: float = 1.0) -> Any:
    with book.reading() as connection:
        return wells_near(connection, Spot("here", place), within_mi)


def tags(found: Any) -> list[str]:
    return [w.hole.tag for w in found.wells]


def test_the_nearest_come_first_and_the_well_itself_is_left_out(book: Book) -> None:
    with book.writing() as connection:
        own = well(connection, "A-1", HERE)
        well(connection, "A-2", (44.512, -72.5))
        well(connection, "A-3", (44.5, -72.499))
        well(connection, "A-4", (44.52, -72.5))
        well(connection, "A-5", None)
        add_well(connection, "me", "A-6", {"entered_on": date(2020, 1, 1)}, today=TODAY)
        found = wells_near(connection, spot_of(connection, "A-1"), 1.0)
    assert found.spot.well_id == own
    assert tags(found) == ["A-3", "A-2"]
    assert (found.count, found.without_place) == (2, 2)
    # A hundredth of a degree of latitude is 0.691 mi on the mean radius, of longitude at 44.5
    # degrees north cos(44.5) of it (the definition of a degree).
    assert found.wells[1].away_mi == pytest.approx(1.2 * 0.690933, rel=1e-5)
    assert found.wells[0].away_mi == pytest.approx(0.1 * 0.690933 * 0.71325, rel=1e-4)
    assert [w.bearing_degrees for w in found.wells] == [
        pytest.approx(90, abs=0.01),
        pytest.approx(0, abs=0.01),
    ]


def test_what_counts_in_each_well_is_what_its_own_page_says(book: Book) -> None:
    """Of what stays the best basis, of what changes the newest; what a deepening ended does not hold."""
    with book.writing() as connection:
        number = well(
            connection,
            "A-1",
            (44.5, -72.501),
            {
                "date": "2020-01-02",
                "as_of": "1987-06",
                "basis": "drillers_log",
                "measured": {"depth_ft": 200, "static_level_ft": 40, "yield_gpm": 3},
                "bore": [{"kind": "casing", "from_ft": 0, "to_ft": 62, "diameter_in": 6}],
                "down": {"pump": {"set_depth_ft": 180}},
            },
        )
        told = {"basis": "customer_told"}
        said = {"depth_ft": {"value": 250, **told}, "static_level_ft": {"value": 55, **told}}
        visit = {"date": "2024-05-01", "reason": "check up", "measured": said}
        sheets.record(connection, "me", number, visit, today=TODAY)
    (one,) = near(book).wells
    with book.reading() as connection:
        (whole,) = load_holes(connection, [number])
    assert {n: f.value for n, f in one.figures.items()} == {
        name: figure.value for name, of in FIGURES.items() if (figure := of(whole))
    }
    assert one.figures["depth_ft"].value == 200
    assert one.figures["casing_ft"].value == 62
    assert one.figures["pump_set_ft"].value == 180
    assert one.figures["level_ft"].value == 55
    assert one.figures["level_ft"].basis.value == "customer_told"
    with book.writing() as connection:
        work = {"date": "2025-05-01", "reason": "deepening", "measured": {"depth_ft": 420}}
        sheets.record(connection, "me", number, work, today=TODAY)
    (one,) = near(book).wells
    assert one.figures["depth_ft"].value == 420
    assert "level_ft" not in one.figures and "yield_gpm" not in one.figures


def test_dry_flowing_and_sealed_wells_are_known_as_such(book: Book) -> None:
    with book.writing() as connection:
        for tag, state, value in (("A-1", "dry", None), ("A-2", "flowing", -3.0)):
            number = well(connection, tag, (44.5, -72.501))
            connection.execute(
                insert(t.observation).values(
                    uid=tag, well_id=number, quantity="water_level_ft", value=value,
                    when_earliest=date(2016, 8, 1), when_latest=date(2016, 8, 1), when_text="2016-08-01",
                    basis="measured", state=state, method="", point="ground",
                )
            )  # fmt: skip
        well(connection, "A-3", (44.5, -72.501), flowing=True)
        sealed = well(connection, "A-4", (44.5, -72.501))
        edit_well(connection, "me", sealed, {"status": "sealed"})
    dry, flowing, told, shut = sorted(near(book).wells, key=lambda w: w.hole.tag)
    assert dry.dry and "level_ft" not in dry.figures
    assert flowing.flowing and flowing.figures["level_ft"].value == -3
    assert told.flowing and shut.sealed
    assert [w.dry for w in (flowing, told, shut)] == [False] * 3


def test_coordinates_that_many_share_or_that_are_rounded_are_told(book: Book) -> None:
    with book.writing() as connection:
        for n in range(5):
            well(connection, f"A-{n}", (44.51, -72.49))
        well(connection, "B-1", (44.50123, -72.5))
        well(connection, "B-2", (44.501, -72.5))
    found = near(book, within_mi=2)
    assert found.sharing == {(44.51, -72.49): 5}
    rounded = {w.hole.tag: w.rounded for w in found.wells}
    assert rounded == {**{f"A-{n}": True for n in range(5)}, "B-1": False, "B-2": True}


def test_only_the_nearest_are_read_where_there_are_very_many(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wellbook.store.nearby.MOST_WELLS", 2)
    with book.writing() as connection:
        for n in range(4):
            well(connection, f"A-{n}", (44.5 + n / 1000, -72.5))
    found = near(book)
    assert (tags(found), found.count) == (["A-0", "A-1"], 4)


def test_a_place_is_found_by_the_words_of_a_well_or_of_a_property(book: Book) -> None:
    with book.writing() as connection:
        number = add_well(
            connection,
            "me",
            "A-1",
            {"entered_on": date(2020, 1, 1), "site_id": site(connection, HERE, "2 Hill Rd")},
            today=TODAY,
        )
        lot = site(connection, (44.6, -72.6), "9 Empty Lot Rd")
        bare = well(connection, "A-2", None)
        add_well(connection, "me", "A-3", {"entered_on": date(2020, 1, 1)}, today=TODAY)
        assert spot_of(connection, "hill") == Spot("A-1 · 2 Hill Rd, Nettlewick", HERE, number)
        assert spot_of(connection, "empty lot") == Spot("9 Empty Lot Rd, Nettlewick", (44.6, -72.6))
        with pytest.raises(WellbookError, match=r"wellbook site edit \d+ --latitude"):
            spot_of(connection, "A-2")
        with pytest.raises(WellbookError, match="wellbook well edit A-3 --site NUMBER"):
            spot_of(connection, "A-3")
        with pytest.raises(NotFoundError, match="no well fits 'moon'"):
            spot_of(connection, "moon")
    assert (lot, bare) != (0, 0)


def test_few_queries_whatever_the_number_of_wells(book: Book) -> None:
    with book.writing() as connection:
        for n in range(30):
            well(connection, f"A-{n}", (44.5 + n / 10_000, -72.5))
    asked: list[str] = []
    with book.reading() as connection:
        event.listen(
            connection, "before_cursor_execute", lambda *given: asked.append(str(given[2]))
        )
        found = wells_near(connection, Spot("here", HERE), 1.0)
    assert found.count == 30
    assert len(asked) <= 12


def test_a_box_is_a_range_of_the_index(book: Book) -> None:
    many = [
        {
            "uid": f"s{n}", "road": "", "town": "", "region": "", "postcode": "", "access": "",
            "well_head": "", "notes": "", "latitude": 40 + n / 1000, "longitude": -70 - n % 97 / 10,
        }
        for n in range(5000)
    ]  # fmt: skip
    (box,) = boxes_around((42.5, -72.0), 1)
    with book.writing() as connection:
        connection.execute(insert(t.site), many)
        connection.exec_driver_sql("ANALYZE")
        explain = "EXPLAIN QUERY PLAN " if book.is_file else "EXPLAIN "
        query = in_box(box).compile(connection, compile_kwargs={"literal_binds": True})
        plan = " ".join(str(row) for row in connection.execute(text(f"{explain}{query}")))
    assert "ix_site_latitude_longitude" in plan
    assert "Seq Scan on site" not in plan and "SCAN site" not in plan


# -- against all wells, one by one ---------------------------------------------------------------

PLACES = st.tuples(
    st.one_of(st.floats(-90, 90), st.sampled_from((-90.0, 0.0, 89.999, 90.0))),
    st.one_of(st.floats(-180, 180), st.sampled_from((-180.0, 0.0, 179.999, 180.0))),
)
CLOSE = st.tuples(st.floats(44.4, 44.6), st.floats(-72.6, -72.4))


@pytest.fixture(scope="module")
def scattered(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """An empty book, for properties that come and go with each case."""
    return make_book(tmp_path_factory.mktemp("near") / "shop.book")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.one_of(PLACES, CLOSE), max_size=12),
    st.one_of(PLACES, CLOSE),
    st.one_of(st.floats(0.01, 20), st.floats(20, 12_500)),
)
def test_it_finds_what_looking_at_every_well_finds(
    scattered: Book, places: list[tuple[float, float]], here: tuple[float, float], miles: float
) -> None:
    with scattered.writing() as connection:
        for table in (t.well, t.site, t.water_system):
            connection.execute(delete(table))
        connection.execute(insert(t.water_system).values(id=1, uid="y", name=""))
        for n, (latitude, longitude) in enumerate(places, 1):
            _plain_well(connection, n, latitude, longitude)
        found = wells_near(connection, Spot("here", here), miles)
    every = sorted((distance_mi(here, place), n) for n, place in enumerate(places, 1))
    assert tags(found) == [f"A-{n}" for away, n in every if away <= miles]


def _plain_well(connection: Connection, n: int, latitude: float, longitude: float) -> None:
    connection.execute(
        insert(t.site).values(
            id=n, uid=f"s{n}", road="", town="", region="", postcode="", access="", well_head="",
            notes="", latitude=latitude, longitude=longitude,
        )
    )  # fmt: skip
    connection.execute(
        insert(t.well).values(
            id=n, uid=f"w{n}", tag=f"A-{n}", permit_no="", system_id=1, site_id=n, role="reference",
            use="", status="in_use", construction="drilled", driller="", drilled_text="",
            entered_on=TODAY, notes="",
        )
    )  # fmt: skip


def test_bores_are_what_whole_records_have(loaded_shop: Path) -> None:
    """Of every well of the invented shop: the same figures, read from less."""
    book = Book(book_url(loaded_shop))
    with book.reading() as connection:
        numbers = list(connection.execute(text("SELECT id FROM well ORDER BY id")).scalars())
        holes = zip(load_holes(connection, numbers), load_bores(connection, numbers), strict=True)
        for whole, bore in holes:
            for name, of in FIGURES.items():
                assert of(whole) == of(bore), (whole.tag, name)


# -- numbers ---------------------------------------------------------------------------------------


@given(st.lists(st.floats(0, 2000), min_size=8, max_size=60))
def test_quarters_are_those_of_another_library(values: list[float]) -> None:
    """pandas, whose default is definition 7 of Hyndman and Fan as well."""
    lies = spread(values)
    assert lies is not None and lies.quarters is not None
    by_pandas = pandas.Series(values).quantile([0.25, 0.5, 0.75])
    assert [lies.quarters[0], lies.median, lies.quarters[1]] == pytest.approx(list(by_pandas))
    assert (lies.least, lies.most, lies.count) == (min(values), max(values), len(values))


def test_few_wells_have_no_quarters() -> None:
    assert spread([]) is None
    few = spread([1, 2, 3, 4, 5, 6, 7])
    assert few is not None and few.quarters is None and few.median == 4


def test_years_of_uncertain_dates() -> None:
    dates = [
        When.unknown(),
        When.parse("1987", said_on=TODAY),
        When.parse("../2009", said_on=TODAY),
    ]
    assert years_of(dates) == (1987, 2009)
    assert years_of([When.unknown()]) is None
