"""What a shop says of itself: each fact is read strictly, and what counts where it says nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.places import shop_name as book_of
from wellbook.store.shop import FACTS, ShopSays, is_email, say_of_shop, shop_says
from wellbook.store.templates import keep_template, template_text
from wellbook.terms import ContactWay


def _say(book: Book, name: str, value: str) -> ShopSays:
    with book.writing() as connection:
        say_of_shop(connection, "me", name, value)
        return shop_says(connection)


def test_what_is_not_said_has_its_default(book: Book) -> None:
    with book.reading() as connection:
        says = shop_says(connection)
    assert says["name"] == "test shop"
    assert (says["remind_by"], says.number("ahead_days"), says.number("mail_port")) == (
        "letter", 30, 587,
    )  # fmt: skip
    assert says.agreement == {ContactWay.EMAIL}
    assert says.zone is None
    assert says.place is None
    assert says.address_lines == ()


GOOD = {
    "files": ("/srv/wellbook files", "/srv/wellbook files"),
    "email": ("desk@marlow.example", "desk@marlow.example"), "place": ("44.51, -72.4", "44.51,-72.4"),
    "time_zone": ("America/Chicago", "America/Chicago"), "remind_by": ("postcard", "postcard"),
    "agreement": ("phone, Email phone", "phone,email"), "ahead_days": ("014", "14"),
    "together_days": (" 60 ", "60"), "pause_days": ("0", "0"),
    "daily_backups": ("007", "7"),
    "mail_port": ("2525", "2525"), "mail_server": ("mail.example", "mail.example"),
    "mail_security": ("tls", "tls"),
    "country": ("ca", "CA"),
    "area_code": ("207", "207"),
}  # fmt: skip


def test_a_place_keeps_every_digit(book: Book) -> None:
    """The sixth decimal of a degree is 4 in; six digits in all would be off by 150 ft."""
    with book.writing() as connection:
        say_of_shop(connection, "me", "place", "42.071123, -101.323612")
        assert shop_says(connection).place == (42.071123, -101.323612)


@pytest.mark.parametrize("name", FACTS)
def test_each_is_kept_and_taken_back(book: Book, name: str) -> None:
    typed, kept = GOOD.get(name, ("Marlow Bend, Nettlewick",) * 2)
    assert _say(book, name, typed)[name] == kept
    again = _say(book, name, "default")
    assert again[name] == ("test shop" if name == "name" else FACTS[name].default)


def test_a_demo_that_was_given_another_name_is_still_the_demo(file_book: Book) -> None:
    before = book_of(Path(file_book.name))
    assert _say(file_book, "name", "Marlow Bend Pumps")["name"] == "Marlow Bend Pumps"
    assert book_of(Path(file_book.name)) == before


BAD = [
    ("files", "files", "no whole path"),
    ("address", "2 Hill Rd, East\nTown", "one line"), ("address", "2 Hill Rd", "road and town"),
    ("mail_server", "my server", "no name of a server"),
    ("mail_server", "mail.example:587", "its port by mail_port"), ("email", "me@home", "no e-mail address"),
    ("email", "a@b.example, c@d.example", "no e-mail address"),
    ("place", "91,0", "latitude"), ("place", "here", "latitude"),
    ("time_zone", "../../etc/passwd", "no time zone"), ("time_zone", "Central", "no time zone"),
    ("remind_by", "fax", "is not one of"), ("agreement", "fax", "is not some of"),
    ("agreement", "none, email", "is not some of"), ("ahead_days", "1.5", "no whole number"),
    ("ahead_days", "366", "from 0 to 365"), ("mail_port", "0", "from 1 to 65535"),
    ("daily_backups", "-1", "from 0 to 999"),
    ("mail_security", "ssl", "starttls"), ("adress", "x", "a shop has no 'adress'"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value", "says"), BAD)
def test_what_cannot_be_is_refused_and_the_old_stays(
    book: Book, name: str, value: str, says: str
) -> None:
    with book.reading() as connection:
        before = shop_says(connection).said
    with pytest.raises(WellbookError, match=says):
        _say(book, name, value)
    with book.reading() as connection:
        assert shop_says(connection).said == before


def test_the_password_of_the_mail_server_is_no_fact_of_the_book() -> None:
    assert not [name for name in FACTS if "password" in name]


def test_a_change_stands_in_the_change_log(book: Book) -> None:
    _say(book, "phone", "555-0100")
    with book.reading() as connection:
        last = connection.execute(
            select(t.change.c.who, t.change.c.new).order_by(t.change.c.id.desc()).limit(1)
        ).one()
    assert last.who == "me"
    assert "555-0100" in str(last.new)


@pytest.mark.parametrize("text", ["a@b.example", "a.b+c@d-e.example"])
def test_an_address_is_an_address(text: str) -> None:
    assert is_email(text)


# A newline or a second address would be a second line of the mail's head (RFC 5322, section 2.2).
@pytest.mark.parametrize("text", ["a@b", "a b@c.example", "a@b.example\nBcc: x@y.example", "@b.c"])
def test_what_is_none_is_none(text: str) -> None:
    assert not is_email(text)


def test_the_shops_own_words_are_kept_and_given_back(book: Book) -> None:
    with book.writing() as connection:
        assert template_text(connection, "letter") == ""
        keep_template(connection, "me", "letter", "Subject: one\n\nours\n")
        keep_template(connection, "me", "letter", "Subject: two\n\nours\n")
        assert template_text(connection, "letter") == "Subject: two\n\nours\n"
        assert template_text(connection, "postcard") == ""
        keep_template(connection, "me", "letter", None)
        assert template_text(connection, "letter") == ""
