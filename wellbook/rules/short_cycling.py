"""A pressure tank that is too small for its pump, or has lost its air: the pump starts too often.

A submersible motor must run a while at each start to lose the heat of starting. Each start costs
motor, switch and pipe some of their years; a tank with the right air in it is cheap beside them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wellbook.engineering.tank import (
    PRECHARGE_BELOW_CUT_IN_PSI,
    drawdown_gal,
    least_run_minutes,
    most_starts_per_day,
    run_minutes,
    worst_starts_per_day,
)
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Tank
from wellbook.quantities import show
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import Finding, Number, Numbers, Rule, occurrence
from wellbook.rules.motor_facts import MotorFacts, hp_text, motor_facts
from wellbook.rules.part_readings import as_read
from wellbook.rules.pressures import cut_in, cut_out
from wellbook.rules.pump_flow import flow_of
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.rules.tank_air import DRAINED, air_check
from wellbook.terms import ControlType, Kind, Occasion, Quantity, Severity, TankType, Verdict

NAME = names.SHORT_CYCLING
RUN_TIME, STARTS = "run time", "starts a day, worst case"
SOURCE = (
    "Boyle's law, motor vendors: 4 in motors; at sea level (higher up a tank gives a little more); least run"
    " at each start 1 minute up to 3/4 hp, 2 above"
)
STARTS_SOURCE = "a motor maker's table: starts in 24 hours; the worst draw is half the pump's flow"

HIGH_UP_FT = 10_000.0
"""The altitude of the place is not on record; above this hardly anybody drills for a house."""


@dataclass(frozen=True, slots=True)
class _Filled:
    """A tank with its air."""

    component: Component
    volume_gal: float
    precharge_psi: float


@dataclass(frozen=True, slots=True)
class _Case:
    """All that the tanks, the switch and the pump come to."""

    motor: MotorFacts
    hp: float
    tanks: tuple[_Filled, ...]
    cut_in_psi: float
    cut_out_psi: float
    gpm: float
    known_by: str
    since: Span

    def drawdown_gal(self, *, precharge_psi: float | None = None, altitude_ft: float = 0) -> float:
        """What the tanks give together, with the air they have or with another precharge."""
        return sum(
            drawdown_gal(
                tank.volume_gal,
                tank.precharge_psi if precharge_psi is None else precharge_psi,
                self.cut_in_psi,
                self.cut_out_psi,
                altitude_ft=altitude_ft,
            )
            for tank in self.tanks
        )


def checks(hole: Hole, _numbers: Numbers) -> Iterator[Check]:
    """The tanks' air against cut-in, then run time and starts of this well's pump.

    A drive holds the pressure with a small tank and starts softly: it is not judged by this. Nor is
    a tank behind a cistern or a booster, which another pump fills. Of a pump whose motor stands above
    the ground only the air is judged: how long it may run at least is printed of those in the well.
    """
    tanks = None if _not_judged(hole) else _pressure_tanks(hole)
    if tanks is None:
        return
    try:
        made = list(_judged(hole, motor_facts(hole), tanks))
    except ValueError:
        # No tank and no switch is like that: a slip of the pen, not a cycle to judge.
        return
    yield from made


def _not_judged(hole: Hole) -> bool:
    control = hole.the(Control)
    drive = control is not None and control[1].type is ControlType.DRIVE
    steady = control is not None and control[1].setpoint_psi is not None
    return not hole.down(Kind.PUMP) or drive or steady or bool(hole.down(Kind.BOOSTER))


def _pressure_tanks(hole: Hole) -> list[tuple[Component, Tank]] | None:
    """The tanks with air in them; None where there is a cistern, or a tank without pressure."""
    there = list(hole.parts(Tank))
    if any(tank.type in (TankType.CISTERN, TankType.PLAIN) for _, tank in there):
        return None
    return there


def _judged(
    hole: Hole, motor: MotorFacts | None, tanks: list[tuple[Component, Tank]]
) -> Iterator[Check]:
    if not tanks:
        if motor is not None:
            yield cannot_say(NAME, RUN_TIME, "tank", "pressure tank", source=SOURCE)
        return
    # A tank that is gone stood beside these, and a booster behind them.
    gone = both(*(none_since(hole, kind) for kind in (Kind.TANK, Kind.BOOSTER)))
    cut_in_psi, in_since = cut_in(hole)
    air = [_air(component, hole, alone=len(tanks) == 1) for component, _ in tanks]
    airs = [
        air_check(NAME, component, psi, cut_in_psi, both(span, in_since, gone))
        for (component, _), (psi, span) in zip(tanks, air, strict=True)
        if psi is not None and cut_in_psi is not None
    ]
    yield from airs
    if motor is None:
        return
    cut_out_psi, out_since = cut_out(hole)
    flow, flow_since, known_by = flow_of(hole, motor, cut_in_psi, cut_out_psi)
    missing = [
        *([] if all(tank.volume_gal is not None for _, tank in tanks) else ["volume of the tank"]),
        *([] if all(psi is not None for psi, _ in air) else ["precharge"]),
        *([] if cut_in_psi is not None else ["cut-in"]),
        *(["a cut-in below the cut-out"] if (cut_in_psi or 0) >= (cut_out_psi or 1e9) else []),
        *([] if cut_out_psi is not None else ["cut-out"]),
        *([] if flow is not None else ["flow of the pump"]),
        *([] if motor.hp is not None else ["horsepower"]),
    ]
    if missing:
        for aspect, source in ((RUN_TIME, SOURCE), (STARTS, STARTS_SOURCE)):
            yield cannot_say(NAME, aspect, "tank", *missing, source=source)
        return
    if any(check.finding is not None for check in airs):
        # Such a tank is empty before the pump starts: there is no cycle to reckon.
        return
    assert motor.hp is not None and cut_in_psi is not None
    assert cut_out_psi is not None and flow is not None
    case = _Case(
        motor,
        motor.hp,
        tuple(
            _Filled(component, tank.volume_gal or 0.0, psi or 0.0)
            for (component, tank), (psi, _) in zip(tanks, air, strict=True)
        ),
        cut_in_psi,
        cut_out_psi,
        flow,
        known_by,
        both(
            motor.since,
            gone,
            in_since,
            out_since,
            flow_since,
            *(span for _, span in air),
            *(said_since(hole, component, "volume_gal") for component, _ in tanks),
        ),
    )
    others = hole.system.other_wells if hole.system else ()
    for check in (_run_time(case), *_starts(case)):
        yield _beside(others, check) if others else check


def _beside(others: tuple[str, ...], check: Check) -> Check:
    """Wells on one tank start by one switch: together they fill it sooner than one of them does."""
    if check.verdict is not Verdict.PASS:
        return check
    named = " and ".join(others)
    return replace(
        check,
        verdict=Verdict.CANNOT_SAY,
        says=f"{check.says}; {named} on the same tank would fill it sooner",
        missing=(f"what {named} gives into the same tank",),
    )


def _air(component: Component, hole: Hole, *, alone: bool) -> tuple[float | None, Span]:
    """A tank's precharge. Of several tanks nobody knows which one a reading was of."""
    if alone:
        return as_read(hole, component, "precharge_psi", Quantity.PRECHARGE_PSI)
    psi = getattr(component.part, "precharge_psi", None)
    return psi, said_since(hole, component, "precharge_psi")


