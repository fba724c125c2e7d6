"""What is said of one part, by its kind: the fields that are known, in the order people ask."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from typing import cast

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.describe import span_text
from wellbook.hole.hole import Hole
from wellbook.hole.parts import (
    Booster,
    Cable,
    Cap,
    Control,
    Motor,
    Pipe,
    Pump,
    Tank,
    Treatment,
)
from wellbook.present.lines import field_text, own_mark, set_text
from wellbook.present.text import plural
from wellbook.quantities import show
from wellbook.rules.cable_facts import born, wear
from wellbook.rules.materials import is_metal
from wellbook.rules.string_facts import bottom_ft, rating_psi
from wellbook.terms import Kind


def part_text(hole: Hole, component: Component, day: date | None) -> str:
    """All that is known of a part in one line; empty where nothing is.

    Without a day nothing is said that grows with time: ages, how long it hangs, what was counted.
    """
    return _TEXTS[component.kind](hole, component, day)


def _join(*words: str, by: str = ", ") -> str:
    return by.join(w for w in words if w)


def _cap(_hole: Hole, c: Component, _day: date | None) -> str:
    assert isinstance(c.part, Cap)
    vent = {True: "vented", False: "no vent", None: ""}[c.part.vented]
    return _join(field_text(c, "type"), field_text(c, "material"), vent)


def _seal(_hole: Hole, c: Component, _day: date | None) -> str:
    depth = field_text(c, "depth_ft")
    return _join(field_text(c, "material"), field_text(c, "type"), _at(depth), by=" ")


def _at(depth: str) -> str:
    return f"at {depth}" if depth else ""


def _pipe(hole: Hole, c: Component, _day: date | None) -> str:
    assert isinstance(c.part, Pipe)
    span = span_text(c.part.from_ft, c.part.to_ft)
    return _join(pipe_made_of(c), _rating(c.part), span, joints_text(hole, c.part))


def pipe_made_of(c: Component) -> str:
    """A section of pipe by its size, material and wall alone."""
    size = field_text(c, "nominal_in")
    inches = f"{size} in" if size and "in" not in size else size
    return _join(inches, _material(c), field_text(c, "wall"), by=" ")


def pipe_words(c: Component) -> str:
    """A section of pipe without its place: what it is made of and its rating."""
    assert isinstance(c.part, Pipe)
    return _join(pipe_made_of(c) or "pipe", _rating(c.part))


def _material(c: Component) -> str:
    """The material as it is said: nobody calls it galvanized steel."""
    text = field_text(c, "material")
    for written, called in (("galvanized steel", "galvanized"), ("pvc", "PVC"), ("pe", "PE")):
        if text.startswith(written):
            return called + text.removeprefix(written)
    return text


def joints_text(hole: Hole, pipe: Pipe) -> str:
    """How many joints a section has, counted up to whole ones; empty where it cannot be said."""
    bottom = bottom_ft(hole, pipe)
    if not pipe.joint_ft or bottom is None or bottom <= (pipe.from_ft or 0.0):
        return ""
    count = math.ceil(round((bottom - (pipe.from_ft or 0.0)) / pipe.joint_ft, 6))
    return f"{count} x {show(pipe.joint_ft, 'ft')}"


def _rating(pipe: Pipe) -> str:
    if pipe.rating_psi is not None:
        return show(pipe.rating_psi, "psi")
    worked_out = rating_psi(pipe)
    if worked_out is None and is_metal(pipe.material or ""):
        # Its wall is not what limits a setting at these depths: no rating is missed.
        return ""
    return "rating unknown" if worked_out is None else f"{show(worked_out, 'psi')} worked out"


def _valve(_hole: Hole, c: Component, _day: date | None) -> str:
    return _join(field_text(c, "material"), _at(field_text(c, "depth_ft")), by=" ")


def _cable(hole: Hole, c: Component, day: date | None) -> str:
    assert isinstance(c.part, Cable)
    part = c.part
    gauge = f"#{field_text(c, 'awg')}" if part.awg is not None else "gauge unknown"
    made = f"new {field_text(c, 'made')}" if part.made is not None and part.made.known else ""
    return _join(
        _join(gauge, wires_text(part), field_text(c, "jacket"), by=" "),
        span_text(part.from_ft, part.to_ft),
        _age(born(c, part), day),
        made,
        _wear(hole, c) if day else "",
    )


def wires_text(cable: Cable) -> str:
    """Conductors and ground, as counted on a reel.

    >>> wires_text(Cable(conductors=3, ground_wire=True))
    '3-wire + ground'
    """
    wires = "" if cable.conductors is None else f"{cable.conductors}-wire"
    ground = {True: "+ ground", False: "no ground", None: ""}[cable.ground_wire]
    return _join(wires, ground, by=" ")


def _wear(hole: Hole, c: Component) -> str:
    seen = wear(hole, c)
    if seen.splices is None and seen.rubs is None:
        return "never inspected"
    splices, rubs = _counted(seen.splices, "splice"), _counted(seen.rubs, "rub")
    days = [f" ({on})" if on else "" for on in (seen.splices_on, seen.rubs_on)]
    if seen.splices_on == seen.rubs_on:
        # What was counted on the day that the line is from need not say so twice.
        days = ["", "" if seen.rubs_on == c.noted_on else days[1]]
    return _join(splices + days[0], rubs + days[1])


def _counted(count: int | None, word: str) -> str:
    return f"{word}s not counted" if count is None else plural(count, word)


def _arrestor(_hole: Hole, c: Component, _day: date | None) -> str:
    return _at(field_text(c, "depth_ft"))


def _pump(hole: Hole, c: Component, day: date | None) -> str:
    assert isinstance(c.part, Pump)
    until = c.part.warranty_until
    return _join(
        _join(
            field_text(c, "type"),
            field_text(c, "hp"),
            field_text(c, "rated_gpm"),
            _at(field_text(c, "set_depth_ft")) or "set depth unknown",
        ),
        _join(field_text(c, "maker"), field_text(c, "model"), _model(c), by=" "),
        _listed(hole, c),
        _down_since(c, day),
        _numbered(c),
        _warranty(until, day) if until is not None else "",
        by="; ",
    )


def _listed(hole: Hole, c: Component) -> str:
    """What the shop's list has of its model and the record has not."""
    model = hole.pump_models.get(c.uid)
    if model is None:
        return ""
    listed = {
        "maker": model.maker,
        "hp": show(model.hp, "hp"),
        "rated_gpm": show(model.rated_gpm, "gpm"),
    }
    more = [text for name, text in listed.items() if not field_text(c, name)]
    return f"in the shop's list {', '.join(more)}" if more else ""


