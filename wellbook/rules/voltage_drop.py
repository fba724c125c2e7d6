"""A cable too thin for its length, or for the current of its motor.

The motor at its end gets what the cable leaves of the volts, and draws more amperes for it; it
runs hot, starts hard, and is called a bad motor. The whole run counts: from the supply to the well
head, and down. A thicker cable is hung when the string is up; nobody pulls a pump for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wellbook.engineering.cable import smallest_awg, voltage_drop
from wellbook.engineering.conductors import GAUGES, ampacity_amps
from wellbook.engineering.motor_amps import needed_ampacity_amps
from wellbook.hole.hole import Hole
from wellbook.rules import names
from wellbook.rules.cable_run import GAUGE, CableRun, cable_missing, cable_run
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Number,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.motor_facts import LOCKED_OUT, MotorFacts, hp_text, motor_facts
from wellbook.rules.spans import both
from wellbook.rules.string_facts import cable_gap
from wellbook.terms import Occasion, Severity, Verdict

NAME = names.VOLTAGE_DROP
DROP, AMPACITY = "voltage drop", "ampacity"
SOURCE = (
    "NEC chapter 9 table 8, 210.19(A): stranded copper at 75 C; 5 % is a note of the code; amps of the"
    " nameplate or of NEC 430.248 and 430.250, the larger. Where the motor maker's own chart is shorter"
    " (they differ by up to a fifth), it is the limit"
)
AMPACITY_SOURCE = "NEC 430.22, table 310.16: copper for 125 % of the motor's current"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The drop over the whole run, and what the thinnest section may carry."""
    motor = motor_facts(hole)
    if motor is None:
        return
    yield from _reaches(hole)
    try:
        amps = motor.sizing_a()
        missing = _missing(hole, motor, amps)
        if missing or amps is None:
            yield from _unknown(missing)
            return
        made = list(_judged(hole, motor, amps, numbers))
    except ValueError:
        # No motor and no cable is like that: a slip of the pen, not a run to judge.
        return
    yield from made


def _reaches(hole: Hole) -> Iterator[Check]:
    """Whether the cable on record goes down to the pump; what lies between is reckoned like it."""
    gap = cable_gap(hole)
    if gap is not None:
        lacks = cannot_say(NAME, "cable to the pump", "cable", _CABLE, source=COMMON_PRACTICE)
        yield replace(lacks, says=gap.says)


def _unknown(missing: list[str]) -> Iterator[Check]:
    yield cannot_say(NAME, DROP, "cable", *missing, source=SOURCE)
    # What a conductor carries does not depend on its length.
    short = [m for m in missing if m in (GAUGE, _AMPS, _PHASES)]
    if short:
        yield cannot_say(NAME, AMPACITY, "cable", *short, source=AMPACITY_SOURCE)


_CABLE = "what cable goes down to the pump"
_AMPS = "horsepower or amps of the motor"
_PHASES = "phases of the motor behind the drive"


def _missing(hole: Hole, motor: MotorFacts, amps: float | None) -> list[str]:
    return [
        *([_AMPS] if amps is None else []),
        *([_PHASES] if motor.behind_drive and motor.phases is None else []),
        *cable_missing(hole),
    ]


def _judged(hole: Hole, motor: MotorFacts, amps: float, numbers: Numbers) -> Iterator[Check]:
    run = cable_run(hole, motor.pump)
    yield _drop(motor, amps, run, numbers)
    yield _ampacity(motor, amps, run)


def _motor_words(motor: MotorFacts, amps: float) -> str:
    of = "" if motor.hp is None else f"{hp_text(motor.hp)}, "
    phase = "single-phase" if motor.phase == 1 else "three-phase"
    taken = f" ({' and '.join(motor.taken)} taken: not on record)" if motor.taken else ""
    return f"{of}{amps:.4g} A at {motor.volts:g} V {phase}{taken}"


def _numbers(motor: MotorFacts, amps: float, run: CableRun) -> dict[str, Number]:
    return {
        "amps": round(amps, 3),
        "volts": motor.volts,
        "phase": motor.phase,
        "down_ft": run.down_ft,
        **({} if motor.hp is None else {"hp": motor.hp}),
        **{f"awg_{awg}_ft": ft for awg, ft in run.by_gauge.items()},
    }


