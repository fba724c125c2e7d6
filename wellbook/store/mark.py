"""The mark that a book bears of how its derived rows were made."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select, update

from wellbook import versions
from wellbook.store import tables as t


@dataclass(frozen=True, slots=True)
class Mark:
    """By which version of the replay, and of each rule by which version and numbers.

    `by_rule` has a short sum for each rule: a rule that another program lacks, or has by another
    version, is old in the book by itself, and all else there is believed.
    """

    replay: str
    by_rule: Mapping[str, str]

    @classmethod
    def read(cls, text: str) -> Mark:
        """A mark as a book bears it. One of an older form says nothing of any rule.

        >>> Mark.read("4-pump-age=1f,season=2e").by_rule["season"]
        '2e'
        >>> Mark.read("4-0a1b2c3d").by_rule, Mark.read("").replay
        ({}, '')
        """
        replay, _, rules = text.partition("-")
        pairs = (pair.partition("=") for pair in rules.split(","))
        return cls(replay, {name: sum_ for name, parted, sum_ in pairs if parted})

    def __str__(self) -> str:
        return f"{self.replay}-{','.join(f'{n}={sum_}' for n, sum_ in self.by_rule.items())}"

    def old_in(self, other: Mark) -> set[str]:
        """The rules by which another mark was made otherwise, or which only one of the two has."""
        if self.replay != other.replay:
            return {*self.by_rule, *other.by_rule}
        return {name for name, _ in self.by_rule.items() ^ other.by_rule.items()}


def mark(connection: Connection) -> Mark:
    """The mark of this program, with the numbers that the shop has changed."""
    changed: dict[str, list[tuple[str, object]]] = defaultdict(list)
    numbers = select(t.setting.c.name, t.setting.c.value).order_by(t.setting.c.name)
    for name, value in connection.execute(numbers):
        changed[name.partition(".")[0]].append((name, json.loads(value)))
    return Mark(
        versions.REPLAY,
        {
            rule: _sum([versions.RULES, version, changed.get(rule, [])])
            for rule, version in versions.OF_RULE.items()
        },
    )


def _sum(made_by: object) -> str:
    return hashlib.sha256(json.dumps(made_by).encode()).hexdigest()[:8]


def mark_of_book(connection: Connection) -> Mark:
    """The mark that the book bears; an empty one where it bears none yet."""
    return Mark.read(str(connection.execute(select(t.book.c.ledger_fingerprint)).scalar() or ""))


def set_mark(connection: Connection) -> None:
    """Let the book bear this program's mark."""
    connection.execute(update(t.book).values(ledger_fingerprint=str(mark(connection))))