def _warranty(until: When, day: date | None) -> str:
    over = day is not None and until.latest is not None and until.latest < day
    return f"warranty over, {until}" if over else f"warranty to {until}"


def _model(c: Component) -> str:
    year = field_text(c, "model_year")
    return year if not year or "model" in year else f"model {year}"


def _numbered(c: Component) -> str:
    serial, code = field_text(c, "serial"), field_text(c, "date_code")
    return _join(f"serial {serial}" if serial else "", f"date code {code}" if code else "")


def _down_since(c: Component, day: date | None) -> str:
    if day is None:
        return ""
    if not c.set_on.known:
        return "set date unknown"
    age = c.set_on.age_text(day)
    down = "" if age == "age unknown" else f"{age} down"
    # What was set on the day that its mark is from need not say so twice.
    same = down and str(c.set_on) == str(c.as_of) and not own_mark(c, c.setting)
    return _join("" if same else set_text(c), down)


def _motor(_hole: Hole, c: Component, _day: date | None) -> str:
    assert isinstance(c.part, Motor)
    wires = f"{c.part.wires}-wire" if c.part.wires is not None else ""
    phases = {1: "single-phase", 3: "three-phase"}.get(c.part.phases or 0, "")
    factor = field_text(c, "service_factor_a")
    return _join(
        _join(field_text(c, "hp"), field_text(c, "supply_v"), phases, wires),
        f"{factor} at service factor" if factor else "",
        _join(field_text(c, "maker"), _model(c), by=" "),
        _numbered_motor(c),
    )


def _numbered_motor(c: Component) -> str:
    serial = field_text(c, "serial")
    return f"serial {serial}" if serial else ""


def _control(_hole: Hole, c: Component, _day: date | None) -> str:
    assert isinstance(c.part, Control)
    guarded = {
        True: "stops when the water runs out",
        False: "no low-water protection",
        None: "low-water protection unknown",
    }[c.part.low_water_protection]
    setpoint = field_text(c, "setpoint_psi")
    kind = _join(field_text(c, "type"), field_text(c, "maker"), field_text(c, "hp"), by=" ")
    return _join(kind, f"holds {setpoint}" if setpoint else "", guarded)


def _tank(_hole: Hole, c: Component, day: date | None) -> str:
    assert isinstance(c.part, Tank)
    precharge = field_text(c, "precharge_psi")
    return _join(
        _join(field_text(c, "volume_gal"), _plain_pressure(field_text(c, "type")), by=" "),
        f"precharge {precharge}" if precharge else "",
        _age_of(c, day),
    )


def _plain_pressure(kind: str) -> str:
    """A tank is a pressure tank unless it is said to be another."""
    return "" if kind == "pressure" else kind


def _age_of(c: Component, day: date | None) -> str:
    """How old a part of the system is: by the plate, else since it was set."""
    made = c.fact("made")
    age = _age(cast(When, made.value) if made else c.set_on, day)
    return age + own_mark(c, made or c.setting) if age and age != "age unknown" else age


def _age(when: When, day: date | None) -> str:
    if day is None:
        return ""
    text = when.age_text(day)
    return text if text == "age unknown" else f"{text} old"


def _switch(_hole: Hole, c: Component, _day: date | None) -> str:
    cut_in, cut_out = field_text(c, "cut_in_psi"), field_text(c, "cut_out_psi")
    return _join(f"in at {cut_in}" if cut_in else "", f"out at {cut_out}" if cut_out else "")


def _booster(_hole: Hole, c: Component, _day: date | None) -> str:
    assert isinstance(c.part, Booster)
    return _join(field_text(c, "hp"), field_text(c, "rated_gpm"), field_text(c, "maker"), _model(c))


def _treatment(_hole: Hole, c: Component, day: date | None) -> str:
    assert isinstance(c.part, Treatment)
    return _join(field_text(c, "type"), _age_of(c, day))


_TEXTS: dict[Kind, Callable[[Hole, Component, date | None], str]] = {
    Kind.CAP: _cap,
    Kind.SEAL: _seal,
    Kind.PIPE: _pipe,
    Kind.CHECK_VALVE: _valve,
    Kind.CABLE: _cable,
    Kind.TORQUE_ARRESTOR: _arrestor,
    Kind.PUMP: _pump,
    Kind.MOTOR: _motor,
    Kind.CONTROL: _control,
    Kind.TANK: _tank,
    Kind.SWITCH: _switch,
    Kind.BOOSTER: _booster,
    Kind.TREATMENT: _treatment,
}
