"""The shop's own list of pump models: what is found in it, and what follows from a change of it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import MetaData, Table, insert, inspect, select, text

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.records import PumpModel
from wellbook.rules import catalogue
from wellbook.store import tables as t
from wellbook.store.book import SCHEMA_REVISION, Book, migrate, open_book, stored_revision
from wellbook.store.freshness import freshen
from wellbook.store.holes import load_hole, load_holes
from wellbook.store.places import book_url
from wellbook.store.pump_writing import add_pumps, edit_pump, wells_with
from wellbook.store.pumps import (
    all_models,
    hangs_in,
    models_of,
    the_model_of,
    the_pump,
)
from wellbook.store.sheets import record
from wellbook.store.wells import add_well
from wellbook.terms import Permission

TODAY = date(2026, 11, 25)
CURVE = HeadCurve(((0, 330), (5, 300), (10, 230), (14, 120)))
TEN = PumpModel("Oskerby", "O-1007", 0.75, 10, 1.5, 8.0, CURVE, 230, 1, "the usual one")
FIVE = PumpModel("Oskerby", "O-507", 0.75, 5, curve=HeadCurve(((0, 510), (5, 370), (7, 240))))
OTHER = PumpModel("Vandrel", "VX-507", 0.75, 5)


@pytest.fixture
def listed(book: Book) -> Book:
    """A book with three models in the list."""
    with book.writing() as connection:
        add_pumps(connection, "Ida", [TEN, FIVE, OTHER])
    return book


def test_what_was_put_in_comes_out(listed: Book) -> None:
    with listed.reading() as connection:
        assert all_models(connection) == [TEN, FIVE, OTHER]
        assert all_models(connection, "osk 5") == [FIVE]
        log = list(connection.execute(select(t.change.c.who, t.change.c.action, t.change.c.what)))
    assert log.count(("Ida", "add", "pump_model")) == 3
    assert log.count(("Ida", "add", "pump_point")) == 2


@pytest.mark.parametrize(
    ("words", "model"),
    [
        ("O-1007", TEN), ("o-1007", TEN), ("O1007", TEN), ("o 1007", TEN), ("oskerby o-1007", TEN),
        ("1007 oskerby", TEN), ("1007", TEN), ("osk 10", TEN), ("vandrel", OTHER), ("vx", OTHER),
    ],
)  # fmt: skip
def test_a_model_is_named_by_its_name_or_any_words_that_all_fit(
    listed: Book, words: str, model: PumpModel
) -> None:
    with listed.reading() as connection:
        assert the_pump(connection, words) == model


def test_several_are_listed_and_none_is_guessed(listed: Book) -> None:
    with listed.reading() as connection:
        with pytest.raises(WellbookError, match="several pump models: Oskerby O-507; Vandrel VX"):
            the_pump(connection, "507")
        with pytest.raises(NotFoundError, match="near to it: Oskerby O-1007"):
            the_pump(connection, "O-1008")
        with pytest.raises(NotFoundError, match=r"no pump model fits 'zz'$"):
            the_pump(connection, "zz")


def test_an_empty_list_says_how_to_begin_one(book: Book) -> None:
    with book.reading() as connection, pytest.raises(NotFoundError, match="wellbook pump add"):
        the_pump(connection, "O-507")


@pytest.mark.parametrize(
    ("maker", "model", "found"),
    [
        ("OSKERBY", " o-1007 ", TEN), ("Osker by", "O - 1007", TEN), (None, "o-1007", TEN),
        ("", "O-1007", TEN), ("Vandrel", "O-1007", None), ("Oskerby", "O-100", None),
        ("Oskerby", None, None), (None, None, None),
    ],
)  # fmt: skip
def test_a_record_meets_its_model_in_any_case_with_any_blanks(
    listed: Book, maker: str | None, model: str | None, found: PumpModel | None
) -> None:
    with listed.reading() as connection:
        assert the_model_of(connection, maker, model) == found


def test_a_record_without_a_maker_has_no_model_where_two_makers_have_one(listed: Book) -> None:
    with listed.writing() as connection:
        add_pumps(connection, "Ida", [replace(OTHER, model="o-1007")])
        found = models_of(connection, [(None, "O-1007"), ("Oskerby", "O-1007")])
    assert found == {("Oskerby", "O-1007"): TEN}


def test_letters_beyond_ascii_are_alike_on_both_engines(book: Book) -> None:
    with book.writing() as connection:
        add_pumps(connection, "Ida", [replace(TEN, maker="Ølgård")])
        assert the_model_of(connection, "ØLGÅRD", "O-1007") is not None
        with pytest.raises(WellbookError, match="already"):
            add_pumps(connection, "Ida", [replace(TEN, maker="ØLGÅRD")])


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"model": "O-507", "maker": "OSKERBY"}, "Oskerby O-507 is in the list already"),
        ({"model": " "}, "model: missing; a pump model has it"),
        ({"maker": ""}, "maker: missing; a pump model has it"),
        ({"hp": 0}, "hp: 0 cannot be"),
        ({"hp": -1}, "hp: -1 cannot be"),
        ({"hp": float("nan")}, "cannot be"),
        ({"hp": 1e12}, "cannot be"),
        ({"rated_gpm": 0}, "rated_gpm: 0 cannot be"),
        ({"rated_gpm": 15}, "points: the curve has 0 to 14 gpm"),
        ({"service_factor": 0.9}, "service_factor: 0.9 cannot be"),
        ({"service_factor_a": -1}, "cannot be"),
        ({"supply_v": 1e6}, "cannot be"),
        ({"phases": 2}, "phases: 2 cannot be"),
        # Litres a minute taken for gallons: no motor gives that.
        ({"curve": HeadCurve(((0, 330), (38, 230)))}, "2.21 hp in the water alone"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    listed: Book, wrong: dict[str, object], says: str
) -> None:
    model = replace(TEN, **{"model": "new", **wrong})  # type: ignore[arg-type]
    with pytest.raises(WellbookError, match=says), listed.writing() as connection:
        add_pumps(connection, "Ida", [replace(TEN, model="good"), model])
    with listed.reading() as connection:
        assert len(all_models(connection)) == 3


def test_a_change_replaces_all_points_and_is_logged(listed: Book) -> None:
    new = replace(FIVE, hp=1.0, curve=HeadCurve(((0, 635), (5, 460), (7.5, 257))))
    with listed.writing() as connection:
        assert edit_pump(connection, "Ida", FIVE, new)
        assert not edit_pump(connection, "Ida", new, new)
        assert the_pump(connection, "O-507") == new
        points = select(t.change.c.old, t.change.c.new).where(
            t.change.c.what == "pump_point", t.change.c.action == "change"
        )
        ((old, shown),) = connection.execute(points).all()
    assert json.loads(old) == {"points": "0:510, 5:370, 7:240"}
    assert json.loads(shown) == {"points": "0:635, 5:460, 7.5:257"}


def test_a_model_is_not_renamed_to_one_that_is_there(listed: Book) -> None:
    with listed.writing() as connection:
        with pytest.raises(WellbookError, match="already"):
            edit_pump(connection, "Ida", FIVE, replace(FIVE, model="O-1007"))
        assert edit_pump(connection, "Ida", FIVE, replace(FIVE, model="o-507 "))
        assert the_pump(connection, "O-507").model == "o-507"


# -- the hole has its curve ----------------------------------------------------------------------


def _well(book: Book, tag: str, *pumps: tuple[date, dict[str, object]]) -> int:
    with book.writing() as connection:
        number = add_well(connection, "Ida", tag, {}, today=TODAY)
        for day, pump in pumps:
            sheet = {"date": day.isoformat(), "reason": "no_water", "set": {"pump": pump}}
            if day != pumps[0][0]:
                sheet["pulled"] = {"pump": {"why": "worn"}}
            record(connection, "Ida", number, sheet, today=TODAY)
    return number


OLD = (date(2012, 5, 1), {"maker": "Oskerby", "model": "O-507", "hp": 0.75, "rated_gpm": 5})
NEW = (date(2020, 5, 1), {"maker": "oskerby", "model": "O 1007", "hp": 0.75, "rated_gpm": 10})


def test_a_hole_has_the_model_of_the_pump_that_hung_there_on_that_day(listed: Book) -> None:
    with listed.writing() as connection:
        edit_pump(connection, "Ida", TEN, replace(TEN, model="O1007"))
    number = _well(listed, "A-1", OLD, NEW)
    other = _well(listed, "A-2", (OLD[0], {"model": "vx-507", "hp": 0.75}))
    none = _well(listed, "A-3", (OLD[0], {"hp": 0.75}))
    with listed.reading() as connection:
        hole, without_maker, unnamed = load_holes(connection, [number, other, none])
        assert hangs_in(connection) == {replace(TEN, model="O1007"): ["A-1"], OTHER: ["A-2"]}
    assert hole.pump_model is not None and hole.pump_model.curve == CURVE
    assert hole.on(date(2015, 1, 1)).pump_model == FIVE
    assert hole.on(date(2010, 1, 1)).pump_model is None
    assert without_maker.pump_model == OTHER
    assert unnamed.pump_model is None


def test_a_changed_model_renews_the_ledger_of_the_wells_where_it_hangs_or_hung(
    listed: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, there = _well(listed, "A-1", OLD, NEW), _well(listed, "A-2", OLD)
    _well(listed, "A-3", (OLD[0], {"hp": 1}))
    judged: list[str] = []
    judge = catalogue.judge
    monkeypatch.setattr(
        catalogue, "judge", lambda hole, *more: judged.append(hole.tag) or judge(hole, *more)
    )
    with listed.writing() as connection:
        assert wells_with(connection, {"o-507"}) == [here, there]
        edit_pump(connection, "Ida", FIVE, replace(FIVE, notes="wears fast"))
        assert judged == ["A-1", "A-2"]
        judged.clear()
        # A second maker's takes the curve from a record that names none.
        add_pumps(connection, "Ida", [replace(OTHER, maker="Zed", model="O 1007")])
        assert judged == ["A-1"]


# -- a book of the revision before ---------------------------------------------------------------


def _as_of_0001(place: str, filled: Path) -> Book:
    """A book of the first revision with all that the invented shop had then."""
    old = Book(book_url(place))
    migrate(old, "0001")
    full = Book(book_url(filled))
    with old.writing() as connection, full.reading() as source:
        there = inspect(connection).get_table_names()
        for table in t.METADATA.sorted_tables:
            if table.name not in there:
                continue
            # Later revisions have columns that this one has not.
            names = {c["name"] for c in inspect(connection).get_columns(table.name)}
            columns = [c for c in table.c if c.name in names]
            # And this one has columns that later revisions have made rows of.
            gone = {"may_use": "unknown"} if "may_use" in names else {}
            rows = [{**r, **gone} for r in source.execute(select(*columns)).mappings()]
            if table is t.due:
                # A position was one of the well, and not of the well and a rule.
                rows = [{**row, "position": n} for n, row in enumerate(rows)]
            if rows:
                as_it_was = Table(table.name, MetaData(), autoload_with=connection)
                connection.execute(insert(as_it_was), rows)
        # What is a row each now stood in columns of the sample.
        for row in source.execute(select(t.water_result)).mappings():
            if row["analyte"] in HAD_COLUMNS and not row["below"]:
                words = f"UPDATE water_sample SET {row['analyte']} = :value WHERE id = :sample_id"
                connection.execute(text(words), dict(row))
    full.close()
    return old


HAD_COLUMNS = ("nitrate_mg_l", "arsenic_mg_l")


def _as_0001_had_it(hole: Hole) -> Hole:
    """A hole without its pumps' models, its papers, contracts and consents, and results that had no column."""
    samples = [
        replace(
            s,
            results={
                w: s.results[w] for w in HAD_COLUMNS if w in s.results and not s.results[w].below
            },
        )
        for s in hole.samples
    ]
    occupants = tuple(
        replace(
            o,
            contract_month=None,
            contacts=tuple(replace(c, may_use=Permission.UNKNOWN) for c in o.contacts),
        )
        for o in hole.occupants
    )
    return replace(hole, pump_models={}, samples=tuple(samples), papers=(), occupants=occupants)


