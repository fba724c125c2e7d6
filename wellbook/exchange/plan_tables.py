"""A plan by options: what they say, as the tables of a visit sheet.

What they do not say stays as it hangs, or as the plan's file has it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum
from typing import Any

from sqlalchemy import Connection

from wellbook.calculators.hoist import Sections
from wellbook.errors import WellbookError
from wellbook.exchange.plan_options import NO_VALVES, OPTIONS
from wellbook.hole.hole import Hole
from wellbook.store.pumps import the_pump
from wellbook.terms import ControlType, Kind, PumpType

_CARRIED = {
    Kind.PUMP: ("type", "hp", "rated_gpm", "set_depth_ft"),
    Kind.PIPE: ("material", "nominal_in", "joint_ft"),
    Kind.CABLE: ("conductors", "ground_wire", "jacket"),
    Kind.SEAL: ("type",),
    Kind.SWITCH: ("cut_in_psi", "cut_out_psi"),
    Kind.CONTROL: (),
}
"""What a new part has of the one in whose place it comes, where nobody says otherwise."""


def planned(
    connection: Connection, hole: Hole, file: Mapping[str, Any], said: Mapping[str, str]
) -> dict[str, Any]:
    """The tables of a plan: those of its file, and over them what the options say.

    Parameters
    ----------
    hole
        The well with what hangs there.
    file
        The plain tables of the plan's file; empty where there is none.
    said
        Option name -> what was typed; empty texts say nothing.

    Raises
    ------
    WellbookError
        Naming the option that is wrong.
    """
    by_kind: dict[Kind, dict[str, str]] = {}
    for option in OPTIONS:
        text = said.get(option.name, "").strip()
        if text:
            by_kind.setdefault(option.kind, {})[option.field] = text
    tables = {name: dict(file[name]) for name in ("set", "back", "pulled") if name in file}
    sets, backs, pulls = (tables.setdefault(name, {}) for name in ("set", "back", "pulled"))
    for kind, fields in by_kind.items():
        if kind is Kind.CHECK_VALVE:
            sets[kind.value] = list(_valves(fields["depths"]))
            if hole.down(kind):
                pulls[kind.value] = {}
        elif kind is Kind.PIPE:
            sets[kind.value] = list(_pipe(_base(hole, sets, kind), fields))
        elif kind is Kind.CABLE:
            base = {"ground_wire": True, **_base(hole, sets, kind), "from_ft": 0}
            sets[kind.value] = [{**base, **fields}]
        elif kind is Kind.PUMP and set(fields) == {"set_depth_ft"} and _same_pump(hole, sets):
            backs[kind.value] = fields
        elif kind is Kind.PUMP:
            sets[kind.value] = _pump(connection, _base(hole, sets, kind), fields)
        elif kind is Kind.CONTROL:
            drive = {"type": ControlType.DRIVE.value}
            sets[kind.value] = {**drive, **_base(hole, sets, kind), **fields}
        else:
            sets[kind.value] = {**_base(hole, sets, kind), **fields}
    made = {name: table for name, table in tables.items() if table}
    return {**{n: v for n, v in file.items() if n not in tables}, **made}


def _base(hole: Hole, sets: Mapping[str, Any], kind: Kind) -> dict[str, Any]:
    """The part as the file has it, else what a new one has of the one that hangs there."""
    in_file = sets.get(kind.value)
    rows = in_file if isinstance(in_file, list) else [in_file]
    if in_file and len(rows) == 1 and isinstance(rows[0], Mapping):
        return dict(rows[0])
    hangs = [c.part for c in hole.down(kind)]
    carried = {name: {_plain(getattr(part, name)) for part in hangs} for name in _CARRIED[kind]}
    # Of sections that differ, no one of them is "the" material.
    alike = {name: next(iter(values)) for name, values in carried.items() if len(values) == 1}
    return {name: value for name, value in alike.items() if value is not None}


def _plain(value: object) -> Any:
    return value.value if isinstance(value, Enum) else value


def _same_pump(hole: Hole, sets: Mapping[str, Any]) -> bool:
    """Whether the pump that hangs there is the one that is planned: it goes back down."""
    return bool(hole.down(Kind.PUMP)) and Kind.PUMP.value not in sets


def _pump(
    connection: Connection, base: Mapping[str, Any], fields: Mapping[str, str]
) -> dict[str, Any]:
    if "model" not in fields:
        return {"type": PumpType.SUBMERSIBLE.value, **base, **fields}
    try:
        listed = the_pump(connection, fields["model"])
    except WellbookError as error:
        raise type(error)(error.message, where="--pump") from None
    # Of a model the list knows the kind, the motor and the flow.
    depth = {name: value for name, value in base.items() if name == "set_depth_ft"}
    maker = {"maker": listed.maker} if listed.maker else {}
    return {**depth, **fields, **maker, "model": listed.model}


def _pipe(base: Mapping[str, Any], fields: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    """The sections of the pipe; without any, one from the top to the pump like what hangs there."""
    more = {name: value for name, value in fields.items() if name != "sections"}
    if "sections" not in fields:
        yield {**base, "from_ft": 0, **more}
        return
    try:
        sections = Sections.parse(fields["sections"]).sections
    except ValueError as error:
        raise WellbookError(str(error), where="--pipe") from None
    for one in sections:
        named = {"material": one.material, "wall": one.wall, "nominal_in": one.nominal}
        known = {name: value for name, value in named.items() if value}
        yield {"from_ft": one.from_ft, "to_ft": one.to_ft, **known, **more}


def _valves(text: str) -> Iterator[dict[str, Any]]:
    if text.casefold() != NO_VALVES:
        for depth in text.replace(";", ",").split(","):
            if depth.strip():
                yield {"depth_ft": depth.strip()}