def _run_time(case: _Case) -> Check:
    gives, least = case.drawdown_gal(), least_run_minutes(case.hp)
    minutes = run_minutes(gives, case.gpm)
    fails = over(least, minutes) > 0
    volume = sum(tank.volume_gal for tank in case.tanks)
    airs = {tank.precharge_psi for tank in case.tanks}
    at = " and ".join(f"{psi:g} psi" for psi in sorted(airs))
    flow = f"{show(case.gpm, 'gpm')} ({case.known_by})"
    says = (
        f"{volume:g} gal of tank with {at} of air gives {gives:.3g} gal from"
        f" {case.cut_out_psi:g} psi down to {case.cut_in_psi:g} psi; at {flow} the pump runs"
        f" {shown(minutes, least, decimals=1)} min a start, and {hp_text(case.hp)} wants {least:g}"
    )
    made = Check(
        rule=NAME,
        aspect=RUN_TIME,
        subject="tank",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=minutes,
        limit=least,
        unit="min",
        at_least=True,
    )
    if not fails:
        return made
    right = max(case.cut_in_psi - PRECHARGE_BELOW_CUT_IN_PSI, 0.0)
    newest = case.tanks[-1].component
    may, surely = case.since
    high_up = run_minutes(case.drawdown_gal(altitude_ft=HIGH_UP_FT), case.gpm)
    finding = Finding(
        rule=NAME,
        subject="tank",
        occurrence=occurrence(NAME, "tank", newest.uid),
        may_from=may,
        surely_from=surely if over(least, high_up) > 0 else None,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=f"{_remedy(case, right, least)}; {DRAINED}",
        source=SOURCE,
        counts_from=newest.uid,
        numbers=_numbers(case, gives, minutes, least, right),
        to_customer=(
            f"By our record of its tank the pump runs {shown(minutes, least, decimals=1)} minutes each"
            f" time it starts, compared with {least:g} minutes that a pump of {hp_text(case.hp)} wants:"
            " the right air or a larger tank spares it."
        ),
    )
    return replace(made, finding=finding)


