"""Voltage drop and gauge of a cable, the windings below it, and the unbalance of three phases."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.naming import naming
from wellbook.engineering.cable import (
    OHM_CMIL_PER_FT,
    CableSection,
    max_length_ft,
    needed_circular_mils,
    smallest_awg,
    voltage_drop,
)
from wellbook.engineering.condition import (
    CURRENT_UNBALANCE_LIMIT_PERCENT,
    VOLTAGE_UNBALANCE_LIMIT_PERCENT,
    unbalance_percent,
    winding_reading,
)
from wellbook.engineering.conductors import CIRCULAR_MILS, GAUGES, ampacity_amps
from wellbook.engineering.motor_amps import full_load_amps, needed_ampacity_amps, sizing_amps
from wellbook.engineering.pressure import floor_ft
from wellbook.quantities import show

CAUTIONS = (
    "240 V kills: power off, locked out, and tried dead before anything is touched.",
    "Wiring is for a licensed person; the local code comes before any number here.",
)
_SOURCE = (
    "NEC chapter 9 table 8 (uncoated copper at 75 C), tables 430.248 and 430.250 (full-load amps;"
    " all but 1/2 to 5 hp at 230 V single-phase from memory), 430.22 and table 310.16 (60 C)"
)
_CHARTS = (
    "Charts of makers of motors differ from this by up to a fifth, either way: where the motor's"
    " own is shorter, it is the limit."
)

_Amps = Annotated[float | None, "current of the motor, by its nameplate (service-factor amps)"]
_Hp = Annotated[float | None, "rated horsepower, for the amps of the NEC's table"]
_Phase = Annotated[int, "1 or 3"]
_Volts = Annotated[float, "voltage of the supply"]
_Percent = Annotated[float, "the drop allowed, per cent of the volts; 3 is the stricter limit"]
_Conductor = Annotated[
    str, "copper of the conductors; stranded has the higher resistance", ("stranded", "solid")
]
_RUN = "the whole run, one way: supply to wellhead and down the hole"


@dataclass(frozen=True, slots=True)
class CableAnswer:
    """What a cable loses, and the longest run of that gauge (rounded down)."""

    drop_v: float | None
    drop_percent: float | None
    max_length_ft: int | None
    awg: int | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unbalance:
    """How far three phases are from their average."""

    percent: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Winding:
    """What of a resistance read at the top of a cable is the motor's."""

    loop_ohm: float
    winding_ohm: float
    verdict: str
    notes: tuple[str, ...] = ()


def voltage_drop_of(
    *,
    amps: _Amps = None,
    hp: _Hp = None,
    phase: _Phase = 1,
    volts: _Volts = 230.0,
    awg: Annotated[int, "gauge of the conductors, 14 to 2 (cable-size finds it)"],
    length_ft: Annotated[float | None, _RUN + "; without it, the longest run alone"] = None,
    percent: _Percent = 5.0,
    conductor: _Conductor = "stranded",
) -> CableAnswer:
    """What one gauge loses over a run, and how long its run may be."""
    current, said = _current(amps, hp, volts, phase)
    solid = conductor == "solid"
    with naming(limit_ft="amps"):
        longest = floor_ft(
            max_length_ft(current, awg, volts=volts, phase=phase, percent=percent, solid=solid)
        )
    notes = (*said, *_too_thin(current, awg))
    if length_ft is None:
        notes += ("The drop takes the length of the run, length_ft.",)
        return CableAnswer(None, None, longest, awg, (*notes, _CHARTS))
    run = [CableSection(awg, length_ft)]
    drop = voltage_drop(current, run, volts=volts, phase=phase, solid=solid)
    if drop.drop_percent >= 100:
        raise ValueError(
            f"length_ft: {length_ft:g} ft of #{awg} at {show(current, 'amps')} would lose more than the"
            f" {show(volts, 'volts')} of the supply"
        )
    enough = smallest_awg(
        current, length_ft, volts=volts, phase=phase, percent=percent, solid=solid
    )
    over = drop.drop_percent > percent
    lost = f"{'More than' if over else 'No more than'} {show(percent, 'percent')} is lost"
    right = f"#{enough} is the thinnest that does" if enough else f"#{GAUGES[-1]} is not enough"
    notes += (f"{lost} over this run; {right}.",)
    return CableAnswer(drop.drop_v, drop.drop_percent, longest, awg, (*notes, _CHARTS))


def cable_size(
    *,
    amps: _Amps = None,
    hp: _Hp = None,
    phase: _Phase = 1,
    volts: _Volts = 230.0,
    awg: Annotated[int | None, "a gauge that is to be judged beside the one that is found"] = None,
    length_ft: Annotated[float, _RUN],
    percent: _Percent = 5.0,
    conductor: _Conductor = "stranded",
) -> CableAnswer:
    """The thinnest gauge that a run may have, by its drop and by what it may carry."""
    current, said = _current(amps, hp, volts, phase)
    solid = conductor == "solid"
    if awg is not None:
        said += _judged(
            awg, current, length_ft, volts=volts, phase=phase, percent=percent, solid=solid
        )
    found, at_75_c = (
        smallest_awg(
            current,
            length_ft,
            volts=volts,
            phase=phase,
            percent=percent,
            column_c=column_c,
            solid=solid,
        )
        for column_c in (60, 75)
    )
    cmil = needed_circular_mils(current, length_ft, volts=volts, phase=phase, percent=percent)
    notes = (*said, *(_too_thin(current, at_75_c) if at_75_c else ()))
    if found is None:
        none = f"No gauge up to #{GAUGES[-1]} is enough for {show(current, 'amps')} over this run."
        return CableAnswer(None, None, None, None, (*notes, none))
    run = [CableSection(found, length_ft)]
    drop = voltage_drop(current, run, volts=volts, phase=phase, solid=solid)
    with naming(limit_ft="amps"):
        longest = floor_ft(
            max_length_ft(current, found, volts=volts, phase=phase, percent=percent, solid=solid)
        )
    notes += (
        f"By circular mils (K = {OHM_CMIL_PER_FT:g}) the drop takes {cmil:,.0f};"
        f" #{found} has {CIRCULAR_MILS[found]:,}.",
    )
    return CableAnswer(drop.drop_v, drop.drop_percent, longest, found, (*notes, _CHARTS))


