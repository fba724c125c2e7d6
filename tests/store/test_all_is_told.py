"""Every change of the book's truth is in the change log, with what it was and what it became."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import random
import sys
from contextlib import suppress
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from sqlalchemy import Connection, func, select, update

from tests.exchange.lived_in import TODAY, live
from tests.exchange.merge_operations import OPERATIONS
from tests.exchange.undoing_books import undo
from tests.store.told_by_log import all_is_told as all_is_told  # noqa: PLC0414 - a fixture
from tests.store.told_by_log import truth, untold
from wellbook import store
from wellbook.errors import WellbookError
from wellbook.rules import catalogue
from wellbook.store import attachments, papers, silences, wells
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.forgetting import forget_undone
from wellbook.store.forgetting_undone import undone_customers
from wellbook.terms import PaperKind

WRITE_NOTHING = frozenset(
    {
        # They write lines, and nothing else.
        *("rows.log", "rows.log_about", "in_bulk.log_added"),
        # The outbox is a log itself.
        *("outbox.begin", "outbox.settle"),
        # Recorded to be looked at, and undone.
        "plans.hang",
        # They read, of somebody.
        *("entries.newest",),
        # Into another book, whose own log comes along.
        "doubles.steps_of",
        # One line, and the log of the book that is put back: `test_restoring`.
        *("restoring.restore", "restoring.restore_to_server", "forgotten_since.forget_again"),
        # Of an import: its run is one line.
        *("sheets.enter_many",),
    }
)


def _writers() -> dict[str, CodeType]:
    """The public functions of the store that write in somebody's name."""
    found: dict[str, CodeType] = {}
    for module in pkgutil.iter_modules(store.__path__):
        if module.ispkg:
            continue
        loaded = importlib.import_module(f"wellbook.store.{module.name}")
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            own = function.__module__ == loaded.__name__ and not name.startswith("_")
            if own and "who" in inspect.signature(function).parameters:
                found[f"{module.name}.{name}"] = function.__code__
    return found


def test_the_log_tells_of_all_that_is_done(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, all_is_told: None
) -> None:
    """What a shop does, and every function of the store that writes is among it."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    called: set[CodeType] = set()

    def note(frame: FrameType, _event: str, _argument: Any) -> None:
        called.add(frame.f_code)

    sys.setprofile(note)
    try:
        live(book, tmp_path)
        with book.writing() as connection:
            _besides(connection)
        for seed in range(3):
            for operation in OPERATIONS:
                with suppress(WellbookError), book.writing() as connection:
                    operation(connection, "Ida", random.Random(seed))
        for _ in range(8):
            with suppress(WellbookError):
                undo(book)
        for _ in range(3):
            with suppress(WellbookError):
                undo(book, again=True)
        with book.writing() as connection:
            wells.add_customer(connection, "Ida", "Added by mistake", phones=("555-0155",))
        undo(book)
        with book.writing() as connection:
            for one in undone_customers(connection):
                forget_undone(connection, "Ida", one)
    finally:
        sys.setprofile(None)
    missed = {name for name, code in _writers().items() if code not in called}
    assert missed <= WRITE_NOTHING, missed


def _besides(connection: Connection) -> None:
    """What nobody did in that week."""
    well, other = (
        connection.execute(select(t.well.c.id).filter_by(tag=tag)).scalar_one()
        for tag in ("Q-1", "L-1")
    )
    site = connection.execute(select(t.well.c.site_id).filter_by(id=other)).scalar_one()
    assert site is not None
    wells.serve(connection, "Ida", well, site)
    wells.edit_system(connection, "Ida", well, {"rise_to_tank_ft": 3.5})
    silences.unsilence(connection, "Ida", well, catalogue.the_rule("pump-age"), today=TODAY)
    attachments.take_off(connection, "Ida", 1, why="another well's")
    papers.take_back(connection, "Ida", well, PaperKind.REPORT)


def test_what_no_line_tells_is_found(book: Book) -> None:
    with book.writing() as connection:
        number = wells.add_customer(connection, "Ida", "Orla Finch")
        before, last = truth(connection), connection.execute(select(func.max(t.change.c.id)))
        connection.execute(update(t.customer).where(t.customer.c.id == number).values(notes="x"))
        assert len(untold(connection, before, last.scalar_one())) == 1
