"""One row of the table of formulas in the docs: what is published, and what the program gives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Formula:
    """A formula held against one published (or independently computed) value.

    `area` heads the part of the table; `formula` is as one would write it; `case` says the inputs
    in words; `check` is the published value with its unit in `unit`; `within` is a fraction of it;
    `gives` works out what the program gives; `evidence` is "published", "another program",
    "common practice", "from memory" or "own answer". Where the two differ by more than the last
    place that is printed, `allowed` says why that is no disagreement.
    """

    area: str
    name: str
    formula: str
    source: str
    case: str
    check: float
    unit: str
    within: float
    gives: Callable[[], float]
    evidence: str = "published"
    allowed: str = ""


@dataclass(frozen=True)
class NotMet:
    """A published figure that the program does not give, and why.

    `printed` is the figure with its source; `check` the number of it, and `off` how far that may be
    off as it stands there, in its own unit: half its last place, or what its source allows; `gives`
    works out what the program gives, and `shown` puts it into words; `ids` are the rows of the file
    of check values (beside some checkouts) that are it.
    """

    area: str
    printed: str
    check: float
    off: float
    gives: Callable[[], float]
    shown: str
    why: str
    ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class NotMetInPart:
    """A published table of which some rows are not met; the rows themselves are not kept here."""

    area: str
    printed: str
    shown: str
    why: str
