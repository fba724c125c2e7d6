"""A small invented shop in whose book all has happened: every table of its truth has rows.

What it does is what people do: records come in twice and are changed, a run is taken back, doubles are
joined, told apart and taken back, a helper's book is merged, a customer is forgotten, letters go out.

`python -m tests.exchange.lived_in FOLDER` writes it as a package: so was `packages/0009` made, which every later
program has to read. After a new revision was released, add a folder of its own beside it, and change none.
"""

from __future__ import annotations

import csv
import json
import shutil
import sys
from contextlib import redirect_stderr, redirect_stdout
from datetime import date
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, select

from wellbook.cli import run
from wellbook.dates import When
from wellbook.engineering.curves import HeadCurve
from wellbook.exchange.merging.merge import merge
from wellbook.exchange.merging.other_book import other_book
from wellbook.rules import catalogue
from wellbook.store import doubles, papers, renewal, sheets, silences, wells
from wellbook.store import tables as t
from wellbook.store.attachments import attach, files_of
from wellbook.store.book import Book, make_book
from wellbook.store.calendar_entries import Entry, give
from wellbook.store.consents import say
from wellbook.store.contacts import Spoken, write_down
from wellbook.store.forgetting import forget
from wellbook.store.outbox import Outgoing, begin, end
from wellbook.store.pump_writing import add_pumps
from wellbook.store.pumps import PumpModel
from wellbook.store.settings import settings, with_setting
from wellbook.store.shop import say_of_shop
from wellbook.store.templates import keep_template
from wellbook.terms import (
    Answer,
    ContactWay,
    MessageStatus,
    PairOf,
    PaperKind,
    RemindBy,
    Said,
    SheetKind,
)

TODAY = date(2026, 11, 25)
WHO = "Ida"

LISTED = """\
Tag,Customer,Phone,Address,Town,Depth (ft),Equipment,Visit,Work,Tech,Level (ft),Notes
Q-1,"Corvin ""Ox"" Mossiter",(207) 555-0147,12 Mill Rd,Ambelow,310,1/2hp 7gpm 2011,2019-05-03,no water,Lu,42,-barn
Q-2,Mossiter Corvin,207.555.0147,40 Hill St,Ambelow,200,,2020-02-02,check up,Lu,,=gate
Q-3,Hob Tamsley,207-555-0188,4 Larkspur Bend,Nettlewick,150,,about 2019,check up,,12,
"""
PUBLIC = """\
id,town,drilled,well_depth_ft,static_ft,casing_to_ft,casing_diameter_in,latitude,longitude
900,Ambelow,2011,410,60,40,6,42.01,-101.31
901,Ambelow,1987,380,,,,0,-180
"""


def live(book: Book, room: Path) -> None:
    """Let it all happen in an empty book; `room` is a folder for what people have on their desks."""
    if not book.is_file:
        (room / "files").mkdir()
        with book.writing() as connection:
            say_of_shop(connection, WHO, "files", str(room / "files"))
    # A run can be taken back only where its lines of the change log have kept their numbers.
    _merge(book, room)
    _imports(book, room)
    with book.writing() as connection:
        one, two, three = (
            connection.execute(select(t.well.c.id).filter_by(tag=tag)).scalar_one()
            for tag in ("Q-1", "Q-2", "Q-3")
        )
        _jobs(connection, one, two)
        _desk(connection, one)
        files = files_of(book, connection)
        photo = room / "lid.jpg"
        photo.write_bytes(b"\xff\xd8\xff\xe0 a lid")
        for well, name in ((one, "lid.jpg"), (two, "the same, \N{WAVE DASH} =1.jpg")):
            with files.copied(photo) as copied:
                attach(connection, WHO, files, well, copied, name=name, today=TODAY)
    with book.writing() as connection:
        _doubles(connection, one, three)


def _said(*words: object) -> dict[str, Any]:
    with redirect_stdout(StringIO()) as out, redirect_stderr(StringIO()):
        status = run([*map(str, words), "--json"])
    said: dict[str, Any] = json.loads(out.getvalue())
    assert status == 0, said
    return said


def _imports(book: Book, room: Path) -> None:
    place = book.url.render_as_string(hide_password=False) if not book.is_file else book.path
    listed, public, decided = (room / n for n in ("list.csv", "public.csv", "decided.csv"))
    listed.write_text(LISTED, "utf-8")
    public.write_text(PUBLIC, "utf-8")
    bring = ("--book", place, "import", listed, "--source", "shop list", "--as", "ours")
    _said(*bring, "--decisions", decided)
    with decided.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["decision"] = {"equipment": "take", "customer": "join"}.get(row["what"], "")
    with decided.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    _said(*bring, "--decisions", decided, "--write")
    listed.write_text(LISTED.replace("40 Hill St", "41 Hill St"), "utf-8")
    _said(*bring, "--write")
    strange = ("--book", place, "import", public, "--source", "county", "--as", "reference")
    first = _said(*strange, "--write")["files"][0]["run"]
    _said("--book", place, "import", "undo", first)
    _said(*strange, "--write")


