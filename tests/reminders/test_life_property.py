"""Any order of visits, bookings, declines, put-offs, changed rules, changed minds, sending and time.

Nothing that is due is ever without a state; nobody is told twice for one occurrence (once more for
each time that he put it off); nobody who said no is told; and only a visit or a sample does it.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from contextlib import ExitStack
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from reminder_book import (
    TODAY,
    FakeMailer,
    begin,
    customer,
    notices,
    send,
)
from sqlalchemy import select

from wellbook.errors import WellbookError
from wellbook.reminders.smtp import Outcome
from wellbook.store import renewal, sheets, wells
from wellbook.store import tables as t
from wellbook.store.book import make_book
from wellbook.store.consents import say
from wellbook.store.contacts import Owed, Spoken, owed_at, write_down
from wellbook.store.due_list import Asked, due
from wellbook.store.lives import QUIET, Standing, lives, standing
from wellbook.store.outbox import about_of, in_doubt, settle
from wellbook.store.settings import settings as shop_settings
from wellbook.store.settings import with_setting
from wellbook.terms import Answer, ContactWay, RemindBy, Said

PEOPLE = ("Ada", "Ben", "Cid")


class Reminders(RuleBasedStateMachine):
    """Three customers, each with a well, and a shop that reminds them."""

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.folder = Path(self.stack.enter_context(tempfile.TemporaryDirectory()))
        self.book = make_book(self.folder / "shop.book")
        self.today = TODAY
        self.wells: dict[str, int] = {}
        self.told: Counter[tuple[int, str]] = Counter()
        self.put_off: Counter[tuple[int, str]] = Counter()
        self.doubts: dict[int, bool] = {}

    @initialize()
    def start(self) -> None:
        begin(self.book)
        self.wells = {
            "Ada": customer(self.book, "Ada", "A-1"),
            "Ben": customer(
                self.book,
                "Ben",
                "B-1",
                remind_by="email",
                email="ben@x.example",
                agreed=ContactWay.EMAIL,
            ),
            "Cid": customer(self.book, "Cid", "C-1", last_check_up=None),
        }

    def ledger(self) -> list[tuple[Any, ...]]:
        with self.book.reading() as connection:
            return [tuple(row) for row in connection.execute(select(t.due)).all()]

    def owed(self, who: str) -> list[Owed]:
        with self.book.reading() as connection:
            by = self.today + timedelta(days=90)
            found = owed_at(connection, [self.wells[who]], by=by, today=self.today)
        return [o for o in found if o.finding.to_customer]

    def speak(self, who: str, spoken: Spoken) -> list[Owed]:
        before, owed = self.ledger(), self.owed(who)
        if owed:
            with self.book.writing() as connection:
                keys = [o.key for o in owed]
                write_down(connection, "me", self.wells[who], spoken, keys, today=self.today)
        assert self.ledger() == before, "nothing is done by having been spoken of"
        return owed

    @rule(days=st.integers(-60, 200))
    def time_goes_by(self, days: int) -> None:
        self.today += timedelta(days=days)

    @rule(who=st.sampled_from(PEOPLE))
    def told_by_hand(self, who: str) -> None:
        # By word of mouth somebody may be told as often as he is met; what is counted is messages.
        self.speak(who, Spoken(Said.TOLD, self.today, RemindBy.CALL))

    @rule(who=st.sampled_from(PEOPLE), days=st.integers(0, 60))
    def book_a_day(self, who: str, days: int) -> None:
        self.speak(who, Spoken(Said.BOOKED, self.today, for_day=self.today + timedelta(days=days)))

    @rule(who=st.sampled_from(PEOPLE))
    def decline(self, who: str) -> None:
        self.speak(who, Spoken(Said.DECLINED, self.today))

    @rule(who=st.sampled_from(PEOPLE), days=st.integers(1, 120))
    def put_off_until(self, who: str, days: int) -> None:
        until = self.today + timedelta(days=days)
        for owed in self.speak(who, Spoken(Said.PUT_OFF, self.today, for_day=until)):
            self.put_off[owed.key] += 1

    @rule(
        who=st.sampled_from(PEOPLE),
        reason=st.sampled_from(["check up", "water sample", "other"]),
        sampled=st.booleans(),
    )
    def visit(self, who: str, reason: str, sampled: bool) -> None:
        sheet: dict[str, Any] = {"date": self.today.isoformat(), "reason": reason}
        if sampled:
            sheet["sample"] = {"bacteria": "absent", "nitrate_mg_l": 2}
        with self.book.writing() as connection:
            sheets.record(connection, "me", self.wells[who], sheet, today=self.today)
        for owed in self.owed(who):
            fresh = owed.finding.may_from is None or owed.finding.may_from > self.today
            if owed.finding.rule == "check-up" and reason == "check up":
                assert fresh, "a check-up is due after one was made"
            if owed.finding.subject == "nitrate test" and sampled:
                assert fresh, "a test is due after a sample was taken"

    @rule(months=st.sampled_from([6, 12, 24]))
    def change_a_number(self, months: int) -> None:
        with self.book.writing() as connection:
            proposed = with_setting(shop_settings(connection), "check-up.months", str(months))
            renewal.save_settings(connection, "me", proposed)

    @rule(
        who=st.sampled_from(PEOPLE), answer=st.sampled_from(Answer), way=st.sampled_from(ContactWay)
    )
    def say_of_a_way(self, who: str, answer: Answer, way: ContactWay) -> None:
        with self.book.writing() as connection:
            number = wells.the_customer(connection, who)
            say(connection, "me", number, way, answer, on_day=self.today, how="x", today=self.today)

    @rule(who=st.sampled_from(PEOPLE), by=st.sampled_from([*RemindBy, None]))
    def choose_a_way(self, who: str, by: RemindBy | None) -> None:
        with self.book.writing() as connection:
            number = wells.the_customer(connection, who)
            wells.edit_customer(connection, "me", number, values={"remind_by": by})

    @rule(outcome=st.sampled_from(Outcome), arrived=st.booleans())
    def send_what_is_due(self, outcome: Outcome, arrived: bool) -> None:
        before = self.ledger()
        for notice in notices(self.book, self.today):
            if notice.goes:
                self.no_is_no(notice)
                assert all(standing(o.life, self.today) is Standing.DUE for o in notice.tells), (
                    "only what stands as due is told"
                )
        results = send(self.book, self.folder, FakeMailer(lambda _mail: outcome), self.today)
        assert self.ledger() == before, "nothing is done by having been told"
        with self.book.reading() as connection:
            for done in results:
                for number in done.made:
                    self.told.update(about_of(connection, number))
                for number, _ in done.in_doubt:
                    self.doubts[number] = arrived
                    if arrived:
                        self.told.update(about_of(connection, number))

    def no_is_no(self, notice: Any) -> None:
        way, who = notice.choice.by.way, notice.place.resident
        with self.book.reading() as connection:
            rows = connection.execute(
                select(t.consent.c.answer)
                .where(t.consent.c.customer_id == who.customer_id, t.consent.c.way == way.value)
                .order_by(t.consent.c.on_day, t.consent.c.id)
            ).all()
        answer = rows[-1][0] if rows else None
        assert answer != "no"
        assert way is not ContactWay.EMAIL or answer == "yes"

    @rule(pick=st.integers(0, 9))
    def look_into_a_doubt(self, pick: int) -> None:
        with self.book.writing() as connection:
            numbers = [row["id"] for row in in_doubt(connection)]
            assert set(numbers) == set(self.doubts), "what is in doubt is shown until it is settled"
            if numbers:
                number = numbers[pick % len(numbers)]
                settle(connection, "me", number, went=self.doubts.pop(number), today=self.today)

    @invariant()
    def all_that_is_due_has_a_state(self) -> None:
        with self.book.reading() as connection:
            stands = lives(connection, self.wells.values())
            listed = due(connection, Asked(by=self.today), today=self.today)
            shown = {(i.tag, i.finding.occurrence) for i in listed}
            for row in connection.execute(select(t.due, t.well.c.tag).join(t.well)).mappings():
                held = row["from_day"] <= self.today and row["occasion"] != "next_pull"
                if held and (row["until"] is None or row["until"] > self.today):
                    state = standing(stands.get((row["well_id"], row["occurrence"])), self.today)
                    key = (row["tag"], row["occurrence"])
                    assert (key in shown) == (state not in QUIET)

    @invariant()
    def nobody_is_told_twice(self) -> None:
        for key, count in self.told.items():
            assert count <= 1 + self.put_off[key]

    def teardown(self) -> None:
        self.book.close()
        self.stack.close()


Reminders.TestCase.settings = settings(
    max_examples=20, stateful_step_count=25, suppress_health_check=list(HealthCheck)
)
TestReminders = Reminders.TestCase


def test_a_booking_ahead_of_five_years_is_a_slip(tmp_path: Path) -> None:
    book = make_book(tmp_path / "x.book")
    begin(book)
    well = customer(book, "Ada", "A-1")
    far = Spoken(Said.BOOKED, TODAY, for_day=date(2062, 11, 25))
    with book.writing() as connection:
        try:
            write_down(connection, "me", well, far, [], today=TODAY)
        except WellbookError as error:
            assert "5 years ahead" in str(error)
        else:
            raise AssertionError
    book.close()
