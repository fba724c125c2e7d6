"""Each message goes once, or is shown as in doubt; nobody who said no gets one."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from reminder_book import (
    TODAY,
    FakeMailer,
    begin,
    customer,
    notices,
    run,
    send,
    write_plainly,
)
from sqlalchemy import Connection, select

from wellbook.errors import NotFoundError, WellbookError
from wellbook.reminders.sending import list_calls, print_letters, ready, send_emails
from wellbook.reminders.smtp import Outcome, SendingStopped, Sent
from wellbook.rules.catalogue import by_name
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.consents import say
from wellbook.store.contacts import Spoken, owed_at, write_down
from wellbook.store.lives import Standing, lives
from wellbook.store.outbox import in_doubt, settle
from wellbook.store.sheets import record
from wellbook.store.shop import ShopSays
from wellbook.store.silences import silence
from wellbook.terms import Answer, ContactWay, RemindBy, Said


class Killed(BaseException):
    """The program is killed here: nothing that follows is done."""


class DyingBook:
    """A book under a program that is killed at the n-th step: before or after a commit."""

    def __init__(self, book: Book, steps: Iterator[int], at: int) -> None:
        self.book, self.steps, self.at = book, steps, at

    def step(self) -> None:
        if next(self.steps) == self.at:
            raise Killed

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        self.step()
        with self.book.writing() as connection:
            yield connection
            # Killed before the commit: the engine undoes it.
            self.step()
        self.step()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        with self.book.reading() as connection:
            yield connection


def _emails(book: Book) -> dict[str, int]:
    """Three customers by e-mail."""
    return {
        f"c{n}@x.example": customer(
            book,
            f"Ada {n}",
            f"E-{n}",
            remind_by="email",
            email=f"c{n}@x.example",
            agreed=ContactWay.EMAIL,
        )
        for n in range(3)
    }


@pytest.mark.parametrize("at", range(24))
def test_killed_at_any_step_an_email_went_once_or_is_in_doubt(
    file_book: Book, tmp_path: Path, at: int
) -> None:
    begin(file_book)
    everybody = set(_emails(file_book))
    steps = iter(range(1000))
    dying = DyingBook(file_book, steps, at)
    mailer = FakeMailer()

    class DyingMailer:
        def send(self, mail: Any) -> Sent:
            dying.step()
            sent = mailer.send(mail)
            dying.step()
            return sent

    one = run(file_book)
    object.__setattr__(one, "book", dying)
    going = [n for n in notices(file_book) if n.goes]
    killed = False
    try:
        send_emails(one, going, DyingMailer())
    except Killed:
        killed = True
    with file_book.reading() as connection:
        doubtful = {row["address"] for row in in_doubt(connection)}
    assert len(doubtful) <= 1
    # The next run sends what is surely still to go, and nothing of which nobody knows.
    send(file_book, tmp_path, mailer)
    arrived = [str(mail["To"].addresses[0].addr_spec) for mail in mailer.delivered]
    assert len(arrived) == len(set(arrived)), "sent twice"
    assert everybody - set(arrived) <= doubtful
    if not killed:
        assert set(arrived) == everybody
        assert not doubtful


@pytest.mark.parametrize("at", range(12))
def test_killed_at_any_step_letters_are_in_one_file_or_in_doubt(
    file_book: Book, tmp_path: Path, at: int
) -> None:
    begin(file_book)
    for n in range(3):
        customer(file_book, f"Ada {n}", f"A-{n}")
    dying = DyingBook(file_book, iter(range(1000)), at)

    def draw(rows: Any, path: Path) -> None:
        dying.step()
        write_plainly(rows, path)
        dying.step()

    one = run(file_book)
    object.__setattr__(one, "book", dying)
    going = [n for n in notices(file_book) if n.goes]
    with suppress(Killed):
        print_letters(one, going, tmp_path / "first.pdf", draw)
    with file_book.reading() as connection:
        doubtful = {row["name"] for row in in_doubt(connection)}
    told = {n.place.resident.name for n in notices(file_book) if n.place.resident}
    assert not doubtful & told, "what is in doubt is not sent again"
    send(file_book, tmp_path, FakeMailer())
    printed = [page for f in tmp_path.glob("*.pdf") for page in f.read_text().split("\f")]
    names = [page.splitlines()[0] for page in printed if page]
    assert len(names) == len(set(names)), "printed twice"
    assert {"Ada 0", "Ada 1", "Ada 2"} - set(names) <= doubtful


def test_a_second_run_sends_nothing_again(book: Book, tmp_path: Path) -> None:
    begin(book)
    customer(book, "Ada", "A-1")
    _emails(book)
    mailer = FakeMailer()
    assert sum(len(o.made) for o in send(book, tmp_path, mailer)) == 4
    assert [len(o.made) for o in send(book, tmp_path, mailer)] == [0, 0]
    assert not [n for n in notices(book) if n.goes]


def test_a_message_that_a_disk_had_no_room_for_is_still_to_go(
    file_book: Book, tmp_path: Path
) -> None:
    begin(file_book)
    customer(file_book, "Ada", "A-1")
    going = notices(file_book)

    def full(_rows: Any, path: Path) -> None:
        raise OSError(28, "No space left on device", str(path))

    with pytest.raises(OSError, match="No space"):
        print_letters(run(file_book), going, tmp_path / "x.pdf", full)
    assert [n.tags for n in notices(file_book) if n.goes] == [("A-1",)]


OUTCOMES = {
    Outcome.REFUSED: (0, 1, 0),
    Outcome.NOT_NOW: (0, 0, 1),
    Outcome.IN_DOUBT: (0, 0, 0),
}


@pytest.mark.parametrize("outcome", OUTCOMES)
def test_what_a_server_says_no_to_was_told_to_nobody(
    book: Book, tmp_path: Path, outcome: Outcome
) -> None:
    begin(book)
    wells = _emails(book)
    mailer = FakeMailer(lambda mail: outcome if "c1@" in str(mail["To"]) else Outcome.SENT)
    done = send(book, tmp_path, mailer)[1]
    assert len(done.made) == 2
    assert (0, len(done.refused), len(done.not_now)) == OUTCOMES[outcome]
    with book.reading() as connection:
        stands = lives(connection, [wells["c1@x.example"]])
    assert not stands
    again = [n for n in notices(book) if n.tags == ("E-1",)]
    if outcome is Outcome.NOT_NOW:
        assert again[0].goes
    elif outcome is Outcome.REFUSED:
        assert "was refused before: 250 fine" in again[0].choice.why_not
    else:
        assert not again


def test_a_server_that_is_lost_leaves_the_rest_for_another_run(book: Book) -> None:
    begin(book)
    _emails(book)

    class Lost(FakeMailer):
        def send(self, mail: Any) -> Sent:
            if self.delivered:
                raise SendingStopped("is not to be had", where="mail server")
            return super().send(mail)

    lost = Lost()
    done = send_emails(run(book), notices(book), lost)
    assert (len(done.made), done.left) == (1, 2)
    assert "not to be had" in done.stopped
    assert len([n for n in notices(book) if n.goes]) == 2
    with book.reading() as connection:
        assert not in_doubt(connection)


def test_in_doubt_is_settled_by_who_has_looked(book: Book, tmp_path: Path) -> None:
    begin(book)
    _emails(book)
    send(book, tmp_path, FakeMailer(lambda _mail: Outcome.IN_DOUBT))
    with book.writing() as connection:
        numbers = [row["id"] for row in in_doubt(connection)]
        assert len(numbers) == 3
        settle(connection, "me", numbers[0], went=True, today=TODAY)
        settle(connection, "me", numbers[1], went=False, today=TODAY)
        with pytest.raises(WellbookError, match="not in doubt"):
            settle(connection, "me", numbers[0], went=False, today=TODAY)
        with pytest.raises(NotFoundError, match="no message 99"):
            settle(connection, "me", 99, went=True, today=TODAY)
    assert [n.tags for n in notices(book) if n.goes] == [("E-1",)]


def test_calls_are_listed_once_and_waited_for(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1", remind_by="call", phone="555-0107")
    done, lines = list_calls(run(book), notices(book))
    assert len(done.made) == 1
    assert lines[0].startswith("555-0107  Ada, 1 Ada Rd, Nettlewick")
    (waiting,) = notices(book)
    assert waiting.still_to_call
    assert not waiting.goes
    with book.writing() as connection:
        (owed,) = [
            o
            for o in owed_at(connection, [well], by=TODAY, today=TODAY)
            if o.finding.rule == "check-up"
        ]
        spoken = Spoken(Said.TOLD, TODAY, RemindBy.CALL)
        write_down(connection, "me", well, spoken, [owed.key], today=TODAY)
    assert not [n for n in notices(book) if _about(n, "check-up")]


def _about(notice: Any, rule: str) -> bool:
    return any(o.finding.rule == rule for o in notice.tells)


# -- who is told ---------------------------------------------------------------------------------


def _said_no(connection: Connection) -> None:
    say(
        connection,
        "me",
        1,
        ContactWay.POST,
        Answer.NO,
        on_day=TODAY,
        how="on the phone",
        today=TODAY,
    )


CASES: list[tuple[dict[str, Any], str]] = [
    ({"remind_by": "none"}, "wants no reminders"),
    ({"remind_by": "email", "email": "a@b.example"}, "has not agreed to e-mail yet"),
    ({"remind_by": "email", "agreed": ContactWay.EMAIL}, "no e-mail address on record"),
    ({"remind_by": "call"}, "no telephone on record"),
]


@pytest.mark.parametrize(("how", "why"), CASES)
def test_who_is_not_told_is_shown_with_the_reason(
    book: Book, how: dict[str, Any], why: str
) -> None:
    begin(book)
    customer(book, "Ada", "A-1", **how)
    (notice,) = notices(book)
    assert notice.choice.why_not == why


def test_a_stop_counts_at_once_and_a_later_yes_takes_it_back(book: Book) -> None:
    begin(book)
    customer(book, "Ada", "A-1")
    assert notices(book)[0].goes
    with book.writing() as connection:
        _said_no(connection)
    assert notices(book)[0].choice.why_not == "said no to post on 2026-11-25 (on the phone)"
    with book.writing() as connection:
        yes = {"on_day": TODAY, "how": "wrote to us", "today": TODAY}
        say(connection, "me", 1, ContactWay.POST, Answer.YES, **yes)  # type: ignore[arg-type]
    assert notices(book)[0].goes


def test_a_yes_says_how_it_was_given(book: Book) -> None:
    begin(book)
    customer(book, "Ada", "A-1")
    with book.writing() as connection, pytest.raises(WellbookError, match="how it was given"):
        say(connection, "me", 1, ContactWay.EMAIL, Answer.YES, on_day=TODAY, how=" ", today=TODAY)


def test_one_property_gets_one_message_for_all_its_wells(book: Book, tmp_path: Path) -> None:
    from wellbook.store import wells as store_wells

    begin(book)
    first = customer(book, "Ada", "A-1")
    with book.writing() as connection:
        site = connection.execute(select(t.well.c.site_id).where(t.well.c.id == first)).scalar_one()
        store_wells.add_well(connection, "me", "A-2", {"site_id": site}, today=date(2020, 1, 1))
    (notice,) = [n for n in notices(book) if n.goes]
    assert set(notice.tags) <= {"A-1", "A-2"}
    assert sum(len(o.made) for o in send(book, tmp_path, FakeMailer())) == 1


def test_what_comes_due_soon_after_rides_along_in_the_same_message(book: Book) -> None:
    begin(book)
    # Due in 20 days, and so within the 30 that call for a message.
    customer(book, "Ada", "A-1", last_check_up=date(2025, 12, 15))
    # Due in 60 days: not yet.
    customer(book, "Ben", "B-1", last_check_up=date(2026, 1, 24))
    assert {n.tags for n in notices(book) if _about(n, "check-up")} == {("A-1",)}


def test_put_off_comes_back_by_itself_and_is_told_once_more(book: Book, tmp_path: Path) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    send(book, tmp_path, FakeMailer())
    until = date(2027, 2, 1)
    with book.writing() as connection:
        keys = [
            o.key
            for o in owed_at(connection, [well], by=TODAY, today=TODAY)
            if o.finding.to_customer
        ]
        spoken = Spoken(Said.PUT_OFF, TODAY, for_day=until)
        write_down(connection, "me", well, spoken, keys, today=TODAY)
    assert not notices(book, date(2027, 1, 31))
    assert notices(book, until)[0].goes
    send(book, tmp_path, FakeMailer(), until)
    assert not [n for n in notices(book, until) if n.goes]
    with book.reading() as connection:
        stands = lives(connection, [well])
    assert {life.standing(until) for life in stands.values()} == {Standing.TOLD}


def test_a_shop_that_has_not_said_where_it_is_writes_nothing() -> None:
    with pytest.raises(WellbookError, match="address, phone; say it: wellbook shop set address"):
        ready(ShopSays({"name": "Marlow"}), [RemindBy.LETTER])
    ready(ShopSays({"name": "Marlow", "address": "2 Hill Rd, Town", "phone": "1"}), [RemindBy.CALL])


def test_a_letter_that_cannot_be_worded_stops_no_other(book: Book, tmp_path: Path) -> None:
    from wellbook.reminders.letters import TemplateKind

    begin(book)
    customer(book, "Ada", "A-1")
    customer(book, "Ben", "B-1")
    one = run(book)
    # Fits Ben's letter only: a name of three letters that begins with B.
    one.words[TemplateKind.LETTER] = (
        "Subject: x\n\n{% if receiver.name == 'Ben' %}{{ shop.name }} {{ shop.phone }}{% endif %}"
    )
    done = print_letters(one, notices(book), tmp_path / "x.pdf", write_plainly)
    assert len(done.made) == 1
    assert [where for where, _ in done.unworded] == ["A-1"]


def test_who_was_told_lately_or_has_a_visit_booked_is_left_alone(
    book: Book, tmp_path: Path
) -> None:
    """The next thing that comes due waits, unless it is grave: bacteria do not."""
    begin(book)
    well = customer(book, "Ada", "A-1", last_check_up=date(2025, 12, 20))
    send(book, tmp_path, FakeMailer())

    def sampled(day: str, bacteria: str) -> None:
        sheet = {"date": day, "reason": "water sample", "sample": {"bacteria": bacteria}}
        with book.writing() as connection:
            record(connection, "me", well, sheet, today=TODAY)

    sampled("2025-11-01", "absent")
    (held,) = notices(book)
    assert "told of something on 2026-11-25, less than 28 days ago" in held.choice.why_not
    assert [n.goes for n in notices(book, date(2026, 12, 23))] == [True]
    sampled("2026-11-24", "coliform present")
    (grave,) = notices(book)
    assert grave.goes
    with book.writing() as connection:
        keys = [o.key for o in owed_at(connection, [well], by=TODAY, today=TODAY)]
        spoken = Spoken(Said.BOOKED, TODAY, for_day=date(2026, 11, 27))
        write_down(connection, "me", well, spoken, keys[:1], today=TODAY)
    (booked,) = notices(book)
    assert booked.choice.why_not == "a visit is booked for 2026-11-27"


def test_a_new_owner_has_said_nothing_and_was_told_of_nothing(book: Book, tmp_path: Path) -> None:
    from wellbook.dates import When
    from wellbook.store import wells as store_wells

    begin(book)
    told, declined = customer(book, "Ada", "A-1"), customer(book, "Ben", "B-1")
    send(book, tmp_path, FakeMailer())
    with book.writing() as connection:
        for well in (told, declined):
            keys = [o.key for o in owed_at(connection, [well], by=TODAY, today=TODAY)]
            if well == declined:
                spoken = Spoken(Said.DECLINED, TODAY)
                write_down(connection, "me", well, spoken, keys, today=TODAY)
        buyer = store_wells.add_customer(connection, "me", "Cid")
        for site in (1, 2):
            store_wells.move_in(connection, "me", site, buyer, When.on(TODAY), today=TODAY)
    assert {n.tags for n in notices(book) if n.goes} == {("A-1",), ("B-1",)}
    send(book, tmp_path, FakeMailer())
    assert not notices(book)


# -- between the list and the sending --------------------------------------------------------------


def _says_no(connection: Connection, _well: int) -> None:
    say(connection, "me", 1, ContactWay.EMAIL, Answer.NO, on_day=TODAY, how="STOP", today=TODAY)


def _speaks(said: Said, for_day: date | None = None) -> Any:
    def speak(connection: Connection, well: int) -> None:
        keys = [o.key for o in owed_at(connection, [well], by=TODAY, today=TODAY)]
        spoken = Spoken(said, TODAY, for_day=for_day)
        write_down(connection, "me", well, spoken, keys, today=TODAY)

    return speak


def _is_visited(connection: Connection, well: int) -> None:
    sheet = {"date": TODAY.isoformat(), "reason": "check up"}
    record(connection, "me", well, sheet, today=TODAY)


CHANGED = "told by another run, booked, declined, put off or done meanwhile"


@pytest.mark.parametrize(
    ("happens", "why"),
    [
        (_says_no, "said no to e-mail on 2026-11-25 (STOP)"),
        (
            _speaks(Said.BOOKED, date(2026, 11, 27)),
            CHANGED,
        ),
        (_speaks(Said.DECLINED), CHANGED),
        (
            _speaks(Said.PUT_OFF, date(2027, 3, 1)),
            CHANGED,
        ),
        (_is_visited, CHANGED),
    ],
)
def test_what_happens_after_the_list_was_made_counts_before_anything_goes(
    book: Book, happens: Any, why: str
) -> None:
    """The run has its list; then the telephone rings. The next e-mail heeds what was said."""
    begin(book)
    emails = _emails(book)
    going = [n for n in notices(book) if n.goes]
    with book.writing() as connection:
        happens(connection, emails["c0@x.example"])
    mailer = FakeMailer()
    done = send_emails(run(book), going, mailer)
    arrived = {str(mail["To"].addresses[0].addr_spec) for mail in mailer.delivered}
    assert arrived == {"c1@x.example", "c2@x.example"}
    assert done.dropped == [("E-0", why)]


def test_a_property_that_is_sold_after_the_list_was_made_is_the_buyers(
    book: Book, tmp_path: Path
) -> None:
    from wellbook.dates import When
    from wellbook.store import wells as store_wells

    begin(book)
    customer(book, "Ada", "A-1")
    going = notices(book)
    with book.writing() as connection:
        buyer = store_wells.add_customer(connection, "me", "Cid")
        store_wells.move_in(connection, "me", 1, buyer, When.on(TODAY), today=TODAY)
    print_letters(run(book), going, tmp_path / "x.pdf", write_plainly)
    assert (tmp_path / "x.pdf").read_text("utf-8").startswith("Cid\n")


def test_who_stands_on_a_list_of_calls_and_says_no_is_not_called(book: Book) -> None:
    begin(book)
    customer(book, "Ada", "A-1", remind_by="call", phone="555-0107")
    list_calls(run(book), notices(book))
    with book.writing() as connection:
        say(connection, "me", 1, ContactWay.PHONE, Answer.NO, on_day=TODAY, how="", today=TODAY)
    (waiting,) = notices(book)
    assert not waiting.still_to_call
    assert waiting.choice.why_not == "said no to calls on 2026-11-25"


def test_what_was_put_off_on_a_list_of_calls_stands_on_one_list_only(book: Book) -> None:
    """He was rung and wants it in a week: when it comes back it is a call of its own."""
    begin(book)
    well = customer(book, "Ada", "A-1", remind_by="call", phone="555-0107")
    list_calls(run(book), notices(book))
    later = date(2026, 12, 2)
    with book.writing() as connection:
        _speaks(Said.PUT_OFF, later)(connection, well)
    assert [(n.goes, n.still_to_call) for n in notices(book, later)] == [(True, False)]


def test_a_booking_whose_day_went_by_is_shown_until_somebody_says_what_came_of_it(
    book: Book,
) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    with book.writing() as connection:
        _speaks(Said.BOOKED, date(2026, 11, 27))(connection, well)
    assert [n for n in notices(book, date(2026, 11, 27)) if n.goes] == []
    (missed,) = notices(book, date(2026, 11, 28))
    assert not missed.goes
    assert missed.choice.why_not.startswith("check-up")
    assert missed.choice.why_not.endswith(
        " was booked for 2026-11-27 and is not done: ring, and say what came of it"
    )
    with book.writing() as connection:
        _speaks(Said.DECLINED)(connection, well)
    assert not notices(book, date(2026, 11, 28))


def test_a_stop_holds_for_the_address_whoever_else_has_it(book: Book) -> None:
    """15 U.S.C. 7704(a)(4)(A): no more to an address after a request from it not to get any."""
    begin(book)
    yes: dict[str, Any] = {"remind_by": "email", "agreed": ContactWay.EMAIL}
    customer(book, "Ada", "A-1", email="Both@x.example", **yes)
    customer(book, "Ada V.", "A-2", email="both@X.example", **yes)
    customer(book, "Ben", "B-1", email="ben@x.example", **yes)
    customer(book, "Cid", "C-1", remind_by="call", phone="(555) 0107")
    customer(book, "Dot", "D-1", remind_by="call", phone="555-0107")
    with book.writing() as connection:
        for number, way in ((1, ContactWay.EMAIL), (4, ContactWay.PHONE)):
            say(connection, "me", number, way, Answer.NO, on_day=TODAY, how="STOP", today=TODAY)
    assert {n.tags for n in notices(book) if n.goes} == {("B-1",)}
    with book.writing() as connection:
        say(
            connection,
            "me",
            2,
            ContactWay.EMAIL,
            Answer.YES,
            on_day=TODAY,
            how="asked for it again",
            today=TODAY,
        )
    # Of one day the no counts: it is of the other card, and nobody knows which came later.
    assert {n.tags for n in notices(book) if n.goes} == {("B-1",)}


def test_an_address_that_is_none_costs_only_itself(book: Book, tmp_path: Path) -> None:
    """RFC 5322, section 3.4.1: a local part has no two dots in a row."""
    begin(book)
    _emails(book)
    odd = {"remind_by": "email", "email": "ada..x@x.example", "agreed": ContactWay.EMAIL}
    customer(book, "Aaa", "A-1", **odd)  # type: ignore[arg-type]
    mailer = FakeMailer()
    done = send(book, tmp_path, mailer)[1]
    assert (len(done.made), len(done.refused), len(mailer.delivered)) == (3, 1, 3)
    (left,) = notices(book)
    assert "was refused before" in left.choice.why_not


def test_what_is_silent_is_told_when_the_silence_ends_and_not_before(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    ends = date(2026, 12, 20)
    with book.writing() as connection:
        silence(
            connection, "me", well, by_name()["check-up"], reason="abroad", until=ends, today=TODAY
        )
    assert not [n for n in notices(book) if _about(n, "check-up")]
    assert not [n for n in notices(book, date(2026, 12, 19)) if _about(n, "check-up")]
    assert [n.goes for n in notices(book, ends) if _about(n, "check-up")] == [True]
