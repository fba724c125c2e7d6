"""One known value, with what it rests on and as of when."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from wellbook.dates import When
from wellbook.terms import Basis, LevelState, MeasuringPoint

OVER_THE_SCALE = "over the meter's scale"
"""How a reading begins its method where the meter's needle stood past the last mark."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A value with what it rests on. `value` is None where only a state is known (dry, flowing)."""

    value: object
    unit: str
    basis: Basis
    as_of: When
    point: MeasuringPoint | None = None
    state: LevelState | None = None
    method: str = ""
    record: str = ""

    @property
    def number(self) -> float:
        """The value where it is known to be a number."""
        return float(cast(float, self.value))

    @property
    def at_least(self) -> bool:
        """Whether the value is the end of the meter's scale, and the true one lies above it."""
        return self.method.startswith(OVER_THE_SCALE)

    @property
    def own_method(self) -> str:
        """How it was read, without the word that the needle stood past the last mark."""
        return self.method.removeprefix(OVER_THE_SCALE).removeprefix("; ")
