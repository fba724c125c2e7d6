"""A copy of the book comes home: what follows which side, what is to be decided, what stays out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from merge_books import TODAY, clock, copy_of, derived, first_book, ledger_is_true, merged, truth
from sqlalchemy import Connection, func, select

from wellbook.dates import When
from wellbook.engineering.curves import HeadCurve
from wellbook.errors import BookError, WellbookError
from wellbook.exchange.merging.merge import merge as merge_open
from wellbook.exchange.merging.merged import Merged
from wellbook.exchange.merging.other_book import other_book
from wellbook.store import consents, contacts, forgetting, forgotten, outbox, sheets, wells
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, migrate, open_book
from wellbook.store.holes import load_hole
from wellbook.store.pump_writing import add_pumps
from wellbook.store.pumps import PumpModel
from wellbook.store.shop import say_of_shop
from wellbook.store.stays import who_is_there
from wellbook.terms import Answer, ContactWay, MessageStatus, RemindBy, Said

Do = Callable[[Connection], Any]


class Pair:
    """This book, on either engine, and a copy of it in a file."""

    def __init__(self, here: Book, there: Book) -> None:
        self.here, self.there = here, there

    def at_home(self, do: Do) -> Any:
        with self.here.writing() as connection:
            return do(connection)

    def away(self, do: Do) -> Any:
        with self.there.writing() as connection:
            return do(connection)

    def merge(self, **more: Any) -> Merged:
        found = merged(self.here, self.there, **more)
        with self.here.reading() as connection:
            assert ledger_is_true(connection)
        return found

    def one(self, query: Any) -> Any:
        with self.here.reading() as connection:
            return connection.execute(query).scalar()

    def all(self, query: Any) -> list[Any]:
        with self.here.reading() as connection:
            return list(connection.execute(query).scalars())


@pytest.fixture
def pair(place: str, tmp_path: Path) -> Iterator[Pair]:
    """Two books that share a past; on a server, the first came from a file by a merge."""
    with clock():
        first = first_book(tmp_path / "first.book")
        if place.startswith("postgresql"):
            here = make_book(place, shop_name="test shop")
            assert not merged(here, first, unrelated=True).conflicts
        else:
            here = copy_of(first, Path(place))
        there = copy_of(first, tmp_path / "away.book")
        yield Pair(here, there)
        for book in (first, here, there):
            book.close()


def uid(book: Book, tag: str) -> int:
    with book.reading() as connection:
        number = wells.well_by_tag(connection, tag)
    assert number is not None
    return number


def visit(tag: str, day: str, **more: Any) -> Do:
    def do(connection: Connection) -> int:
        number = wells.well_by_tag(connection, tag)
        assert number is not None
        data = {"date": day, "reason": "check up", **more}
        return sheets.record(connection, "Bo", number, data, today=TODAY).number

    return do


def person(who: str, **values: Any) -> Do:
    def do(connection: Connection) -> None:
        phones = values.pop("phones", ())
        number = wells.the_customer(connection, who)
        wells.edit_customer(connection, "Bo", number, values=values, phones=phones)

    return do


def sheet_at(connection: Connection, day: str) -> int:
    for row in connection.execute(select(t.sheet.c.id, t.sheet.c.start_on, t.sheet.c.status)):
        if str(row.start_on) == day and row.status == "valid":
            return int(row.id)
    raise AssertionError(day)


def test_the_same_book_adds_nothing(pair: Pair) -> None:
    before = truth(pair.here)
    assert pair.merge().nothing_new
    assert truth(pair.here) == before


def test_visits_of_both_sides_hang_in_one_string(pair: Pair) -> None:
    pump = {"pump": {"hp": 2, "rated_gpm": 12, "set_depth_ft": 220}}
    pair.at_home(visit("A-1", "2026-11-20", measured={"static_level_ft": 50}))
    pair.away(visit("A-1", "2026-11-18", set=pump, crew=["Bo"]))
    pair.away(visit("A-2", "2026-11-19", measured={"static_level_ft": 60}))
    found = pair.merge()
    assert not found.conflicts
    assert found.visits == ["visit of 2026-11-18 at A-1", "visit of 2026-11-19 at A-2"]
    with pair.here.reading() as connection:
        hole = load_hole(connection, uid(pair.here, "A-1"))
    pumps = [c for c in hole.components if c.kind.value == "pump"]
    assert [p.part.hp for p in pumps if p.pulled_on is None] == [2]
    assert pair.all(select(t.technician.c.name)) == ["Bo"]
    assert pair.merge().nothing_new


def test_a_sheet_corrected_on_one_side_is_corrected(pair: Pair) -> None:
    new = {"date": "2010-05-03", "reason": "new well", "set": {"pump": {"hp": 3, "rated_gpm": 10}}}
    pair.away(lambda c: sheets.correct(c, "Bo", sheet_at(c, "2010-05-03"), new, today=TODAY))
    assert not pair.merge().conflicts
    statuses = pair.all(select(t.sheet.c.status).order_by(t.sheet.c.status))
    assert statuses == ["superseded", "valid", "valid"]
    assert pair.one(select(func.max(t.pump.c.hp))) == 3


def test_a_sheet_withdrawn_on_one_side_is_withdrawn(pair: Pair) -> None:
    pair.away(lambda c: sheets.withdraw(c, "Bo", sheet_at(c, "2010-05-03"), today=TODAY))
    assert not pair.merge().conflicts
    assert pair.one(select(func.count()).select_from(t.pump)) == 1


@pytest.mark.parametrize(("decision", "hp"), [("here", 4), ("there", 3)])
def test_a_sheet_corrected_on_both_sides_is_decided(pair: Pair, decision: str, hp: int) -> None:
    def corrected(hp: float) -> Do:
        new = {"date": "2010-05-03", "reason": "new well", "set": {"pump": {"hp": hp}}}
        return lambda c: sheets.correct(c, "Bo", sheet_at(c, "2010-05-03"), new, today=TODAY)

    pair.at_home(corrected(4))
    pair.away(corrected(3))
    found = pair.merge(decisions={1: decision})
    (one,) = found.conflicts
    assert one.what == "visit of 2010-05-03 at A-1"
    assert (one.here, one.there) == ("set.pump.hp 4", "set.pump.hp 3")
    assert pair.one(select(func.max(t.pump.c.hp))) == hp
    assert pair.merge().nothing_new
    assert pair.one(select(func.max(t.pump.c.hp))) == hp


def test_the_same_correction_on_both_sides_is_one(pair: Pair) -> None:
    new = {"date": "2010-05-03", "reason": "new well", "set": {"pump": {"hp": 3}}}
    for do in (pair.at_home, pair.away):
        do(lambda c: sheets.correct(c, "Bo", sheet_at(c, "2010-05-03"), new, today=TODAY))
    assert not pair.merge().conflicts
    valid = select(func.count()).where(t.sheet.c.status == "valid")
    assert pair.one(valid) == 2


@pytest.mark.parametrize(("decision", "left"), [("here", "2026-11-10"), ("there", "2026-11-05")])
def test_sheets_that_do_not_fit_together_are_decided(pair: Pair, decision: str, left: str) -> None:
    """On one side the well was sealed; on the other a pump went into it afterwards."""
    pump = {"pump": {"hp": 1, "rated_gpm": 5, "set_depth_ft": 150}}
    pair.at_home(visit("A-1", "2026-11-10", set=pump))
    pair.away(visit("A-1", "2026-11-05", reason="decommissioning"))
    found = pair.merge(decisions={1: decision})
    (one,) = found.conflicts
    assert "of 2026-11-10" in one.field
    assert "puts parts into a well" in one.field
    assert (one.here, one.there) == (
        "only with: visit of 2026-11-10",
        "only with: visit of 2026-11-05",
    )
    rows = select(t.sheet.c.start_on).where(t.sheet.c.status == "valid")
    assert left in [str(day) for day in pair.all(rows)]
    assert pair.one(select(func.count()).where(t.sheet.c.status == "withdrawn")) == 1
    assert pair.merge().nothing_new


def test_what_only_one_side_changed_follows_it_by_the_field(pair: Pair) -> None:
    pair.at_home(person("Person 1", name="Ann Weir"))
    pair.away(person("Person 1", notes="has a dog", contract_month=4))
    assert not pair.merge().conflicts
    row = select(t.customer.c.notes).where(t.customer.c.name == "Ann Weir")
    assert pair.one(row) == "has a dog"


@pytest.mark.parametrize(
    ("decision", "notes"), [("here", "a cat"), ("there", "a dog"), ("both", "a cat\na dog")]
)
def test_what_both_changed_stands_side_by_side(pair: Pair, decision: str, notes: str) -> None:
    pair.at_home(person("Person 1", notes="a cat"))
    pair.away(person("Person 1", notes="a dog"))
    (one,) = pair.merge(decisions={1: decision}).conflicts
    assert (one.what, one.field) == ("customer Person 1", "notes")
    assert (one.here, one.here_by) == ("a cat", "Bo 2026-11-20")
    assert (one.there, one.there_by) == ("a dog", "Bo 2026-11-20")
    assert pair.one(select(t.customer.c.notes).where(t.customer.c.name == "Person 1")) == notes
    assert pair.merge().nothing_new


def test_both_changed_to_the_same_is_no_conflict(pair: Pair) -> None:
    for do in (pair.at_home, pair.away):
        do(person("Person 1", notes="a dog"))
    assert not pair.merge().conflicts


def test_changed_and_changed_back_is_not_changed(pair: Pair) -> None:
    pair.at_home(person("Person 1", notes="a cat"))
    pair.at_home(person("Person 1", notes="pays"))
    pair.away(person("Person 1", notes="a dog"))
    assert not pair.merge().conflicts
    assert pair.one(select(t.customer.c.notes).where(t.customer.c.name == "Person 1")) == "a dog"


def test_one_number_entered_twice_is_one(pair: Pair) -> None:
    pair.at_home(person("Person 1", phones=("555-019-1111",)))
    pair.away(person("Person 1", phones=("(555) 019 1111", "555-019-2222")))
    assert not pair.merge().conflicts
    assert sorted(pair.all(select(t.contact_point.c.digits))) == [
        *("5550100001", "5550100002", "5550100003"),
        *("5550191111", "5550192222"),
    ]
    assert pair.merge().nothing_new


def test_numbers_facts_and_letters_of_the_shop(pair: Pair) -> None:
    pair.away(lambda c: say_of_shop(c, "Bo", "licence", "77"))
    pair.at_home(lambda c: say_of_shop(c, "Ida", "phone", "1"))
    pair.away(lambda c: say_of_shop(c, "Bo", "phone", "2"))
    (one,) = pair.merge(decisions={1: "there"}).conflicts
    assert (one.what, one.here, one.there) == ("shop phone", "1", "2")
    facts = select(t.shop_fact.c.value).order_by(t.shop_fact.c.name)
    assert pair.all(facts) == ["77", "2"]
    assert pair.merge().nothing_new


@pytest.mark.parametrize(
    ("decision", "tags"),
    [
        ("here", {"B-9": "Home Rd", "B-9-2": "Far Rd"}),
        ("there", {"B-9": "Far Rd", "B-9-2": "Home Rd"}),
    ],
)
def test_one_tag_for_two_wells_is_decided(pair: Pair, decision: str, tags: dict[str, str]) -> None:
    def new(road: str) -> Do:
        def do(c: Connection) -> None:
            site = wells.add_site(c, "Bo", {"road": road})
            wells.add_well(c, "Bo", "B-9", {"site_id": site}, today=TODAY)

        return do

    pair.at_home(new("Home Rd"))
    pair.away(new("Far Rd"))
    (one,) = pair.merge(decisions={1: decision}).conflicts
    assert one.here == "B-9 is Home Rd; the other becomes B-9-2"
    assert one.there == "B-9 is Far Rd; the one here becomes B-9-2"
    with pair.here.reading() as connection:
        query = select(t.well.c.tag, t.site.c.road).join(t.site, t.site.c.id == t.well.c.site_id)
        rows = dict(connection.execute(query.where(t.well.c.tag.startswith("B-"))).all())  # type: ignore[arg-type]
    assert rows == tags
    assert pair.merge().nothing_new


def test_one_pump_model_entered_twice_is_one(pair: Pair) -> None:
    curve = HeadCurve.parse("0:300, 5:200, 10:100")
    plain = PumpModel(maker="Oskerby", model="O-5", hp=1.0, rated_gpm=5.0)
    other = PumpModel(maker="Oskerby", model="o-5", hp=1.0, rated_gpm=5.0, curve=curve)
    pair.at_home(lambda c: add_pumps(c, "Ida", [plain]))
    pair.away(lambda c: add_pumps(c, "Bo", [other]))
    found = pair.merge(decisions={1: "here", 2: "there"})
    assert sorted(one.field for one in found.conflicts) == ["model", "points"]
    assert len(pair.all(select(t.pump_model.c.model))) == 1
    assert pair.one(select(func.count()).select_from(t.pump_point)) == 3


def test_who_was_told_on_either_side_was_told(pair: Pair) -> None:
    def send(c: Connection) -> int:
        about = (((1, "x"), 0),)
        one = outbox.Outgoing(1, 1, RemindBy.LETTER, "3 Elm, Town", "s", "b", about)
        (number,) = outbox.begin(c, "Bo", [one], run_uid="r", today=TODAY)
        return number

    def settled(number: int, status: MessageStatus) -> Do:
        return lambda c: outbox.end(c, "Bo", number, status, today=TODAY)

    number = pair.away(send)
    pair.merge()
    pair.away(settled(number, MessageStatus.MADE))
    mine = pair.one(select(t.message.c.id))
    pair.at_home(settled(mine, MessageStatus.NOT_SENT))
    assert not pair.merge().conflicts
    assert pair.one(select(t.message.c.status)) == "made"
    assert pair.all(select(t.contact.c.said)) == ["told"]
    with pair.here.reading() as connection:
        assert list(outbox.told_already(connection, [uid(pair.here, "A-1")]).values()) == ["made"]


def test_what_was_said_on_both_sides_stays_said(pair: Pair) -> None:
    def speak(said: Said) -> Do:
        def do(c: Connection) -> None:
            spoken = contacts.Spoken(said, TODAY, RemindBy.CALL)
            contacts.write_down(c, "Bo", 1, spoken, [(1, "x")], today=TODAY)

        return do

    pair.at_home(speak(Said.TOLD))
    pair.away(speak(Said.DECLINED))
    assert not pair.merge().conflicts
    assert sorted(pair.all(select(t.contact.c.said))) == ["declined", "told"]
    assert len(pair.all(select(t.contact_about.c.occurrence))) == 2


def test_systems_joined_away_are_joined_and_parted_again(pair: Pair) -> None:
    pair.away(lambda c: wells.join_systems(c, "Bo", 1, 2))
    pair.at_home(visit("A-1", "2026-11-20", measured={"static_level_ft": 50}))
    assert not pair.merge().conflicts
    assert pair.one(select(func.count()).select_from(t.water_system)) == 2
    assert pair.merge().nothing_new
    pair.away(lambda c: wells.leave_system(c, "Bo", 1))
    assert not pair.merge().conflicts
    assert pair.one(select(func.count()).select_from(t.water_system)) == 3


@pytest.mark.parametrize(("decision", "systems"), [("here", 3), ("there", 2)])
def test_what_is_taken_out_there_and_changed_here_is_decided(
    pair: Pair, decision: str, systems: int
) -> None:
    pair.away(lambda c: wells.join_systems(c, "Bo", 1, 2))
    pair.at_home(
        lambda c: wells.edit_system(c, "Ida", uid(pair.here, "A-1"), {"rise_to_tank_ft": 9})
    )
    found = pair.merge(decisions={1: decision, 2: decision})
    assert ("changed", "taken out") in [(one.here, one.there) for one in found.conflicts]
    assert pair.one(select(func.count()).select_from(t.water_system)) == systems
    assert pair.merge().nothing_new


def test_a_property_sold_away_is_sold(pair: Pair) -> None:
    def sell(c: Connection) -> None:
        buyer = wells.add_customer(c, "Bo", "Buyer")
        wells.move_in(c, "Bo", 1, buyer, When.parse("2026-10", said_on=TODAY), today=TODAY)

    pair.away(sell)
    assert not pair.merge().conflicts
    with pair.here.reading() as connection:
        site = connection.execute(
            select(t.site.c.id).where(t.site.c.road == "1 Mill Lane")
        ).scalar_one()
        assert who_is_there(connection, [site], TODAY)[site][0] == "Buyer"


@pytest.mark.parametrize(
    ("decision", "names"),
    [("here", {"Home"}), ("there", {"Away"}), ("both", {"Home", "Away"})],
)
def test_two_who_moved_into_one_property_are_decided(
    pair: Pair, decision: str, names: set[str]
) -> None:
    def sell(to: str) -> Do:
        def do(c: Connection) -> None:
            site = c.execute(select(t.site.c.id).where(t.site.c.road == "1 Mill Lane")).scalar_one()
            buyer = wells.add_customer(c, "Bo", to)
            since = When.parse("2026-10", said_on=TODAY)
            wells.move_in(c, "Bo", site, buyer, since, today=TODAY)

        return do

    pair.at_home(sell("Home"))
    pair.away(sell("Away"))
    (one,) = pair.merge(decisions={1: decision}).conflicts
    assert (one.what, one.field, one.here, one.there) == (
        *("property 1 Mill Lane", "customer", "Home", "Away"),
    )
    query = select(t.customer.c.name).join(
        t.occupancy, t.occupancy.c.customer_id == t.customer.c.id
    )
    there = query.join(t.site, t.site.c.id == t.occupancy.c.site_id).where(
        t.site.c.road == "1 Mill Lane", t.occupancy.c.until_text.is_(None)
    )
    assert set(pair.all(there)) == names
    assert pair.merge().nothing_new


@pytest.mark.parametrize("first", [Answer.YES, Answer.NO])
def test_of_a_yes_and_a_no_of_one_day_the_no_counts(pair: Pair, first: Answer) -> None:
    def said(answer: Answer) -> Do:
        def do(c: Connection) -> None:
            number = wells.the_customer(c, "Person 1")
            way = ContactWay.PHONE
            consents.say(c, "Bo", number, way, answer, on_day=TODAY, how="rang", today=TODAY)

        return do

    pair.at_home(said(first))
    pair.away(said(Answer.NO if first is Answer.YES else Answer.YES))
    assert not pair.merge().conflicts
    with pair.here.reading() as connection:
        number = wells.the_customer(connection, "Person 1")
        found = consents.answers(connection, [number])
    assert found[number, ContactWay.PHONE].answer is Answer.NO


# -- which books -------------------------------------------------------------------------------


def test_books_without_a_common_past_are_refused_unless_told(pair: Pair, tmp_path: Path) -> None:
    stranger = make_book(tmp_path / "stranger.book", shop_name="another")
    with stranger.writing() as connection:
        wells.add_well(connection, "Zed", "A-1", {}, today=TODAY)
        wells.add_well(connection, "Zed", "Z-1", {}, today=TODAY)
    with pytest.raises(WellbookError, match=r"no past in common.*--unrelated"):
        merged(pair.here, stranger)
    found = merged(pair.here, stranger, unrelated=True, decisions={1: "here"})
    assert [one.field for one in found.conflicts] == ["tag"]
    tags = pair.all(select(t.well.c.tag).order_by(t.well.c.tag))
    assert tags == ["A-1", "A-1-2", "A-2", "A-3", "Z-1"]
    # From now on they share a past.
    assert merged(pair.here, stranger).nothing_new
    stranger.close()


def test_a_server_and_a_file_in_the_other_direction(pair: Pair) -> None:
    pair.at_home(visit("A-1", "2026-11-20", measured={"static_level_ft": 50}))
    pair.at_home(person("Person 2", notes="new"))
    assert not merged(pair.there, pair.here).conflicts
    one, other = truth(pair.there), truth(pair.here)
    assert one == other
    assert derived(pair.there) == derived(pair.here)


def test_an_older_book_is_read_from_a_copy(pair: Pair) -> None:
    pair.away(visit("A-1", "2026-11-20", measured={"static_level_ft": 50}))
    migrate(pair.there, "0005")
    before = pair.there.path.read_bytes()
    assert pair.merge().visits == ["visit of 2026-11-20 at A-1"]
    assert pair.there.path.read_bytes() == before


def test_a_newer_book_the_same_and_none_are_refused(pair: Pair, tmp_path: Path) -> None:
    from sqlalchemy import text

    pair.away(lambda c: c.execute(text("UPDATE alembic_version SET version_num = '0999'")))
    with pytest.raises(BookError, match="newer"):
        pair.merge()
    with pytest.raises(BookError, match="the open book itself"):
        merged(pair.here, open_book(str(pair.here.url.render_as_string(hide_password=False))))
    with (
        pytest.raises(BookError, match="no book here"),
        other_book(str(tmp_path / "none.book"), pair.here),
    ):
        pass


def test_what_fails_leaves_both_books_as_they_were(pair: Pair) -> None:
    pair.away(visit("A-1", "2026-11-20", measured={"static_level_ft": 50}))
    before = truth(pair.here), truth(pair.there)
    with (
        pytest.raises(RuntimeError),
        other_book(str(pair.there.path), pair.here) as its,
        pair.here.writing() as mine,
    ):
        merge_open(mine, its, who="Ida")
        raise RuntimeError
    assert (truth(pair.here), truth(pair.there)) == before


# -- who was forgotten -------------------------------------------------------------------------


def forget(name: str) -> Do:
    return lambda c: forgetting.forget(c, "Ida", wells.the_customer(c, name))


def test_who_was_forgotten_here_is_not_brought_back(pair: Pair) -> None:
    pair.at_home(forget("Person 1"))
    pair.away(person("Person 1", notes="Person 1 has a dog", phones=("555-019-1111",)))
    pair.away(visit("A-1", "2026-11-20", notes="met Person 1, ring 555 019 1111"))
    found = pair.merge()
    assert not found.conflicts
    assert sorted(pair.all(select(t.customer.c.name))) == [
        *("Person 2", "Person 3", "forgotten customer")
    ]
    said = pair.all(select(t.sheet.c.document)) + pair.all(select(t.change.c.new))
    assert not [text for text in said if text and ("Person 1" in text or "019-1111" in text)]
    assert found.visits
    assert pair.merge().nothing_new


def test_who_was_forgotten_there_is_forgotten_here(pair: Pair) -> None:
    pair.at_home(person("Person 1", phones=("555-019-1111",)))
    pair.away(forget("Person 1"))
    assert pair.merge().forgotten == 1
    assert "Person 1" not in pair.all(select(t.customer.c.name))
    assert len(pair.all(select(t.contact_point.c.digits))) == 2
    with pair.here.reading() as connection:
        known = forgotten.marks_kept(connection)
        assert forgotten.mark_of("person  1", "+1 555 010 0001") in known
        assert forgotten.mark_of("Person 1", "555 010 0002") not in known
    assert pair.merge().nothing_new
    assert merged(pair.there, pair.here).conflicts == []


def test_a_message_to_who_was_forgotten_still_counts(pair: Pair) -> None:
    def send(c: Connection) -> None:
        one = outbox.Outgoing(1, 1, RemindBy.LETTER, "Person 1, Elm", "s", "Dear", (((1, "x"), 0),))
        (number,) = outbox.begin(c, "Bo", [one], run_uid="r", today=TODAY)
        outbox.end(c, "Bo", number, MessageStatus.MADE, today=TODAY)

    pair.away(send)
    pair.away(forget("Person 1"))
    pair.merge()
    with pair.here.reading() as connection:
        row = connection.execute(select(t.message)).mappings().one()
        told = outbox.told_already(connection, [uid(pair.here, "A-1")])
    assert (row["address"], row["body"], row["status"]) == ("", "", "made")
    assert list(told.values()) == ["made"]


def test_who_was_entered_anew_away_stays_out_unless_he_came_back(pair: Pair) -> None:
    def again(c: Connection) -> None:
        wells.add_customer(c, "Bo", "1 Person", phones=("+1 555 010 0001",))

    pair.away(again)
    pair.at_home(forget("Person 1"))
    pair.merge()
    assert not [n for n in pair.all(select(t.customer.c.name)) if "1" in n]
    pair.away(again)
    pair.merge()
    assert [n for n in pair.all(select(t.customer.c.name)) if "1" in n] == ["1 Person"]
