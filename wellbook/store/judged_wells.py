"""Wells as they are judged on a day: what a screen, a sheet of paper and a list say of them alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding
from wellbook.rules.pressures import usual_cut_out
from wellbook.rules.reach import Reach, reach_of
from wellbook.store.holes import load_holes
from wellbook.store.lives import QUIET, Life, lives, standing
from wellbook.store.settings import settings
from wellbook.store.silences import silences
from wellbook.terms import Severity


@dataclass(frozen=True, slots=True)
class JudgedWell:
    """A well as of a day.

    Parameters
    ----------
    hole
        As it was on the day, as it is known now.
    day
        The day.
    findings
        Those that hold on it, without those of a silent rule.
    silenced
        Name of a rule -> why the shop does not want to see it here.
    said
        Occurrence -> what was last said of it to the customer by that day.
    reach
        The limits of the well.
    """

    hole: Hole
    day: date
    findings: tuple[Finding, ...]
    silenced: Mapping[str, str]
    said: Mapping[str, Life]
    reach: Reach

    @property
    def to_tell(self) -> tuple[Finding, ...]:
        """What the customer is to hear of: what he declined or put off only where it is grave."""
        return tuple(
            f
            for f in self.findings
            if f.severity is Severity.ACT
            or standing(self.said.get(f.occurrence), self.day) not in QUIET
        )


def judged_wells(connection: Connection, well_ids: Iterable[int], day: date) -> list[JudgedWell]:
    """Wells in the order in which they are given, judged from nothing, whatever the ledger has."""
    numbers, shop = list(well_ids), settings(connection)
    quiet, spoken = silences(connection, numbers, day), lives(connection, numbers, by=day)
    found: list[JudgedWell] = []
    for number, record in zip(numbers, load_holes(connection, numbers), strict=True):
        hole = record.on(day)
        silenced = {rule: why for (well, rule), why in quiet.items() if well == number}
        said = {occurrence: life for (well, occurrence), life in spoken.items() if well == number}
        holding = [f for f in catalogue.judge(hole, shop) if f.holds(day)]
        loud = tuple(f for f in holding if f.rule not in silenced)
        reach = reach_of(hole, usual_cut_out(shop))
        found.append(JudgedWell(hole, day, loud, silenced, said, reach))
    return found
