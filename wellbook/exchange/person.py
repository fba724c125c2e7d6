"""Whoever is named in a row: his name, the ways to reach him, what is noted of him."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from wellbook.exchange.alike import plain_name
from wellbook.store.wells import digits_of
from wellbook.terms import ContactWay

_PHONES = ("customer.phone", "customer.phone_2", "customer.phone_3")
_EMAILS = ("customer.email", "customer.email_2")
_SEVERAL = re.compile(r"\s*(?:[;/|\n]|,|\bor\b)\s*", re.IGNORECASE)
_LEAST_DIGITS = 7
"""Of a whole number; what is shorter is an extension or a slip (ITU-T E.164 has no least length;
common practice, no published source)."""


@dataclass(slots=True)
class Person:
    """A customer as a record has him. `phones`, `emails` and `posts` are as they were written."""

    name: str
    phones: list[str] = field(default_factory=list)
    emails: list[str] = field(default_factory=list)
    posts: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def plain(self) -> str:
        """His name in the form in which its spellings are alike."""
        return plain_name(self.name)

    @property
    def digits(self) -> list[str]:
        """His telephone numbers by their digits."""
        return [digits_of(phone) for phone in self.phones]

    def ways(self) -> Iterator[tuple[ContactWay, str, str]]:
        """Each way to reach him: which, its value, and of a telephone its digits."""
        yield from ((ContactWay.PHONE, phone, digits_of(phone)) for phone in self.phones)
        yield from ((ContactWay.EMAIL, email, "") for email in self.emails)
        yield from ((ContactWay.POST, post, "") for post in self.posts)

    def join(self, other: Person) -> None:
        """Take in what another row says of him."""
        have = set(self.digits)
        self.phones += [p for p in other.phones if digits_of(p) not in have]
        for mine, theirs in (
            (self.emails, other.emails),
            (self.posts, other.posts),
            (self.notes, other.notes),
        ):
            mine += [x for x in theirs if x not in mine]

    def facts(self) -> dict[str, str]:
        """What is said of him, by the names of columns."""
        return {"name": self.name, "notes": "\n".join(self.notes)}


def read_person(text: Callable[[str], str], doubt: Callable[[str, str], None]) -> Person | None:
    """Whoever the columns of a row name; None where they name nobody.

    Parameters
    ----------
    text
        Gives the cell of a target, "" where there is none.
    doubt
        Takes a target and what is doubtful in its cell.
    """
    name = text("customer.name") or " ".join(
        part for part in (text("customer.first_name"), text("customer.last_name")) if part
    )
    person = Person(name)
    if notes := text("customer.notes"):
        person.notes.append(notes)
    for target in _PHONES:
        for phone in _numbers(text(target)):
            if len(digits_of(phone)) < _LEAST_DIGITS:
                doubt(target, "too short for a telephone number; kept as a note")
                person.notes.append(f"phone: {phone}")
            elif digits_of(phone) not in person.digits:
                person.phones.append(phone)
    for target in _EMAILS:
        for email in (e for e in re.split(r"[;,\s]+", text(target)) if e):
            if "@" not in email:
                doubt(target, "no e-mail address; kept as a note")
                person.notes.append(f"e-mail: {email}")
            elif email not in person.emails:
                person.emails.append(email)
    if post := text("customer.post"):
        if "," in post:
            person.posts.append(post)
        else:
            doubt("customer.post", "road and town are not parted by a comma; kept as a note")
            person.notes.append(f"post: {post}")
    return person if person.name or person.notes or any(person.ways()) else None


def _numbers(cell: str) -> list[str]:
    """The numbers of a cell; an extension stays with its number."""
    if not cell:
        return []
    parts = [part for part in _SEVERAL.split(cell) if part]
    whole = all(len(digits_of(part)) >= _LEAST_DIGITS for part in parts)
    return parts if whole else [cell]
