"""What agreement and contradiction are worth, in the manner of Fellegi and Sunter.

Each comparison has a chance `m` to come out so where two records are of one thing, and a chance `u`
where they are of two. It is worth log2(m / u); what is not known is worth nothing; the worths add
up (I. P. Fellegi and A. B. Sunter, "A theory for record linkage", JASA 64 (1969) 1183). The chances
themselves are common practice, no published source: round figures for a shop of some thousand
customers in a few towns, judged on a public set of known doubles (`tests/store/test_doubles_real.py`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Chance:
    """How often a comparison comes out so, of one thing (`m`) and of two (`u`)."""

    m: float
    u: float

    @property
    def worth(self) -> float:
        """log2(m / u), in bits.

        >>> Chance(0.9, 0.0009).worth
        9.97
        """
        return math.log2(self.m / self.u)


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for or against two records being one.

    Parameters
    ----------
    words
        For people: "same telephone number 207-555-0147".
    worth
        In bits: above nought for, below against.
    """

    words: str
    worth: float


@dataclass(frozen=True, slots=True)
class Likeness:
    """How alike two records are, and why, what weighs most first."""

    reasons: tuple[Reason, ...]

    @property
    def score(self) -> float:
        """The sum of the reasons, in bits, to a tenth."""
        return round(sum(reason.worth for reason in self.reasons), 1)


LISTED = 7.0
"""From this score on two records are listed as a likely double: 2 to the 7th, 128 times likelier of
one than of two. Common practice; see the module's note."""


def likeness(*reasons: Reason | None) -> Likeness:
    """The reasons that there are, sorted by how much they weigh."""
    found = [reason for reason in reasons if reason is not None]
    return Likeness(tuple(sorted(found, key=lambda r: -abs(r.worth))))
