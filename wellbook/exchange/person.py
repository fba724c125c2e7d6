"""Whoever is named in a row: his name, the ways to reach him, what is noted of him."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from wellbook.exchange.cell_kinds import name_before_phone
from wellbook.likeness.names import told_name
from wellbook.store.forgetting_imports import ALSO
from wellbook.store.phones import Numbering, Phone, read_phones
from wellbook.terms import ContactWay

_PHONES = ("customer.phone", "customer.phone_2", "customer.phone_3")
_EMAILS = ("customer.email", "customer.email_2")
_LEAST_DIGITS = 7
"""Of a whole number; what is shorter is an extension or a slip (ITU-T E.164 has no least length;
common practice, no published source)."""


@dataclass(slots=True)
class Person:
    """A customer as a record has him. `emails` and `posts` are as they were written; `also` are other
    spellings of his name, of which the longest is `name`."""

    name: str
    phones: list[Phone] = field(default_factory=list)
    emails: list[str] = field(default_factory=list)
    posts: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    also: list[str] = field(default_factory=list)

    @property
    def told(self) -> str:
        """His name in the form in which its spellings are alike."""
        return told_name(self.name)

    def noted(self, name: str) -> list[str]:
        """What comes to the notes of a customer who has that name."""
        others = [x for x in (self.name, *self.also) if told_name(x) != told_name(name)]
        return [*self.notes, *(f"{ALSO}{x}" for x in dict.fromkeys(others))]

    @property
    def digits(self) -> list[str]:
        """His telephone numbers, as one is the same as another: in E.164, else by their digits."""
        return [phone.e164 or phone.digits for phone in self.phones]

    def ways(self) -> Iterator[tuple[ContactWay, str, str, str]]:
        """Each way to reach him: which, its value, and of a telephone its digits and the number in
        E.164, where it is a valid one."""
        for phone in self.phones:
            yield ContactWay.PHONE, phone.value, phone.digits, phone.e164
        yield from ((ContactWay.EMAIL, email, "", "") for email in self.emails)
        yield from ((ContactWay.POST, post, "", "") for post in self.posts)

    def join(self, other: Person) -> None:
        """Take in what another row says of him."""
        names = {self.name, other.name, *self.also, *other.also}
        # The longest says most, and which row comes first says nothing.
        self.name, *self.also = sorted(names, key=lambda n: (-sum(map(str.isalpha, n)), n))
        have = set(self.digits)
        self.phones += [p for p in other.phones if (p.e164 or p.digits) not in have]
        for mine, theirs in (
            (self.emails, other.emails),
            (self.posts, other.posts),
            (self.notes, other.notes),
        ):
            mine += [x for x in theirs if x not in mine]

    def facts(self) -> dict[str, str]:
        """What is said of him, by the names of columns."""
        return {"name": self.name, "notes": "\n".join(self.notes)}


def name_in(text: Callable[[str], str]) -> str:
    """The name that the columns of a row say; "" where they say none."""
    parts = (text("customer.first_name"), text("customer.last_name"))
    name = text("customer.name")
    if name and name == text("customer.phone"):
        # One cell for both: his name stands before the number.
        return name_before_phone(name)
    return name or " ".join(part for part in parts if part)


def read_person(
    text: Callable[[str], str], doubt: Callable[[str, str], None], numbering: Numbering
) -> Person | None:
    """Whoever the columns of a row name; None where they name nobody.

    Parameters
    ----------
    text
        Gives the cell of a target, "" where there is none.
    doubt
        Takes a target and what is doubtful in its cell.
    numbering
        Where a telephone number without a country belongs.
    """
    person = Person(name_in(text))
    if notes := text("customer.notes"):
        person.notes.append(notes)
    _read_phones(person, text, doubt, numbering)
    _read_emails(person, text, doubt)
    if post := text("customer.post"):
        if "," in post:
            person.posts.append(post)
        else:
            doubt("customer.post", "road and town are not parted by a comma; kept as a note")
            person.notes.append(f"post: {post}")
    return person if person.name or person.notes or any(person.ways()) else None


def _read_phones(
    person: Person,
    text: Callable[[str], str],
    doubt: Callable[[str, str], None],
    numbering: Numbering,
) -> None:
    for target in _PHONES:
        cell = text(target)
        phones = _phones(cell, numbering) if cell else ()
        if cell and not any(len(p.digits) >= _LEAST_DIGITS for p in phones):
            doubt(target, "no telephone number; kept as a note")
            person.notes.append(f"phone: {cell}")
            continue
        for phone in phones:
            if phone.doubt and phone.e164:
                doubt(target, phone.doubt)
            if (phone.e164 or phone.digits) not in person.digits:
                person.phones.append(phone)


def _read_emails(
    person: Person, text: Callable[[str], str], doubt: Callable[[str, str], None]
) -> None:
    for target in _EMAILS:
        for email in (e for e in re.split(r"[;,\s]+", text(target)) if e):
            if "@" not in email:
                doubt(target, "no e-mail address; kept as a note")
                person.notes.append(f"e-mail: {email}")
            elif email not in person.emails:
                person.emails.append(email)


@lru_cache(maxsize=1024)
def _phones(cell: str, numbering: Numbering) -> tuple[Phone, ...]:
    return read_phones(cell, numbering)