def _remedy(case: _Case, right_psi: float, least: float) -> str:
    """What mends it: the air alone where that is enough, else a larger tank."""
    with_air = case.drawdown_gal(precharge_psi=right_psi)
    if over(least, run_minutes(with_air, case.gpm)) <= 0:
        return f"set the air to {right_psi:g} psi: that alone is enough"
    wanted = least * case.gpm
    return (
        f"a larger tank, or a second one: {wanted:.3g} gal are wanted between cut-out and cut-in;"
        f" with {right_psi:g} psi of air these give {with_air:.3g}"
    )


def _numbers(
    case: _Case, gives: float, minutes: float, least: float, right: float
) -> dict[str, Number]:
    several = {f"precharge_psi_{n}": t.precharge_psi for n, t in enumerate(case.tanks[1:], 2)}
    return {
        "volume_gal": sum(tank.volume_gal for tank in case.tanks),
        "precharge_psi": case.tanks[0].precharge_psi,
        **several,
        "right_precharge_psi": right,
        "cut_in_psi": case.cut_in_psi,
        "cut_out_psi": case.cut_out_psi,
        "gpm": case.gpm,
        "hp": case.hp,
        "drawdown_gal": round(gives, 3),
        "run_minutes": float(shown(minutes, least, decimals=1)),
        "least_run_minutes": least,
    }


def _starts(case: _Case) -> Iterator[Check]:
    """Starts at the one draw that causes most; whether anybody ever draws so is another question.

    So more than the motor is made for is no failure of the tank, and none is put on the list.
    """
    most = most_starts_per_day(case.hp, phase=case.motor.phase)
    if most is None:
        return
    worst = worst_starts_per_day(case.gpm, case.drawdown_gal())
    fails = over(worst, most) > 0
    draw = f"a steady draw of {show(case.gpm / 2, 'gpm')} would start it {shown(worst, most)} times a day"
    less = "any other draw, or fewer hours of it, starts it less often"
    yield Check(
        rule=NAME,
        aspect=STARTS,
        subject="tank",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=f"{draw}, and {hp_text(case.hp)} is made for {most}; {less if fails else 'none causes more'}",
        source=STARTS_SOURCE,
        value=worst,
        limit=float(most),
        taken=() if case.motor.phases is not None else ("single-phase",),
    )


RULE = Rule(
    name=NAME,
    title="tank too small or short of air: the pump starts too often",
    why=__doc__ or "",
    thresholds=(),
    checks=checks,
)
