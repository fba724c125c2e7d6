"""What hangs on the hook."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, TypeVar

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.drop_pipe import (
    MATERIAL_HELP,
    ONE_WALL,
    NominalSize,
    PipeMaterial,
    schedule_number,
)
from wellbook.calculators.naming import naming
from wellbook.engineering._checks import (
    MAX_DEPTH_FT,
    MAX_DIAMETER_IN,
    MAX_HP,
    non_negative,
    positive,
)
from wellbook.engineering.pipe import ANY_POLYETHYLENE, pe_lb_per_ft, table_material
from wellbook.engineering.weight import (
    JACKETED_OVER_COPPER,
    MAX_LB,
    MAX_LB_PER_FT,
    PipeRun,
    cable_lb_per_ft,
    copper_lb_per_ft,
    heaviest_run,
    pump_and_motor_lb,
)
from wellbook.engineering.weight import string_weight as weigh
from wellbook.quantities import plain_marks, quoted, read

T = TypeVar("T")

# A weight told in three figures may be that much under what is reckoned.
_AS_WEIGHED = 0.99

_WALL = r"(?P<wall>(?:sidr|dr|sch(?:edule|ed)?\.?)[ -]*\d+(?:\.\d+)?s?)"
_SIZE = r"(?P<nominal>(?:\d+[ -])?\d+/\d+|\d+(?:\.\d+)?)(?: ?in\.?| ?\")?"
_SECTION = re.compile(
    r"(?P<from>[\d.]+) ?(?:-|to) ?(?P<to>[\d.]+)(?: ?ft| ?')? +"
    rf"(?P<material>[a-z].*?)??(?: *{_WALL})? *\b{_SIZE}",
    re.IGNORECASE,
)
_LIKE = "write it like 0-200 galvanized_steel sch 40 1-1/4; 200-380 pe4710 SIDR 9 1"


@dataclass(frozen=True, slots=True)
class Section:
    """A length of one kind of pipe, as it is told; None for what is not known."""

    from_ft: float
    to_ft: float
    material: PipeMaterial | None
    wall: str | None
    nominal: NominalSize

    def __str__(self) -> str:
        """As `Sections.parse` reads it."""
        told = [f"{self.from_ft:g}-{self.to_ft:g}", self.material, self.wall, self.nominal]
        return " ".join(t for t in told if t)


@dataclass(frozen=True, slots=True)
class Sections:
    """The pipe of a string from the top to the bottom, each section where the last one ends."""

    sections: tuple[Section, ...]

    @classmethod
    def parse(cls, text: str) -> Sections:
        """Read sections as they are typed, parted by semicolons.

        Raises
        ------
        ValueError
            Saying which section is wrong.

        >>> print(Sections.parse("0-200 galv sch 40 1-1/4; 200-380 pe4710 SIDR 9 1; 380-400 1 in"))
        0-200 galvanized_steel sch 40 1-1/4; 200-380 pe4710 SIDR 9 1; 380-400 1
        """
        found = tuple(_section(part.strip()) for part in text.split(";") if part.strip())
        if not found:
            raise ValueError(f"no section is given; {_LIKE}")
        for above, below in pairwise(found):
            if below.from_ft != above.to_ft:
                raise ValueError(
                    f"'{below}' does not begin where '{above}' ends, at {above.to_ft:g} ft"
                )
        return cls(found)

    def __str__(self) -> str:
        """As `parse` reads them."""
        return "; ".join(str(s) for s in self.sections)


def _section(text: str) -> Section:
    match = _SECTION.fullmatch(" ".join(plain_marks(text).split()))
    if match is None:
        raise ValueError(f"{quoted(text)} is no section of pipe; {_LIKE}")
    top, bottom = read(match["from"], "ft"), read(match["to"], "ft")
    if not top < bottom <= MAX_DEPTH_FT:
        raise ValueError(
            f"{quoted(text)} has to end below its top, and not below {MAX_DEPTH_FT:g} ft"
        )
    size = NominalSize.parse(match["nominal"])
    material = PipeMaterial.parse(match["material"].strip()) if match["material"] else None
    return Section(top, bottom, material, match["wall"], size)


@dataclass(frozen=True, slots=True)
class StringWeight:
    """Weight on the hook, and its parts."""

    hook_lb: float
    pipe_lb: float
    water_lb: float
    cable_lb: float
    pump_lb: float
    notes: tuple[str, ...] = ()


def string_weight(
    *,
    sections: Annotated[
        Sections | None,
        "pipe from the top down, parted by ';', such as 0-200 galvanized_steel sch 40 1-1/4",
    ] = None,
    length_ft: Annotated[float | None, "length of the pipe, where it is all of one kind"] = None,
    material: Annotated[
        PipeMaterial | None, f"{MATERIAL_HELP}; not known, the heaviest is taken"
    ] = None,
    sidr: Annotated[float | None, "its wall: polyethylene with the inside held"] = None,
    dr: Annotated[float | None, "its wall: polyethylene with the outside held"] = None,
    schedule: Annotated[str | None, "its wall: steel and PVC, 40 or 80"] = None,
    nominal: Annotated[NominalSize | None, "its nominal size, such as 1-1/4"] = None,
    id_in: Annotated[float | None, "instead of the size: its inside diameter"] = None,
    pipe_lb_per_ft: Annotated[float | None, "with id_in: what it weighs empty, lb a foot"] = None,
    awg: Annotated[
        int | None,
        "gauge of the cable, whose jacketed weight is taken as twice its copper; where there is"
        " cable, this or cable_lb_per_ft is needed",
    ] = None,
    conductors: Annotated[int, "conductors of the cable, the ground counted"] = 4,
    cable_ft: Annotated[
        float | None, "length of the cable, 0 for none; not given, that of the pipe"
    ] = None,
    cable_lb_per_ft: Annotated[
        float | None, "weight of the cable, lb a foot; it goes before that of its gauge"
    ] = None,
    hp: Annotated[
        float | None,
        "horsepower, where nobody weighed pump and motor; this or pump_lb is needed",
    ] = None,
    pump_lb: Annotated[
        float | None, "weight of pump and motor; it goes before that of the horsepower"
    ] = None,
) -> StringWeight:
    """Pipe, the water in it, cable, pump and motor; where one is not known, the heavier."""
    notes: list[str] = []
    if sections is not None:
        runs = [_run(s, "sections", notes) for s in sections.sections]
    else:
        length = positive(_needed(length_ft, "length_ft"), "length_ft", at_most=MAX_DEPTH_FT)
        pipe = _one_pipe(
            length,
            material=material,
            walls={"sidr": sidr, "dr": dr},
            schedule=schedule,
            nominal=nominal,
            id_in=id_in,
            lb_per_ft=pipe_lb_per_ft,
            notes=notes,
        )
        runs = [pipe]
    pipe_ft = sum(run.length_ft for run in runs)
    cable_long = pipe_ft if cable_ft is None else cable_ft
    load = weigh(
        runs,
        pump_motor_lb=_pump(hp, pump_lb, notes),
        cable_ft=non_negative(cable_long, "cable_ft", at_most=MAX_DEPTH_FT),
        cable_lb_per_ft=_cable(awg, conductors, cable_lb_per_ft, notes) if cable_long else 0.0,
    )
    notes.append("pipe full of water; couplings, valves and anything stuck come on top")
    return StringWeight(
        load.hook_lb, load.pipe_lb, load.water_lb, load.cable_lb, load.pump_lb, tuple(notes)
    )


def _one_pipe(
    length_ft: float,
    *,
    material: PipeMaterial | None,
    walls: dict[str, float | None],
    schedule: str | None,
    nominal: NominalSize | None,
    id_in: float | None,
    lb_per_ft: float | None,
    notes: list[str],
) -> PipeRun:
    """The pipe by its inside diameter and weight, or by its marks."""
    if id_in is not None:
        inside = positive(id_in, "id_in", at_most=MAX_DIAMETER_IN)
        sidr = walls["sidr"]
        if lb_per_ft is None and sidr is not None:
            if material and material not in ANY_POLYETHYLENE:
                raise ValueError(f"sidr: counts for polyethylene, and this is {material}")
            wall = inside / positive(sidr, "sidr", at_most=100)
            with naming(outside_diameter_in="sidr", wall_in="sidr"):
                return PipeRun(length_ft, pe_lb_per_ft(inside + 2 * wall, wall), inside)
        weight = _needed(lb_per_ft, "pipe_lb_per_ft")
        weight = positive(weight, "pipe_lb_per_ft", at_most=MAX_LB_PER_FT)
        return PipeRun(length_ft, weight, inside)
    if lb_per_ft is not None:
        raise ValueError(
            "id_in: missing; with pipe_lb_per_ft it says how much water is in the pipe"
        )
    given = {
        name: f"{name.upper()} {positive(n, name):g}" for name, n in walls.items() if n is not None
    }
    if schedule is not None:
        given["schedule"] = f"sch {schedule_number(schedule)}"
    wall_text = next(iter(given.values()), None)
    size = _needed(nominal, "nominal", "or give id_in and pipe_lb_per_ft")
    section = Section(0, length_ft, material, wall_text, size)
    return _run(section, next(iter(given), "material" if material else "nominal"), notes)


def _run(section: Section, option: str, notes: list[str]) -> PipeRun:
    """The run of a section, at the heaviest where its material or its wall is not told."""
    run = heaviest_run(
        section.to_ft - section.from_ft,
        material=section.material and table_material(section.material),
        wall=section.wall,
        nominal_in=section.nominal,
    )
    if run is None:
        what = " ".join(w for w in (section.material, section.wall, section.nominal) if w)
        raise ValueError(f"{option}: no such pipe is in the tables: {what}")
    unknown = [n for n, x in (("material", section.material), ("wall", section.wall)) if x is None]
    if unknown:
        notes.append(
            f"{section.from_ft:g}-{section.to_ft:g} ft: {' and '.join(unknown)} not known,"
            f" taken at the heaviest: {run.pipe_lb_per_ft:.2f} lb/ft"
            f" and {run.inside_diameter_in:.2f} in inside"
        )
    return run


def _cable(awg: int | None, conductors: int, lb_per_ft: float | None, notes: list[str]) -> float:
    """Weight of the cable, lb/ft."""
    if lb_per_ft is not None:
        told = non_negative(lb_per_ft, "cable_lb_per_ft", at_most=MAX_LB_PER_FT)
        copper = None if awg is None else copper_lb_per_ft(awg, conductors)
        if copper is not None and told < _AS_WEIGHED * copper:
            raise ValueError(
                f"cable_lb_per_ft: {told:g} is less than the bare copper of {conductors} conductors"
                f" of #{awg}, {copper:.3g} lb/ft; leave out awg, or the weight"
            )
        if copper is not None and told < JACKETED_OVER_COPPER * copper:
            usual = JACKETED_OVER_COPPER * copper
            notes.append(f"by its gauge the cable would be taken as {usual:.2f} lb/ft")
        return told
    gauge = _needed(awg, "awg", "or give cable_lb_per_ft, 0 where there is no cable")
    jacketed, copper = cable_lb_per_ft(gauge, conductors), copper_lb_per_ft(gauge, conductors)
    if jacketed is None or copper is None:
        raise ValueError(
            f"awg: {gauge} is not in the table, which has 14 to 2; give cable_lb_per_ft"
        )
    notes.append(
        f"cable at {jacketed:.2f} lb/ft, {JACKETED_OVER_COPPER:g} times its copper,"
        " for insulation and jacket"
    )
    return jacketed


def _pump(hp: float | None, pump_lb: float | None, notes: list[str]) -> float:
    """Weight of pump and motor, lb."""
    if pump_lb is not None:
        weighed = non_negative(pump_lb, "pump_lb", at_most=MAX_LB)
        usual = None if hp is None else pump_and_motor_lb(hp)
        if hp is not None and weighed == 0:
            raise ValueError(
                f"pump_lb: 0 is no weight of a pump of {hp:g} hp; leave out one of them"
            )
        if usual is not None and weighed < usual:
            notes.append(f"not weighed, {usual:g} lb would be taken for {hp:g} hp, the heavy end")
        return weighed
    power = positive(_needed(hp, "pump_lb", "or give hp"), "hp", at_most=MAX_HP)
    weight = pump_and_motor_lb(power)
    if weight is None:
        raise ValueError(
            f"hp: no weight is known here above 5 hp, and this is {power:g}; give pump_lb"
        )
    notes.append(
        f"pump and motor not weighed: taken as {weight:g} lb, the heavy end for {power:g} hp"
    )
    return weight


def _needed(value: T | None, option: str, instead: str = "") -> T:
    if value is None:
        raise ValueError(f"{option}: missing" + (f"; {instead}" if instead else ""))
    return value


_ONE_PIPE = (
    *("length_ft", "material", "sidr", "dr", "schedule", "nominal", "id_in", "pipe_lb_per_ft"),
)
STRING_WEIGHT = Calculator(
    name="string-weight",
    title="weight on the hook when a string is pulled, full of water",
    reckon=string_weight,
    source="statics; the same parts in The Driller (Nov 2013); pipe by ASTM and ASME dimensions",
    cautions=(
        "hoist, line, hook, slings and elevators: each rated for this load with its design factor"
        " (hoisting cable 5, Mich. R 408.12013); a stuck string pulls far more",
        "overhead lines: 10 ft off up to 50 kV (29 CFR 1926.1408 table A), with the pipe in the air",
        "power off and locked out; never lift by the cable; nobody under the load",
    ),
    either={
        "sections": _ONE_PIPE,
        "id_in": ("nominal", "schedule", "dr"),
        "pipe_lb_per_ft": ("sidr", "dr", "schedule", "nominal"),
        **ONE_WALL,
    },
    before={"cable_lb_per_ft": ("awg", "conductors"), "pump_lb": ("hp",)},
    example="--length-ft 400 --material pe3408 --sidr 7 --nominal 1-1/4 --awg 10 --hp 1-1/2",
)