def _counts(book: Book) -> dict[str, int]:
    with book.reading() as connection:
        names = inspect(connection).get_table_names()
        count = "SELECT count(*) FROM {}"
        return {n: connection.execute(text(count.format(n))).scalar_one() for n in names}


def test_a_filled_book_of_the_first_revision_is_upgraded_and_taken_back(
    place: str, loaded_shop: Path
) -> None:
    old = _as_of_0001(place, loaded_shop)
    before = _counts(old)
    assert "pump_model" not in before and before["well"] > 50
    assert stored_revision(old) == "0001"
    book = open_book(place, upgrade=True)
    assert stored_revision(book) == SCHEMA_REVISION
    # Words came to stand in another order: they are made anew as the program opens the book.
    freshen(book)
    counts = _counts(book)
    assert counts.pop("water_result") > 50
    assert {name: n for name, n in counts.items() if n or name in before} == before
    full = Book(book_url(loaded_shop))
    with book.reading() as connection, full.reading() as source:
        numbers = list(connection.execute(select(t.well.c.id).order_by(t.well.c.id)).scalars())
        for one, other in zip(
            load_holes(connection, numbers), load_holes(source, numbers), strict=True
        ):
            assert one == _as_0001_had_it(other)
        models = all_models(source)
    full.close()
    if not book.is_file:
        # Rows came in with their numbers; the server's own count has to follow.
        with book.writing() as connection:
            connection.execute(text("SELECT setval('change_id_seq', (SELECT max(id) FROM change))"))
    with book.writing() as connection:
        add_pumps(connection, "Ida", models)
        number = connection.execute(
            select(t.well.c.id).where(t.well.c.tag == "TF-0031")
        ).scalar_one()
        assert load_hole(connection, number).pump_model is not None
    migrate(book, "0001")
    after = _counts(book)
    # What is due was worked out anew: from the results that had a column, and with papers as owed.
    # Words came to stand in another order, and come back as their wells change.
    words = {name for name in before if name.startswith("search_")}
    same = before.keys() - {"change", "due"} - words
    assert {n: after[n] for n in same} == {n: before[n] for n in same}
    assert "pump_point" not in after
    migrate(book)
    assert _counts(book)["pump_model"] == 0
    old.close()
    book.close()
