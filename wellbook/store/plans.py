"""A string that is only planned, judged as if it hung there: a visit that is undone again.

A plan is a visit sheet of a job that was not done yet. It goes through the same check and the same
replay as the sheet that will tell of the job, in a transaction that its caller takes back; so what
passes here is what will be on record, and the file of a plan can be recorded after the job.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection

from wellbook.errors import WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Control, Pump, TorqueArrestor
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.string_facts import cable_gap, pipe_gap
from wellbook.store.holes import load_hole
from wellbook.store.sheets import Recording, record
from wellbook.terms import SECTIONED, Kind, PumpType, Reason


def hang(
    connection: Connection, who: str, well_id: int, plan: Mapping[str, Any], *, today: date
) -> Recording:
    """Record a plan as a visit of today: the hole before it and after it.

    Parameters
    ----------
    connection
        Of a transaction that will be taken back.
    plan
        The plan's plain tables: those of a visit sheet. Day and reason may be left out; a pump of the
        shop's list needs its model only, and sections of pipe or cable take the place of all that
        hangs there.

    Raises
    ------
    SheetError, ReplayError, WellbookError
        As recording a visit does; and where nothing is set.
    """
    data = {**plan, "date": today.isoformat()}
    for name in ("start", "end"):
        data.pop(name, None)
    if not any(_tables(data, name) for name in ("set", "back")):
        raise WellbookError("a plan says what is to hang there: [set.pump], [[set.pipe]] and so on")
    before = load_hole(connection, well_id)
    data["back"] = _out_of_store(before, data) | dict(_tables(data, "back"))
    closed = before.closed_without_pump is not None
    data.setdefault("reason", (Reason.OPENING_UP if closed else Reason.REPLACEMENT).value)
    room: dict[str, dict[str, Any]] = {kind.value: {} for kind in comes_out(before, plan)}
    data["pulled"] = room | dict(_tables(data, "pulled"))
    made = record(connection, who, well_id, data, today=today)
    _reaches_the_pump(made.after)
    _nothing_below_the_pump(made.after)
    return made


def _out_of_store(before: Hole, plan: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Of a place that is closed for the winter: what goes back because the plan sets no other."""
    spoken_of = {kind for name in ("set", "pulled") for kind in _tables(plan, name)}
    stored = {kind.value for kind in Kind if before.stored(kind)}
    return {kind: {} for kind in sorted(stored - spoken_of)}


def comes_out(before: Hole, plan: Mapping[str, Any]) -> tuple[Kind, ...]:
    """What comes out so that a plan can hang there, and what the sheet of the job has to say too.

    Pipe or cable that is set anew takes the place of the whole run, or the rest of a longer one would
    hang on. With the pipe come the valves and the arrestor in it, unless the plan says they go back.
    """
    parts, back, out = (_tables(plan, name) for name in ("set", "back", "pulled"))
    room: set[str] = {kind.value for kind in SECTIONED if kind.value in parts}
    if Kind.PIPE.value in parts:
        room |= {Kind.CHECK_VALVE.value, Kind.TORQUE_ARRESTOR.value} - set(back)
    control = parts.get(Kind.CONTROL.value)
    drive = isinstance(control, Mapping) and bool(control.get("setpoint_psi"))
    if Kind.SWITCH.value in parts and (drive or _held_by_a_drive(before, parts)):
        raise WellbookError(
            "a drive holds one pressure in the place of a switch: plan the one or the other"
        )
    if drive:
        room |= {Kind.SWITCH.value}
    return tuple(k for k in Kind if k.value in room - set(out) and before.down(k))


def _held_by_a_drive(before: Hole, parts: Mapping[str, Any]) -> bool:
    """Whether a drive that stays holds the pressure now."""
    control = before.the(Control)
    stays = control is not None and Kind.CONTROL.value not in parts
    return stays and control is not None and control[1].setpoint_psi is not None


def _reaches_the_pump(planned: Hole) -> None:
    """Refuse a plan whose pipe or cable does not go with its setting: no number of it is right."""
    pump = pump_facts(planned)
    if pump is None or pump.kind.value is not PumpType.SUBMERSIBLE:
        return
    gap = pipe_gap(planned) or cable_gap(planned)
    if gap is not None:
        what = gap.kind.label
        raise WellbookError(
            f"the pump is to hang at {gap.set_ft:g} ft and its {what} ends at {gap.end_ft:g} ft;"
            f" say what {what} goes with it"
        )


def _nothing_below_the_pump(planned: Hole) -> None:
    found = planned.the(Pump)
    set_ft = found[1].set_depth_ft if found else None
    if set_ft is None:
        return
    valves = [(c, part.depth_ft) for c, part in planned.parts(CheckValve)]
    arrestors = [(c, part.depth_ft) for c, part in planned.parts(TorqueArrestor)]
    for component, depth_ft in (*valves, *arrestors):
        if depth_ft is not None and not 0 < depth_ft <= set_ft:
            raise WellbookError(
                f"a {component.kind.label} is to hang at {depth_ft:g} ft, which is not between the well"
                f" head and the pump at {set_ft:g} ft; say where it goes"
            )
    places = [depth_ft for _, depth_ft in valves if depth_ft is not None]
    twice = next((ft for ft in places if places.count(ft) > 1), None)
    if twice is not None:
        raise WellbookError(f"two check valves are to hang at {twice:g} ft: name each place once")


def _tables(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    table = data.get(name)
    return table if isinstance(table, Mapping) else {}