def _drop(motor: MotorFacts, amps: float, run: CableRun, numbers: Numbers) -> Check:
    limit, supply_ft = numbers["most_drop_percent"], numbers["usual_supply_run_ft"]
    whole = run.whole(supply_ft)
    drop = voltage_drop(amps, whole, volts=motor.volts, phase=motor.phase)
    alone = voltage_drop(amps, run.sections, volts=motor.volts, phase=motor.phase)
    percent = shown(drop.drop_percent, limit, decimals=1)
    fails = over(drop.drop_percent, limit) > 0
    feeds = "the drive" if motor.behind_drive else "the supply"
    says = (
        f"{_motor_words(motor, amps)} loses {percent} % ({drop.drop_v:.3g} V) over {run.words}"
        f" and {supply_ft:g} ft from {feeds} (usual run: not on record); limit {limit:g} %"
    )
    made = Check(
        rule=NAME,
        aspect=DROP,
        subject="cable",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=drop.drop_percent,
        limit=limit,
        unit="%",
        taken=(*motor.taken, f"{supply_ft:g} ft from {feeds}"),
    )
    if not fails:
        return made
    # Of what is only taken as usual nobody can be sure; of the cable in the well one may be.
    sure = over(alone.drop_percent, limit) > 0 and not motor.taken
    awg = smallest_awg(
        amps, run.down_ft + supply_ft, volts=motor.volts, phase=motor.phase, percent=limit
    )
    thick = f"#{awg} or thicker" if awg is not None else f"more than #{GAUGES[-1]}, or less current"
    may, surely = both(run.since, motor.since)
    finding = Finding(
        rule=NAME,
        subject="voltage drop in the cable",
        occurrence=occurrence(NAME, "drop", motor.pump.uid),
        may_from=may,
        surely_from=surely if sure else None,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=says,
        action=(
            "look up the run to the supply; at the next pull hang cable that does for the whole"
            f" run: {thick}; {LOCKED_OUT}"
        ),
        source=SOURCE,
        counts_from=motor.pump.uid,
        numbers={
            **_numbers(motor, amps, run),
            "supply_run_ft": supply_ft,
            "drop_percent": float(percent),
            "most_drop_percent": limit,
            "awg_wanted": awg,
        },
    )
    return replace(made, finding=finding)


def _ampacity(motor: MotorFacts, amps: float, run: CableRun) -> Check:
    thinnest = min(run.by_gauge, key=ampacity_amps)
    carries, hot = ampacity_amps(thinnest), ampacity_amps(thinnest, column_c=75)
    needed = needed_ampacity_amps(amps)
    fails, fails_hot = over(needed, carries) > 0, over(needed, hot) > 0
    also = f", {hot} A by the 75 C column" if fails else ""
    says = (
        f"{_motor_words(motor, amps)} needs conductors for {shown(needed, carries, decimals=1)} A (125 %);"
        f" #{thinnest} carries {carries} A by the 60 C column{also}"
    )
    made = Check(
        rule=NAME,
        aspect=AMPACITY,
        subject=f"#{thinnest} cable",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=AMPACITY_SOURCE,
        value=needed,
        limit=carries,
        unit="A",
        taken=motor.taken,
    )
    if not fails:
        return made
    may, surely = both(run.since, motor.since)
    finding = Finding(
        rule=NAME,
        subject="ampacity of the cable",
        occurrence=occurrence(NAME, "ampacity", motor.pump.uid),
        may_from=may,
        surely_from=None if motor.taken else surely,
        # By the 75 C column it would do, where all terminals are marked for it.
        severity=Severity.PLAN if fails_hot else Severity.WATCH,
        occasion=Occasion.NEXT_PULL if fails_hot else Occasion.NEXT_VISIT,
        reason=says,
        action=(
            f"at the next pull hang cable that carries the current; {LOCKED_OUT}"
            if fails_hot
            else "have it seen whether all terminals are marked for 75 C; if not, thicker cable at"
            f" the next pull; {LOCKED_OUT}"
        ),
        source=AMPACITY_SOURCE,
        counts_from=motor.pump.uid,
        numbers={
            **_numbers(motor, amps, run),
            "needed_a": round(needed, 3),
            "carries_a": carries,
            "carries_75_c_a": hot,
        },
    )
    return replace(made, finding=finding)


RULE = Rule(
    name=NAME,
    title="cable too thin for its run or its motor",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "most_drop_percent",
            5,
            "the most that the cable may take of the supply's volts; 3 is the stricter limit",
            "NEC 210.19(A) and 215.2(A), informational notes",
            1,
            10,
        ),
        Threshold(
            "usual_supply_run_ft",
            50,
            "the run from the supply to the well head, which no record has",
            COMMON_PRACTICE,
            0,
            2000,
        ),
    ),
    checks=checks,
)
