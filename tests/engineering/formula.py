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
    "common practice" or "own answer".
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
