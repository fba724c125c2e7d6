"""What a look through a book gives: what was looked at, how much of it, what is wrong, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing that is not as it should be.

    Parameters
    ----------
    where
        A well's tag, a property, a file.
    what
        What is wrong.
    to_do
        What puts it right; empty where `--mend` does.
    """

    where: str
    what: str
    to_do: str = ""

    @property
    def mends(self) -> bool:
        """Whether the program puts it right by itself."""
        return not self.to_do


@dataclass(frozen=True, slots=True)
class Looked:
    """One kind of thing that was looked at.

    Parameters
    ----------
    name
        What it is, in a word or two.
    many
        How many there are.
    of
        Of what, in the singular.
    held
        What was found of those that are right.
    wrong
        What is wrong.
    """

    name: str
    many: int
    of: str
    held: str
    wrong: Sequence[Wrong] = ()
