"""Killed at any moment: the book is whole, what was confirmed is there, what was not is absent whole.

A kill is before the n-th step (a statement, a commit, a file), when a file has grown to its n-th byte (so
in the middle of what an engine writes at a commit or after it), or after some time. More than 200 of them.
The power going is not tried; what a log of writes looks like afterwards is (`test_torn`).
"""

from __future__ import annotations

import signal
import sys

import pytest
from sqlalchemy import func, select

from tests.faults.bench import Bench, Plan, at, confirmed
from tests.faults.victims import DRAFTS, OLDER, place
from tests.faults.warm import picture
from wellbook.cli.draft import Draft
from wellbook.exchange.undoing import undo
from wellbook.store import tables as t
from wellbook.store.attachments import verify
from wellbook.store.book import SCHEMA_REVISION, open_book
from wellbook.store.outbox import in_doubt

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="nothing can be forked here")


PLANS = {
    "visits": Plan(30, 12, 6),
    "import": Plan(24, 8, 4),
    "attach": Plan(10, 2),
    "draft": Plan(9),
    "remind": Plan(30, 4, 4),
}
OF_AN_UPGRADE = Plan(6, 2, 1)


def test_there_are_at_least_200_kills() -> None:
    plans = [*PLANS.values(), *(OF_AN_UPGRADE for _ in OLDER)]
    assert sum(p.kills for p in plans) >= 200


@pytest.mark.parametrize("bench", [at("visits")], indirect=True, ids=["visits"])
def test_a_visit_is_there_whole_or_not_at_all(bench: Bench) -> None:
    books = [picture(place(bench.beginning)), *(picture(place(bench.after(n))) for n in (1, 2))]
    assert books[0] != books[1] != books[2]
    for folder in bench.killed(PLANS["visits"]):
        assert books.index(picture(place(folder))) >= len(confirmed(folder))
    assert bench.signals >= {signal.SIGKILL, signal.SIGXFSZ}


@pytest.mark.parametrize("bench", [at("import")], indirect=True, ids=["import"])
def test_an_import_is_there_whole_with_its_undo_or_not_at_all(bench: Bench) -> None:
    before, after = picture(place(bench.beginning)), picture(place(bench.after(1)))
    ways = set()
    for folder in bench.killed(PLANS["import"]):
        there = picture(place(folder)) == after
        assert there or (picture(place(folder)) == before and not confirmed(folder))
        ways.add(there)
        wells = select(func.count()).select_from(t.well)
        if there:
            with open_book(place(folder)).writing() as connection:
                undo(connection, "Ida", 1)
                assert connection.execute(wells).scalar() == len(before["well"])
        else:
            bench.run("again", folder=folder)
            assert len(picture(place(folder))["well"]) == len(after["well"])
    assert ways == {True, False}


@pytest.mark.parametrize("bench", [at("attach")], indirect=True, ids=["attach"])
def test_a_file_that_is_named_is_whole(bench: Bench) -> None:
    before, after = picture(place(bench.beginning)), picture(place(bench.after(1)))
    for folder in bench.killed(PLANS["attach"]):
        now = picture(place(folder))
        assert now == after or (now == before and not confirmed(folder))
        found = verify(open_book(place(folder)))
        assert (found.whole, found.wrong) == (len(now["attachment"]), [])
        bench.run("again", folder=folder)
        assert verify(open_book(place(folder))).whole == 1


@pytest.mark.parametrize("bench", [at("draft")], indirect=True, ids=["draft"])
def test_a_sheet_that_is_being_typed_stays(bench: Bench) -> None:
    for folder in bench.killed(PLANS["draft"]):
        text = Draft(open_book(place(folder)), "visit-A-1").text()
        typed = ["", *DRAFTS]
        assert typed.index(text) >= len(confirmed(folder))


@pytest.mark.parametrize("bench", [at("remind")], indirect=True, ids=["remind"])
def test_a_reminder_goes_once_or_is_in_doubt(bench: Bench) -> None:
    """The same holds as in tests/reminders/test_sending.py, here under real kills."""
    letters, mails = {"Ada", "Bo"}, {"c0@x.example", "c1@x.example"}
    for folder in bench.killed(PLANS["remind"]):
        picture(place(folder))
        told = set(confirmed(folder))
        with open_book(place(folder)).reading() as connection:
            rows = in_doubt(connection)
        doubtful = {row["address"] for row in rows} | {row["name"] for row in rows}
        assert not told or not doubtful & letters
        bench.run("again", folder=folder)
        delivered = folder / "delivered"
        arrived = delivered.read_text().split() if delivered.exists() else []
        pages = [p for f in folder.glob("letters-*.txt") for p in f.read_text().split("\f")]
        printed = [page.splitlines()[0] for page in pages if page]
        assert len(arrived) == len(set(arrived)), "sent twice"
        assert len(printed) == len(set(printed)), "printed twice"
        assert mails - set(arrived) <= doubtful
        assert letters - set(printed) <= doubtful


@pytest.mark.parametrize(
    "bench", [at("upgrade", "older", revision) for revision in OLDER], indirect=True, ids=OLDER
)
def test_an_upgrade_is_there_whole_or_not_at_all(bench: Bench) -> None:
    old, after = picture(place(bench.beginning)), picture(place(bench.after(1)))
    for folder in bench.killed(OF_AN_UPGRADE):
        now = picture(place(folder))
        (revision,) = now["alembic_version"][0]
        assert now == old or revision == SCHEMA_REVISION
        assert now == after or not confirmed(folder)
        # Its identities are those of the run that was not killed.
        bench.run("until", 1, folder=folder)
        assert picture(place(folder)) == after
        for copy in folder.glob("shop.book.before-*"):
            assert picture(copy) == old
