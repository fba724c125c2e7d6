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
from wellbook.hole.parts import Pipe, Pump, TorqueArrestor
from wellbook.quantities import read
from wellbook.rules.string_facts import PUMP_LENGTH_FT
from wellbook.store.pumps import the_pump
from wellbook.terms import ControlType, Kind, PumpType

_FIELD_OF = {option.name: option.field for option in OPTIONS}
_CARRIED = {
    Kind.PUMP: ("type", "hp", "rated_gpm", "set_depth_ft"),
    Kind.PIPE: ("material", "nominal_in", "wall", "rating_psi", "joint_ft"),
    Kind.CABLE: ("awg", "conductors", "ground_wire", "jacket"),
    Kind.SEAL: ("type", "depth_ft"),
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
    # What is in store for the winter is what goes back.
    plan = _Plan(connection, hole.opened_up(), file)
    # The pump comes first: with it goes where the others end.
    for kind in sorted(by_kind, key=lambda k: k is not Kind.PUMP):
        plan.say(kind, by_kind[kind])
    plan.cut_to_the_pump()
    return plan.document()


class _Plan:
    """The tables of a plan as they come together."""

    def __init__(self, connection: Connection, hole: Hole, file: Mapping[str, Any]) -> None:
        self._connection = connection
        self._hole = hole
        self._file = file
        self._sets, self._backs, self._pulls = (
            dict(file.get(name) or {}) for name in ("set", "back", "pulled")
        )
        self._depth: str | None = None

    def say(self, kind: Kind, fields: Mapping[str, str]) -> None:
        """Put down what the options say of one kind of part."""
        if kind is Kind.PUMP:
            self._pump(fields)
        elif kind is Kind.CHECK_VALVE:
            self._sets[kind.value] = list(_valves(fields["depths"]))
            if self._hole.down(kind):
                self._pulls[kind.value] = {}
        elif kind is Kind.PIPE:
            self._sets[kind.value] = list(self._pipe(fields))
        elif kind is Kind.CABLE:
            base = {"ground_wire": True, **self._base(kind), **self._whole_run()}
            self._sets[kind.value] = [{**base, **fields}]
        elif kind is Kind.CONTROL:
            drive = {"type": ControlType.DRIVE.value}
            self._sets[kind.value] = {**drive, **self._base(kind), **fields}
        else:
            self._sets[kind.value] = {**self._base(kind), **fields}

    def document(self) -> dict[str, Any]:
        """The plan as a sheet's plain tables."""
        made = {"set": self._sets, "back": self._backs, "pulled": self._pulls}
        rest = {name: value for name, value in self._file.items() if name not in made}
        return {**rest, **{name: table for name, table in made.items() if table}}

    def cut_to_the_pump(self) -> None:
        """Of pipe that goes back with a pump that hangs higher the end is cut off."""
        pump = self._hole.the(Pump)
        old_ft = pump[1].set_depth_ft if pump else None
        if self._depth is None or old_ft is None or Kind.PIPE.value in {*self._sets, *self._backs}:
            return
        try:
            new_ft = read(self._depth, "ft")
        except ValueError:
            # The check of the sheet says what is wrong with it.
            return
        ends = [part.to_ft for _, part in self._hole.parts(Pipe) if part.to_ft is not None]
        if not 0 < new_ft < max(ends, default=0.0) - PUMP_LENGTH_FT:
            return
        self._backs[Kind.PIPE.value] = {"to_ft": new_ft}
        for _, arrestor in self._hole.parts(TorqueArrestor):
            if arrestor.depth_ft is not None and arrestor.depth_ft > new_ft:
                above_ft = max(old_ft - arrestor.depth_ft, 0.0)
                self._backs[Kind.TORQUE_ARRESTOR.value] = {"depth_ft": new_ft - above_ft}

    def _base(self, kind: Kind) -> dict[str, Any]:
        """The part as the file has it, else what a new one has of the one that hangs there."""
        in_file = self._sets.get(kind.value)
        rows = in_file if isinstance(in_file, list) else [in_file]
        if in_file and len(rows) == 1 and isinstance(rows[0], Mapping):
            return dict(rows[0])
        hangs = [c.part for c in self._hole.down(kind)]
        carried = {name: {_plain(getattr(part, name)) for part in hangs} for name in _CARRIED[kind]}
        # Of sections that differ, no one of them is "the" material.
        alike = {name: next(iter(values)) for name, values in carried.items() if len(values) == 1}
        return {name: value for name, value in alike.items() if value is not None}

    def _whole_run(self) -> dict[str, Any]:
        """From the well head to where the pump is to hang, or hangs."""
        pump = self._hole.the(Pump)
        hangs_ft = pump[1].set_depth_ft if pump else None
        to_ft = self._depth if self._depth is not None else hangs_ft
        return {"from_ft": 0} if to_ft is None else {"from_ft": 0, "to_ft": to_ft}

    def _pump(self, fields: Mapping[str, str]) -> None:
        self._depth = fields.get("set_depth_ft")
        hangs = bool(self._hole.down(Kind.PUMP))
        if set(fields) == {"set_depth_ft"} and hangs and Kind.PUMP.value not in self._sets:
            # The same pump goes back, higher or lower.
            self._backs[Kind.PUMP.value] = dict(fields)
            return
        base = self._base(Kind.PUMP)
        if "model" not in fields:
            self._sets[Kind.PUMP.value] = {"type": PumpType.SUBMERSIBLE.value, **base, **fields}
            return
        beside = [name for name in ("hp", "gpm") if _FIELD_OF[name] in fields]
        if beside:
            raise WellbookError(
                "the list knows it of a model: give this or --pump", where=f"--{beside[0]}"
            )
        try:
            listed = the_pump(self._connection, fields["model"])
        except WellbookError as error:
            # A slip of an option is no failing string: status 1 is kept for that.
            raise WellbookError(error.message, where="--pump") from None
        depth = {name: value for name, value in base.items() if name == "set_depth_ft"}
        maker = {"maker": listed.maker} if listed.maker else {}
        self._sets[Kind.PUMP.value] = {**depth, **fields, **maker, "model": listed.model}

    def _pipe(self, fields: Mapping[str, str]) -> Iterator[dict[str, Any]]:
        """The sections; without any, one from the top to the pump like what hangs there."""
        more = {name: value for name, value in fields.items() if name != "sections"}
        if "sections" not in fields:
            base = self._base(Kind.PIPE)
            if "rating_psi" in fields:
                # What is printed says more than a wall, and may be of another.
                base.pop("wall", None)
            yield {**base, **self._whole_run(), **more}
            return
        try:
            sections = Sections.parse(fields["sections"]).sections
        except ValueError as error:
            raise WellbookError(str(error), where="--pipe") from None
        for one in sections:
            named = {"material": one.material, "wall": one.wall, "nominal_in": one.nominal}
            known = {name: value for name, value in named.items() if value}
            yield {"from_ft": one.from_ft, "to_ft": one.to_ft, **known, **more}


def _plain(value: object) -> Any:
    return value.value if isinstance(value, Enum) else value


def _valves(text: str) -> Iterator[dict[str, Any]]:
    if text.casefold() != NO_VALVES:
        for depth in text.replace(";", ",").split(","):
            if depth.strip():
                yield {"depth_ft": depth.strip()}
