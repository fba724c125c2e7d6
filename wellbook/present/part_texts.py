"""What is said of one part, by its kind: the fields that are known, in the order people ask."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date

from wellbook.dates import When
from wellbook.hole.parts import (
    Booster,
    Cable,
    Cap,
    Control,
    Motor,
    Pipe,
    Pump,
    Switch,
    Tank,
    Treatment,
)
from wellbook.hole.records import Component, Hole
from wellbook.present.bore_lines import span_text
from wellbook.present.lines import field_text
from wellbook.present.text import plural, when_words
from wellbook.quantities import show
from wellbook.rules.cable_age import born
from wellbook.rules.cable_wear import wear
from wellbook.rules.pipe_rating import bottom_ft, rating_psi
from wellbook.terms import Kind


def part_text(hole: Hole, component: Component, day: date) -> str:
    """All that is known of a part in one line; empty where nothing is."""
    return _TEXTS[component.kind](hole, component, day)


def _join(*words: str, by: str = ", ") -> str:
    return by.join(w for w in words if w)


def _cap(_hole: Hole, c: Component, _day: date) -> str:
    assert isinstance(c.part, Cap)
    vent = {True: "vented", False: "no vent", None: ""}[c.part.vented]
    return _join(field_text(c, "type"), field_text(c, "material"), vent)


def _seal(_hole: Hole, c: Component, _day: date) -> str:
    depth = field_text(c, "depth_ft")
    return _join(_join(field_text(c, "material"), field_text(c, "type"), by=" "), _at(depth))


def _at(depth: str) -> str:
    return f"at {depth}" if depth else ""


def _pipe(hole: Hole, c: Component, _day: date) -> str:
    assert isinstance(c.part, Pipe)
    size = field_text(c, "nominal_in")
    made_of = _join(
        size if "in" in size or not size else f"{size} in", field_text(c, "material"), by=" "
    )
    span = span_text(c.part.from_ft, c.part.to_ft)
    return _join(made_of, field_text(c, "wall"), span, joints_text(hole, c.part), _rating(c.part))


def joints_text(hole: Hole, pipe: Pipe) -> str:
    """How many joints a section has, counted up to whole ones; empty where it cannot be said."""
    bottom = bottom_ft(hole, pipe)
    if not pipe.joint_ft or bottom is None or bottom <= (pipe.from_ft or 0.0):
        return ""
    count = math.ceil(round((bottom - (pipe.from_ft or 0.0)) / pipe.joint_ft, 6))
    return f"{plural(count, 'joint')} of {show(pipe.joint_ft, 'ft')}"


def _rating(pipe: Pipe) -> str:
    if pipe.rating_psi is not None:
        return f"rated {show(pipe.rating_psi, 'psi')}"
    try:
        worked_out = rating_psi(pipe)
    except ValueError:
        worked_out = None
    return "rating unknown" if worked_out is None else f"{show(worked_out, 'psi')} worked out"


def _valve(_hole: Hole, c: Component, _day: date) -> str:
    return _join(field_text(c, "material"), _at(field_text(c, "depth_ft")), by=" ")


def _cable(hole: Hole, c: Component, day: date) -> str:
    assert isinstance(c.part, Cable)
    part = c.part
    gauge = f"#{field_text(c, 'awg')}" if part.awg is not None else "gauge unknown"
    age = born(c, part).age_text(day)
    made = f" (new {when_words(part.made)})" if part.made is not None and part.made.known else ""
    return _join(
        _join(gauge, wires_text(part), field_text(c, "jacket"), by=" "),
        span_text(part.from_ft, part.to_ft),
        age if age == "age unknown" else f"{age} old{made}",
        _wear(hole, c),
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
    counted: list[str] = []
    for count, on, word in (
        (seen.splices, seen.splices_on, "splice"),
        (seen.rubs, seen.rubs_on, "rub"),
    ):
        counted.append(f"{word}s not counted" if count is None else f"{plural(count, word)} ({on})")
    if seen.splices_on == seen.rubs_on and seen.splices is not None:
        counted[0] = plural(seen.splices, "splice")
    return _join(*counted)


def _arrestor(_hole: Hole, c: Component, _day: date) -> str:
    return _at(field_text(c, "depth_ft"))


def _pump(_hole: Hole, c: Component, day: date) -> str:
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
        _down_since(c, day),
        _numbered(c),
        f"warranty {_over(until, day)}to {when_words(until)}" if until is not None else "",
        by="; ",
    )


def _over(until: When, day: date) -> str:
    return "over, was " if until.latest is not None and until.latest < day else ""


def _model(c: Component) -> str:
    year = field_text(c, "model_year")
    return year if not year or "model" in year else f"model {year}"


def _numbered(c: Component) -> str:
    serial, code = field_text(c, "serial"), field_text(c, "date_code")
    return _join(f"serial {serial}" if serial else "", f"date code {code}" if code else "")


def _down_since(c: Component, day: date) -> str:
    if not c.set_on.known:
        return "set date unknown"
    return f"set {when_words(c.set_on)}, {c.set_on.age_text(day)}"


def _motor(_hole: Hole, c: Component, _day: date) -> str:
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


def _control(_hole: Hole, c: Component, _day: date) -> str:
    assert isinstance(c.part, Control)
    guarded = {
        True: "stops when the water runs out",
        False: "no low-water protection",
        None: "low-water protection unknown",
    }[c.part.low_water_protection]
    setpoint = field_text(c, "setpoint_psi")
    kind = _join(field_text(c, "type"), field_text(c, "maker"), field_text(c, "hp"), by=" ")
    return _join(kind, f"holds {setpoint}" if setpoint else "", guarded)


def _tank(_hole: Hole, c: Component, day: date) -> str:
    assert isinstance(c.part, Tank)
    precharge = field_text(c, "precharge_psi")
    return _join(
        _join(field_text(c, "volume_gal"), field_text(c, "type"), by=" "),
        f"precharge {precharge}" if precharge else "",
        _age(c.part.made or c.set_on, day),
    )


def _age(when: When, day: date) -> str:
    text = when.age_text(day)
    return text if text == "age unknown" else f"{text} old"


def _switch(_hole: Hole, c: Component, _day: date) -> str:
    cut_in, cut_out = field_text(c, "cut_in_psi"), field_text(c, "cut_out_psi")
    return _join(f"in at {cut_in}" if cut_in else "", f"out at {cut_out}" if cut_out else "")


def _booster(_hole: Hole, c: Component, _day: date) -> str:
    assert isinstance(c.part, Booster)
    return _join(field_text(c, "hp"), field_text(c, "rated_gpm"), field_text(c, "maker"), _model(c))


def _treatment(_hole: Hole, c: Component, day: date) -> str:
    assert isinstance(c.part, Treatment)
    return _join(field_text(c, "type"), _age(c.part.made or c.set_on, day))


_TEXTS: dict[Kind, Callable[[Hole, Component, date], str]] = {
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