def _jobs(connection: Connection, one: int, two: int) -> None:
    data: dict[str, Any] = {
        "date": TODAY.isoformat(),
        "reason": "no water",
        "crew": ["Lu", "Marit"],
        "set": {
            "pump": {"hp": 1, "rated_gpm": 10, "set_depth_ft": 200, "maker": "Oskerby"},
            "pipe": {"to_ft": 198, "rating_psi": 160},
        },
        "measured": {"static_level_ft": 40, "yield_gpm": 6},
        "notes": '+ "all" of it,\r\nin two lines \N{WATER WAVE}',
    }
    number = sheets.record(connection, WHO, one, data, today=TODAY).number
    right = {**data, "notes": "=put right"}
    number = sheets.correct(connection, WHO, number, right, why="a slip", today=TODAY).number
    data = {"date": "2022-03-04", "reason": "check up"}
    gone = sheets.record(connection, WHO, two, data, today=TODAY).number
    sheets.withdraw(connection, WHO, gone, why="not this well", today=TODAY)
    wells.join_systems(connection, WHO, one, two)
    wells.leave_system(connection, WHO, two)
    papers.mark_sent(connection, WHO, one, PaperKind.REPORT, on=TODAY, number=number, today=TODAY)
    pump = PumpModel(
        maker="Oskerby", model="O-1", hp=1.0, rated_gpm=5.0, curve=HeadCurve.parse("0:300, 10:100")
    )
    add_pumps(connection, WHO, [pump])


def _desk(connection: Connection, well: int) -> None:
    site = connection.execute(select(t.well.c.site_id).filter_by(id=well)).scalar_one()
    person = connection.execute(select(t.occupancy.c.customer_id).filter_by(site_id=site)).scalar()
    assert person is not None
    wells.edit_customer(connection, WHO, person, values={"contract_month": 4}, phones=())
    say(connection, WHO, person, ContactWay.EMAIL, Answer.NO, on_day=TODAY, how="rang", today=TODAY)
    spoken = Spoken(Said.TOLD, TODAY, RemindBy.CALL)
    write_down(connection, WHO, well, spoken, [(well, "pump-age:x")], today=TODAY)
    letter = Outgoing(
        person,
        site,
        RemindBy.LETTER,
        "12 Mill Road",
        "Due",
        "=It is\ndue.",
        (((well, "pump-age:x"), 0),),
    )
    (number,) = begin(connection, WHO, [letter], run_uid="run 1", today=TODAY)
    end(connection, WHO, number, MessageStatus.MADE, today=TODAY)
    give(connection, [Entry("entry 1", well, "pump-age:x", "An old pump", TODAY, "d")])
    silences.silence(
        connection, WHO, well, catalogue.the_rule("pump-age"), reason="so it is", today=TODAY
    )
    renewal.save_settings(
        connection, WHO, with_setting(settings(connection), "pump-age.surely_years", "19")
    )
    say_of_shop(connection, WHO, "phone", "(207) 555-0100")
    keep_template(connection, WHO, "letter", "Dear {{ name }}")


def _merge(book: Book, room: Path) -> None:
    """A helper's book comes home: it knows a property, a customer and a well more."""
    helper = make_book(room / "helper.book")
    with helper.writing() as connection:
        renewal.renew_all(connection)
        site = wells.add_site(
            connection, "Lu", {"road": "9 Fen Lane", "latitude": 0.0, "longitude": -180.0}
        )
        for name, since in (("Ida Quill", "1998?"), ("Bo Quill", "spring 2020")):
            new = wells.add_customer(connection, "Lu", name, phones=("207 555 0166",))
            wells.move_in(
                connection, "Lu", site, new, When.parse(since, said_on=TODAY), today=TODAY
            )
        wells.add_well(connection, "Lu", "L-1", {"site_id": site}, today=TODAY)
        told = sheets.CallSaid("Bo Quill", "207 555 0166", "sputters", "look at it")
        day = {"date": "2026-11-20"}
        sheets.record(connection, "Lu", 1, day, kind=SheetKind.CALL, call=told, today=TODAY)
    with other_book(str(helper.path), book) as its, book.writing() as mine:
        merge(mine, its, who=WHO, unrelated=True)
    helper.close()


def _doubles(connection: Connection, one: int, three: int) -> None:
    def person(name: str) -> int:
        query = select(t.customer.c.id).filter_by(name=name)
        return int(connection.execute(query).scalar_one())

    some = [
        wells.add_customer(connection, WHO, name, phones=("207 555 0172",))
        for name in ("Ferrin Oakes", "F. Oakes", "Oakes Ferrin", "Perl Oakes")
    ]
    doubles.join(connection, WHO, PairOf.CUSTOMER, some[0], some[1])
    number, _ = doubles.join(connection, WHO, PairOf.CUSTOMER, some[0], some[2])
    doubles.back(connection, WHO, number)
    doubles.tell_apart(connection, WHO, PairOf.CUSTOMER, some[0], some[3])
    number, _ = doubles.join(connection, WHO, PairOf.WELL, one, three)
    doubles.back(connection, WHO, number)
    forget(connection, WHO, person("Ida Quill"))


def main(folder: Path) -> None:
    """Write the package."""
    from wellbook.exchange.package_out import write_package

    with TemporaryDirectory() as room:
        book = make_book(Path(room) / "shop.book", shop_name="Fen Pumps")
        live(book, Path(room))
        write_package(book, folder, TODAY)
        # It is never read back.
        shutil.rmtree(folder / "readable")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