def _judged(
    awg: int,
    amps: float,
    length_ft: float,
    *,
    volts: float,
    phase: int,
    percent: float,
    solid: bool,
) -> tuple[str, ...]:
    """What a gauge that was asked about would do over the same run."""
    run = [CableSection(awg, length_ft)]
    drop = voltage_drop(amps, run, volts=volts, phase=phase, solid=solid)
    than = "more than" if drop.drop_percent > percent else "within"
    lost = f"#{awg} would lose {drop.drop_percent:.3g} %, {than} the {show(percent, 'percent')}."
    return (lost, *_too_thin(amps, awg))


def unbalance(
    *,
    readings: Annotated[tuple[float, ...], "three of one kind, amps or volts: 51,46,53"],
) -> Unbalance:
    """The largest deviation from the average, above it or below, over the average."""
    volts, amps = VOLTAGE_UNBALANCE_LIMIT_PERCENT, CURRENT_UNBALANCE_LIMIT_PERCENT
    limits = (
        f"Limits in print: voltage {volts:g} % (never above 5), current {amps:g} % (some say 10)."
    )
    return Unbalance(unbalance_percent(readings), (limits,))


def winding(
    *,
    reading_ohm: Annotated[float, "read between two leads, power off and locked out, leads off"],
    awg: Annotated[int, "gauge of the cable, 14 to 2"],
    length_ft: Annotated[float, "from the meter down to the motor, one way"],
    low_ohm: Annotated[float | None, "the least that the motor's own data gives"] = None,
    high_ohm: Annotated[float | None, "the most that it gives"] = None,
    water_f: Annotated[float, "temperature of the groundwater"] = 50.0,
) -> Winding:
    """What of a reading is the winding, and what that says."""
    found = winding_reading(
        reading_ohm,
        [CableSection(awg, length_ft)],
        low_ohm=low_ohm,
        high_ohm=high_ohm,
        water_f=water_f,
    )
    return Winding(found.loop_ohm, found.winding_ohm, found.word, (f"{found.means}.".capitalize(),))


def _current(
    amps: float | None, hp: float | None, volts: float, phase: int
) -> tuple[float, tuple[str, ...]]:
    """The larger of the nameplate's amperes and the table's, and a note where it is the table's."""
    by_table = None if hp is None else full_load_amps(hp, volts=volts, phase=phase)
    current = sizing_amps(amps, by_table)
    if current is None:
        if hp is None:
            raise ValueError("amps: missing; give amps, or hp for those of the table")
        raise ValueError(
            f"hp: the NEC's table has none for {show(hp, 'hp')} at {show(volts, 'volts')},"
            f" {'single' if phase == 1 else 'three'}-phase; give amps instead"
        )
    if current == amps:
        return current, ()
    if amps is not None:
        return current, (f"{show(current, 'amps')} by the NEC's table is more, and counts.",)
    return current, (
        f"{show(current, 'amps')} by the NEC's table; service-factor amps of the nameplate are"
        " often more: where they are known, give them as amps.",
    )


def _too_thin(current: float, awg: int) -> tuple[str, ...]:
    """A note where a gauge may not carry the current, whatever the length."""
    needed, carries = needed_ampacity_amps(current), ampacity_amps(awg)
    if carries >= needed:
        return ()
    at_75_c = ampacity_amps(awg, column_c=75)
    unless = (
        f" (by the 75 C column, {at_75_c} A, it would do where all terminals are marked for it)"
        if at_75_c >= needed
        else ""
    )
    return (
        f"#{awg} carries {carries} A by the 60 C column, and 125 % of {show(current, 'amps')} is"
        f" {show(needed, 'amps')}: too thin at any length{unless}.",
    )


VOLTAGE_DROP = Calculator(
    name="voltage-drop",
    title="what a cable loses over the whole run, and how long its run may be",
    reckon=voltage_drop_of,
    source=_SOURCE,
    cautions=CAUTIONS,
    example="--hp 1-1/2 --awg 12 --length-ft 380",
)
CABLE_SIZE = Calculator(
    name="cable-size",
    title="the thinnest cable for a run, by voltage drop and by what it may carry",
    reckon=cable_size,
    source=_SOURCE,
    cautions=CAUTIONS,
    example="--hp 1-1/2 --length-ft 480",
)
UNBALANCE = Calculator(
    name="unbalance",
    title="unbalance of three phases, of volts or of amps",
    reckon=unbalance,
    source="NEMA MG 1: largest deviation from the average, above or below, over the average",
    cautions=CAUTIONS,
    example="--readings 51,46,53",
)
WINDING = Calculator(
    name="winding",
    title="what of a resistance read at the top of the cable is the motor's winding",
    reckon=winding,
    source=(
        "NEC chapter 9 table 8, brought to the water's temperature by the note of the table; the"
        " winding is the reading less the cable there and back (makers' manuals)"
    ),
    cautions=CAUTIONS,
    example="--reading-ohm 2.5 --awg 12 --length-ft 300",
)
