"""What a shop does in a week, one thing at a time, chosen by a number."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.dates import When
from wellbook.engineering.curves import HeadCurve
from wellbook.errors import WellbookError
from wellbook.rules import catalogue
from wellbook.rules.paper_facts import job_papers
from wellbook.store import papers, renewal, sheets, silences, wells
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.calendar_entries import Entry, give
from wellbook.store.consents import say
from wellbook.store.contacts import Spoken, write_down
from wellbook.store.holes import load_hole
from wellbook.store.outbox import Outgoing, begin, end
from wellbook.store.pump_writing import add_pumps, edit_pump
from wellbook.store.pumps import PumpModel, all_models
from wellbook.store.settings import settings, with_setting
from wellbook.store.shop import say_of_shop
from wellbook.store.templates import keep_template
from wellbook.terms import Answer, ContactWay, MessageStatus, RemindBy, Said

TODAY = date(2026, 11, 25)
Operation = Callable[[Connection, str, random.Random], None]


def _one(connection: Connection, table: Table, rng: random.Random) -> int:
    numbers = connection.execute(select(table.c.id).order_by(table.c.uid)).scalars().all()
    return rng.choice(list(numbers))


def _sheet(rng: random.Random) -> dict[str, Any]:
    day = TODAY - timedelta(days=rng.randrange(6000))
    data: dict[str, Any] = {"date": day.isoformat(), "reason": "check up", "crew": ["Ida", "Bo"]}
    data["crew"] = rng.sample(["Ida", "Bo", "Ole"], rng.randrange(3))
    kind = rng.randrange(6)
    if kind == 0:
        pump = {"hp": rng.choice([0.5, 1, 2]), "rated_gpm": 10, "set_depth_ft": 180}
        data |= {"reason": "no water", "set": {"pump": pump}}
    elif kind == 1:
        data |= {"pulled": {"pump": {"why": "worn"}}, "left_without_pump": rng.random() < 0.5}
    elif kind == 2:
        data |= {"set": {"tank": [{"volume_gal": rng.choice([20, 44])}]}}
    elif kind == 3:
        data |= {"sample": {"bacteria": rng.choice(["absent", "coliform present"])}}
    elif kind == 4:
        data |= {"reason": "decommissioning"}
    data["measured"] = {"static_level_ft": rng.randrange(20, 150)}
    return data


def visit(c: Connection, who: str, rng: random.Random) -> None:
    sheets.record(c, who, _one(c, t.well, rng), _sheet(rng), today=TODAY)


def correct(c: Connection, who: str, rng: random.Random) -> None:
    sheets.correct(c, who, _one(c, t.sheet, rng), _sheet(rng), today=TODAY)


def withdraw(c: Connection, who: str, rng: random.Random) -> None:
    sheets.withdraw(c, who, _one(c, t.sheet, rng), today=TODAY)


def edit_customer(c: Connection, who: str, rng: random.Random) -> None:
    values = rng.choice(
        [{"name": f"N{rng.randrange(9)}"}, {"notes": f"n{rng.randrange(9)}"}, {"contract_month": 4}]
    )
    phones = rng.choice([(), ("555 019 1111",), ("(555) 019-1111",), ("555-019-2222",)])
    wells.edit_customer(c, who, _one(c, t.customer, rng), values=values, phones=phones)


def edit_site(c: Connection, who: str, rng: random.Random) -> None:
    values = rng.choice(
        [{"access": "gate 1"}, {"latitude": 44.0, "longitude": -72.5}, {"town": "X"}]
    )
    wells.edit_site(c, who, _one(c, t.site, rng), values)


def edit_well(c: Connection, who: str, rng: random.Random) -> None:
    values = rng.choice(
        [
            {"use": "farm"},
            {"notes": f"n{rng.randrange(9)}"},
            {"status": "seasonal"},
            {"status": "in_use"},
        ]
    )
    wells.edit_well(c, who, _one(c, t.well, rng), values)


def new_place(c: Connection, who: str, rng: random.Random) -> None:
    site = wells.add_site(c, who, {"road": f"{rng.randrange(99)} New Rd"})
    person = wells.add_customer(c, who, f"New {rng.randrange(99)}", emails=("a@example.org",))
    wells.move_in(c, who, site, person, When.parse("2020", said_on=TODAY), today=TODAY)
    wells.add_well(c, who, f"{who}-{rng.randrange(999)}", {"site_id": site}, today=TODAY)


def move(c: Connection, who: str, rng: random.Random) -> None:
    person = wells.add_customer(c, who, f"Buyer {rng.randrange(99)}")
    day = When.on(TODAY - timedelta(days=rng.randrange(400)))
    wells.move_in(c, who, _one(c, t.site, rng), person, day, today=TODAY)


def share(c: Connection, who: str, rng: random.Random) -> None:
    wells.join_systems(c, who, _one(c, t.well, rng), _one(c, t.well, rng))


def part(c: Connection, who: str, rng: random.Random) -> None:
    wells.leave_system(c, who, _one(c, t.well, rng))


def number(c: Connection, who: str, rng: random.Random) -> None:
    proposed = with_setting(settings(c), "pump-age.surely_years", str(rng.randrange(18, 30)))
    renewal.save_settings(c, who, proposed)


def shop(c: Connection, who: str, rng: random.Random) -> None:
    say_of_shop(c, who, rng.choice(["phone", "licence"]), str(rng.randrange(3)))


def letter(c: Connection, who: str, rng: random.Random) -> None:
    keep_template(c, who, "letter", rng.choice([None, "Dear {{ name }}"]))


def pump(c: Connection, who: str, rng: random.Random) -> None:
    name = rng.choice(["O-1", "O-2", "O-3"])
    points = rng.choice([None, HeadCurve.parse("0:300, 5:200, 10:100")])
    model = PumpModel(maker="Oskerby", model=name, hp=1.0, rated_gpm=5.0, curve=points)
    known = [m for m in all_models(c, "") if m.model == name]
    if known:
        edit_pump(c, who, known[0], model)
    else:
        add_pumps(c, who, [model])


def quiet(c: Connection, who: str, rng: random.Random) -> None:
    rule = catalogue.the_rule("pump-age")
    silences.silence(c, who, _one(c, t.well, rng), rule, reason="so it is", today=TODAY)


def send_paper(c: Connection, who: str, rng: random.Random) -> None:
    well = _one(c, t.well, rng)
    some = list(job_papers(load_hole(c, well)))
    if some:
        one = rng.choice(some)
        if rng.random() < 0.3:
            papers.take_back(c, who, well, one.kind, number=one.visit.number)
        else:
            papers.mark_sent(c, who, well, one.kind, on=TODAY, number=one.visit.number, today=TODAY)


def consent(c: Connection, who: str, rng: random.Random) -> None:
    day, answer = TODAY - timedelta(days=rng.randrange(9)), rng.choice(list(Answer))
    person, way = _one(c, t.customer, rng), ContactWay.PHONE
    say(c, who, person, way, answer, on_day=day, how="rang", today=TODAY)


def speak(c: Connection, who: str, rng: random.Random) -> None:
    well = _one(c, t.well, rng)
    spoken = Spoken(rng.choice([Said.TOLD, Said.DECLINED]), TODAY, RemindBy.CALL)
    write_down(c, who, well, spoken, [(well, f"x:{rng.randrange(3)}")], today=TODAY)


def send(c: Connection, who: str, rng: random.Random) -> None:
    well, person, site = (_one(c, table, rng) for table in (t.well, t.customer, t.site))
    about = (((well, f"x:{rng.randrange(3)}"), 0),)
    one = Outgoing(person, site, RemindBy.LETTER, "somewhere", "s", "b", about)
    for n in begin(c, who, [one], run_uid=f"run {rng.randrange(99)}", today=TODAY):
        if rng.random() < 0.7:
            end(c, who, n, rng.choice([MessageStatus.MADE, MessageStatus.NOT_SENT]), today=TODAY)


def calendar(c: Connection, who: str, rng: random.Random) -> None:
    well, said = _one(c, t.well, rng), str(rng.randrange(3))
    give(c, [Entry(f"entry {rng.randrange(2)}", well, "x", said, TODAY, said)])


OPERATIONS: tuple[Operation, ...] = (
    *(visit, visit, visit, correct, withdraw, edit_customer, edit_site, edit_well, new_place),
    *(move, share, part, number, shop, letter, pump, quiet, send_paper, consent, speak, send),
    calendar,
)


def work(book: Book, who: str, week: Sequence[tuple[int, int]]) -> None:
    """Do some things in a book; what it refuses is left undone."""
    for which, seed in week:
        with suppress(WellbookError), book.writing() as connection:
            OPERATIONS[which % len(OPERATIONS)](connection, who, random.Random(seed))
