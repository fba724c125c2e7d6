"""What to load on the truck, in words: the list itself is `rules.loading`'s."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from wellbook.engineering.disinfection import LITRES_PER_CUP
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.present.lines import Line
from wellbook.present.load_lines import gaskets_text
from wellbook.present.part_texts import part_text, wires_text
from wellbook.quantities import show
from wellbook.rules.loading import (
    BLEACH_PERCENT,
    CLAMPS_AN_END,
    GUARD_EVERY_FT,
    TARGET_MGL,
    TIE_EVERY_FT,
    Item,
)
from wellbook.rules.motor_facts import hp_text, motor_facts
from wellbook.rules.tank_air import DRAINED
from wellbook.terms import Kind

_LABELS: Final = {
    Kind.TORQUE_ARRESTOR.value: "arrestor",
    Kind.TREATMENT.value: "treating",
    "control_box": "control",
    "foot_valve": "valves",
}
_SOME: Final = "length of the string not known"


def loading_line(hole: Hole, item: Item) -> Line:
    """One thing to load as a line.

    Parameters
    ----------
    hole
        The well with what is to hang there.
    item
        Of `rules.loading.to_load`.
    """
    words = _WORDS.get(item.what, _part)(hole, item)
    return Line(_LABELS.get(item.what, item.what), words)


def _and_notes(text: str, item: Item) -> str:
    return "; ".join(t for t in (text, *item.notes) if t)


def _part(hole: Hole, item: Item) -> str:
    text = "" if item.part is None else part_text(hole, item.part, None)
    return _and_notes(text or f"one {item.what}", item)


def _box(hole: Hole, item: Item) -> str:
    motor = motor_facts(hole)
    of = "" if motor is None or motor.hp is None else f" for {hp_text(motor.hp)}"
    return f"a control box{of}: {', '.join(item.notes)}"


def _air(_hole: Hole, item: Item) -> str:
    return f"gauge and pump: set the tank's air to {item.psi:g} psi; {DRAINED}"


def _pipe(_hole: Hole, item: Item) -> str:
    assert item.part is not None
    pipe = item.part.part
    assert isinstance(pipe, Pipe)
    size = f"{pipe.nominal_in} in" if pipe.nominal_in else ""
    material = (pipe.material or "").replace("_", " ")
    made_of = " ".join(w for w in (size, material, pipe.wall or "") if w) or "pipe"
    if item.length_ft is None:
        return _and_notes(f"{made_of}, length unknown", item)
    length = f"{show(item.length_ft, 'ft')} of {made_of}"
    if item.count is None:
        return _and_notes(f"{length}: coils, coupled", item)
    if not item.spare:
        return _and_notes(f"{length}: a coil of {item.each_ft:g} ft", item)
    joints = f"{item.count - item.spare} joints of {item.each_ft:g} ft"
    return _and_notes(f"{length}: {joints}, and one to spare", item)


def _cable(_hole: Hole, item: Item) -> str:
    assert item.part is not None
    cable = item.part.part
    assert isinstance(cable, Cable)
    gauge = f"#{cable.awg}" if cable.awg is not None else "gauge not said,"
    what = " ".join(w for w in (gauge, wires_text(cable), cable.jacket or "") if w)
    if item.length_ft is None:
        return _and_notes(f"{what} cable, length unknown", item)
    supply = (
        f", and {item.supply_run_ft:g} ft to the supply (usual run: not on record; measure it)"
        if item.supply_run_ft
        else ""
    )
    text = f"{item.length_ft:g} ft of {what} cable: {show(item.down_ft or 0.0, 'ft')} down"
    return _and_notes(f"{text}, slack and tail{supply}", item)


def _splices(_hole: Hole, item: Item) -> str:
    cable = None if item.part is None else item.part.part
    wires = wires_text(cable) if isinstance(cable, Cable) and cable.conductors else ""
    each = f" for {wires} cable" if wires else ""
    count = item.count or 0
    return f"{count} splice kits{each} ({count - item.spare} to make, one to spare)"


def _ties(_hole: Hole, item: Item) -> str:
    return f"{_counted(item, 'tie', 'ties or tapings')}, one each {TIE_EVERY_FT:g} ft"


def _tape(_hole: Hole, item: Item) -> str:
    return f"{_counted(item, 'roll of tape', 'rolls of tape')}"


def _guards(_hole: Hole, item: Item) -> str:
    guards = _counted(item, "cable guard", "cable guards")
    return f"{guards}, one each {GUARD_EVERY_FT:g} ft"


def _counted(item: Item, one: str, many: str) -> str:
    if item.count is None:
        return f"{many} ({_SOME})"
    return f"{item.count} {one if item.count == 1 else many}"


def _valves(_hole: Hole, item: Item) -> str:
    at = ", ".join(f"{depth:g}" for depth in item.depths_ft)
    where = "; ".join((*([f"{len(item.depths_ft)} at {at} ft"] if at else []), *item.notes))
    valves = f"{item.count} check {'valve' if item.count == 1 else 'valves'}"
    return f"{valves}: {where}" if item.count else where


def _foot_valve(_hole: Hole, _item: Item) -> str:
    return "a foot valve"


def _clamps(_hole: Hole, item: Item) -> str:
    ends = f"{item.ends} {'end' if item.ends == 1 else 'ends'} of pipe"
    return f"{item.count} stainless clamps ({ends}, {CLAMPS_AN_END} each); insert fittings to fit"


def _sealant(_hole: Hole, _item: Item) -> str:
    return "thread tape or compound that is made for drinking water"


def _arrestor(hole: Hole, item: Item) -> str:
    return "a few feet above the pump" if item.part is None else _part(hole, item)


def _rope(_hole: Hole, item: Item) -> str:
    if item.length_ft is None:
        return f"safety rope ({_SOME})"
    return f"{item.length_ft:g} ft of safety rope"


def _gaskets(hole: Hole, _item: Item) -> str:
    return gaskets_text(hole)


def _chlorine(_hole: Hole, item: Item) -> str:
    if item.litres is None or item.gallons is None:
        text = "plain unscented bleach: the water column is not known, so neither is the dose"
    else:
        text = (
            f"{_measure(item.litres)} of plain unscented {BLEACH_PERCENT:g} % bleach for"
            f" {item.gallons:.0f} gal in the well at {TARGET_MGL:g} mg/L"
        )
    return _and_notes(
        f"{text}; never with acid or ammonia; the label and the local code count", item
    )


def _measure(litres: float) -> str:
    if litres < 1:
        return f"{1000 * litres:.0f} ml"
    return f"{litres:.1f} litres ({litres / LITRES_PER_CUP:.0f} cups)"


def _safety(_hole: Hole, item: Item) -> str:
    return ", ".join(item.notes)


_WORDS: Final[dict[str, Callable[[Hole, Item], str]]] = {
    "control_box": _box,
    "air": _air,
    "pipe": _pipe,
    "cable": _cable,
    "splices": _splices,
    "ties": _ties,
    "tape": _tape,
    "guards": _guards,
    "valves": _valves,
    "foot_valve": _foot_valve,
    "clamps": _clamps,
    "sealant": _sealant,
    Kind.TORQUE_ARRESTOR.value: _arrestor,
    "rope": _rope,
    "gaskets": _gaskets,
    "chlorine": _chlorine,
    "safety": _safety,
}
