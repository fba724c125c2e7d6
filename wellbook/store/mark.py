"""The mark that a book bears of how its derived rows were made."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import Connection, select, update

from wellbook import versions
from wellbook.store import tables as t


@dataclass(frozen=True, slots=True)
class Mark:
    """By which version of the replay, of what all rules share, and of each rule by which version and
    numbers.

    `by_rule` has for each rule its version and a short sum of the numbers that the shop has changed: a
    rule that another program has by another version is old in the book by itself, and all else there
    is believed. Versions stand in it as they are, so that an older program sees that it is older.
    """

    replay: str
    rules: str
    by_rule: Mapping[str, str]

    @classmethod
    def read(cls, text: str) -> Mark:
        """A mark as a book bears it. One of an older form says nothing of any rule.

        >>> Mark.read("4-8-pump-age=1.1f,season=2.2e").by_rule["season"]
        '2.2e'
        >>> Mark.read("4-0a1b2c3d"), Mark.read("").replay
        (Mark(replay='4', rules='', by_rule={}), '')
        """
        replay, _, rest = text.partition("-")
        rules, parted, by_rule = rest.partition("-")
        if not parted:
            return cls(replay, "", {})
        pairs = (pair.partition("=") for pair in by_rule.split(","))
        return cls(replay, rules, {name: made for name, equals, made in pairs if equals})

    def __str__(self) -> str:
        listed = ",".join(f"{name}={made}" for name, made in self.by_rule.items())
        return f"{self.replay}-{self.rules}-{listed}"

    def old_in(self, other: Mark) -> set[str]:
        """The rules by which another mark was made otherwise, or which only one of the two has."""
        if (self.replay, self.rules) != (other.replay, other.rules):
            return {*self.by_rule, *other.by_rule}
        return {name for name, _ in self.by_rule.items() ^ other.by_rule.items()}

    def behind(self, other: Mark) -> str:
        """What another mark has by a newer version than this one, in words; "" where nothing.

        >>> mine = Mark("4", "8", {"season": "1.00"})
        >>> mine.behind(Mark("4", "8", {"season": "2.00"}))
        'rule season 2; this program has 1'
        >>> mine.behind(Mark("4", "8", {"season": "1.2e"})), mine.behind(Mark("4", "", {}))
        ('', '')
        """
        for what, theirs, own in (
            ("replay", other.replay, self.replay),
            ("rules", other.rules, self.rules),
        ):
            if _number(theirs) > _number(own):
                return f"{what} {theirs}; this program has {own}"
        # A rule that was given up raises the version of all.
        for name, made in other.by_rule.items() if other.rules == self.rules else ():
            theirs, own = (x.partition(".")[0] for x in (made, self.by_rule.get(name, "0")))
            if _number(theirs) > _number(own):
                return f"rule {name} {theirs}; this program has {own.replace('0', 'none', 1)}"
        return ""


def _number(version: str) -> int:
    return int(version) if version.isdigit() else 0


def own_versions() -> Mark:
    """The versions of this program, whatever the numbers of the shop."""
    by_rule = {rule: f"{version}." for rule, version in versions.OF_RULE.items()}
    return Mark(versions.REPLAY, versions.RULES, by_rule)


def mark(connection: Connection) -> Mark:
    """The mark of this program, with the numbers that the shop has changed."""
    changed: dict[str, list[tuple[str, object]]] = defaultdict(list)
    numbers = select(t.setting.c.name, t.setting.c.value).order_by(t.setting.c.name)
    for name, value in connection.execute(numbers):
        changed[name.partition(".")[0]].append((name, json.loads(value)))
    own = own_versions()
    sums = {rule: made + _sum(changed.get(rule, [])) for rule, made in own.by_rule.items()}
    return Mark(own.replay, own.rules, sums)


def _sum(numbers: object) -> str:
    return hashlib.sha256(json.dumps(numbers).encode()).hexdigest()[:8]


class MadeBy(NamedTuple):
    """What a book bears of the program that has worked it out."""

    mark: Mark
    """An empty one where it bears none yet."""
    words: str
    """By which version the words were made by which wells are found; "" where there are none."""


def made_by(connection: Connection) -> MadeBy:
    """By which program the book was worked out."""
    row = connection.execute(select(t.book.c.ledger_fingerprint, t.book.c.words_version)).first()
    marked, words = row or ("", "")
    return MadeBy(Mark.read(marked), words)


def set_mark(connection: Connection) -> None:
    """Let the book bear this program's mark."""
    connection.execute(update(t.book).values(ledger_fingerprint=str(mark(connection))))
