"""Holes for the tests of what a pump can lift.

A curve of 315.5 ft at no flow reaches 50 psi (115.5 ft at 2.31 ft a psi) from just 200 ft.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from rule_holes import component, hole, pump

from wellbook.engineering.curves import HeadCurve
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Switch
from wellbook.hole.records import PumpModel
from wellbook.rules.check import Check
from wellbook.rules.finding import Rule, Settings
from wellbook.terms import PumpType

SET = date(2019, 6, 3)
CURVE = HeadCurve(((0, 315.5), (5, 290), (10, 220), (14, 120)))


def lifting(
    set_ft: float | None = None,
    *more: Any,
    curve: HeadCurve | None = None,
    cut_out_psi: float | None = 50.0,
    hp: float | None = 0.75,
    rated_gpm: float | None = 10.0,
    type: PumpType | None = PumpType.SUBMERSIBLE,
    **facts: Any,
) -> Hole:
    """A well with a submersible, its curve if given, and a switch unless its cut-out is None."""
    made = pump(SET, type=type, hp=hp, rated_gpm=rated_gpm, set_depth_ft=set_ft, uid="p")
    switch = [] if cut_out_psi is None else [component(Switch(None, cut_out_psi), set_on=SET)]
    models = {"p": PumpModel("Oskerby", "O-1", 0.75, 10.0, curve=curve)} if curve else {}
    return hole(components=[made, *switch, *more], pump_models=models, **facts)


def checked(rule: Rule, well: Hole, **changed: float) -> dict[str, Check]:
    """The checks of a rule by their aspect."""
    settings = Settings({f"{rule.name}.{name}": value for name, value in changed.items()})
    assert rule.checks is not None
    made = list(rule.checks(well, settings.numbers(rule)))
    assert len({c.aspect for c in made}) == len(made)
    return {c.aspect: c for c in made}
