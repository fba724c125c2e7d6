"""What to load on the truck for a planned string: lengths with what is cut off, and the small things.

Only what the plan moves is on the list. What hangs there and stays is at the well already; where
nothing in the hole is touched, the well is not opened, and wants neither gaskets nor chlorine. Where
there is a choice, the list has the more: what is left over comes home, what is missing costs a day.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from wellbook.engineering.disinfection import bleach_dose, column_gal
from wellbook.engineering.tank import PRECHARGE_BELOW_CUT_IN_PSI
from wellbook.hole.component import PLACES, Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Pipe, Pump, Switch, Tank
from wellbook.rules import names
from wellbook.rules.catalogue import checks_by, the_rule
from wellbook.rules.figures import over
from wellbook.rules.finding import Settings
from wellbook.rules.materials import comes_in_coils, is_plastic
from wellbook.rules.motor_facts import motor_facts
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.string_facts import bottom_ft, string_ft, valve_places_ft
from wellbook.terms import IN_THE_HOLE, Kind, LevelState, PumpType, TankType, Verdict

# Common practice, no published source, but where one is named.
SLACK: Final = 0.03
"""Cable hangs 3 to 4 in slack between ties 10 ft apart (a maker's manual): about 3 per cent."""
TAIL_FT: Final = 10.0
TIE_EVERY_FT: Final = 10.0
TAPE_ROLL_FT: Final = 100.0
GUARD_EVERY_FT: Final = 40.0
JOINT_FT: Final = 20.0
COIL_FT: Final = (100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0)
CLAMPS_AN_END: Final = 2
CUT_TO_FT: Final = 5.0
"""Cable and rope are cut off the reel to the next 5 ft."""
BLEACH_PERCENT: Final = 6.0
TARGET_MGL: Final = 100.0
"""Wisconsin's for work on a pump, and Illinois's (77 Ill. Adm. Code 925.50)."""

_OWN_ITEMS = frozenset({Kind.PIPE, Kind.CABLE, Kind.CHECK_VALVE})
_ELECTRIC = frozenset({Kind.CABLE, Kind.MOTOR, Kind.CONTROL, Kind.SWITCH, Kind.BOOSTER})
_JETS = (PumpType.SHALLOW_JET, PumpType.DEEP_JET)
_SUBMERSIBLES = (PumpType.SUBMERSIBLE, None)
"""What nobody said is taken for the usual one."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to load.

    Parameters
    ----------
    what
        Its name on the list: "cable".
    count
        How many, those to spare among them; None of what is not counted, or cannot be.
    spare
        How many of them are to spare.
    length_ft
        How much of it in all, feet; None of what has no length, or where it is not known.
    down_ft, supply_run_ft
        Of a cable: the part that hangs, and the usual run to the supply (a setting of the shop).
    each_ft
        The length of one: a joint or a coil of pipe, or the tape of one roll.
    depths_ft
        Where it goes, the lowest first.
    ends
        How many ends of pipe the clamps are for.
    litres, gallons
        Bleach, and the water that it is for.
    psi
        The pressure to set.
    part
        The part itself, of what is loaded as the plan says it.
    notes
        What else is to be said of it, in words.
    """

    what: str
    count: int | None = None
    spare: int = 0
    length_ft: float | None = None
    down_ft: float | None = None
    supply_run_ft: float | None = None
    each_ft: float | None = None
    depths_ft: tuple[float, ...] = ()
    ends: int | None = None
    litres: float | None = None
    gallons: float | None = None
    psi: float | None = None
    part: Component | None = None
    notes: tuple[str, ...] = ()


def to_load(before: Hole, planned: Hole, settings: Settings) -> list[Item]:
    """What a plan takes to the well.

    Parameters
    ----------
    before, planned
        The well with what hangs there, and with what is to hang there.
    settings
        The shop's own numbers: the spacing of valves, the run to the supply.
    """
    return list(_Job(before, planned, settings).items())


@dataclass(frozen=True)
class _Job:
    """A plan beside what hangs there now."""

    before: Hole
    planned: Hole
    settings: Settings

    @cached_property
    def moved(self) -> list[Component]:
        """What goes in: what is new, and what comes back from store."""
        there = {c.uid for kind in Kind for c in self.before.down(kind)}
        return [
            c
            for kind in Kind
            for c in self.planned.down(kind)
            # What is left of a section that is cut never left the well.
            if c.uid not in there and c.cut_on is None
        ]

    @cached_property
    def new(self) -> frozenset[Kind]:
        """The kinds of which something goes in."""
        return frozenset(c.kind for c in self.moved)

    @cached_property
    def kinds(self) -> frozenset[Kind]:
        """The kinds of which something goes in, comes out, or is to hang elsewhere."""
        stays = {c.uid: _place(c) for kind in Kind for c in self.planned.down(kind)}
        was = [c for kind in Kind for c in self.before.down(kind)]
        out = {c.kind for c in was if c.cut_on is None and stays.get(c.uid) != _place(c)}
        return self.new | out

    @cached_property
    def hole(self) -> Hole:
        """The well as it hangs in the end, with what is in store for the winter."""
        return self.planned.opened_up()

    @cached_property
    def length_ft(self) -> float | None:
        """How long the string is; None where nobody knows."""
        found = string_ft(self.hole)
        return None if found is None else found[0]

    @property
    def pump_type(self) -> PumpType | None:
        return pump_kind(self.hole)

    @property
    def submersible(self) -> bool:
        """Whether a pump hangs, with its cable."""
        return self.hole.the(Pump) is not None and self.pump_type in _SUBMERSIBLES

    def items(self) -> Iterator[Item]:
        opened = bool(self.kinds & (IN_THE_HOLE | {Kind.SEAL}))
        for component in self.moved:
            if component.kind not in _OWN_ITEMS:
                yield self._as_it_is(component)
        yield from self._box()
        yield from self._air()
        for component, pipe in self.planned.parts(Pipe):
            if component in self.moved:
                yield self._pipe(component, pipe)
        for component, cable in self.planned.parts(Cable):
            if component in self.moved:
                yield self._cable(component, cable)
        yield from self._splices()
        yield from self._ties()
        yield from self._valves()
        yield from self._joined()
        if self.submersible and {Kind.PIPE, Kind.PUMP} & self.new:
            yield from self._on_plastic()
        if opened:
            yield Item("gaskets")
            yield self._chlorine()
        yield from self._safety(opened)

    # -- what the plan says ------------------------------------------------------------------------

    def _as_it_is(self, component: Component) -> Item:
        return Item(component.kind.value, 1, part=component, notes=self._from_store(component))

    def _from_store(self, component: Component) -> tuple[str, ...]:
        known = any(c.uid == component.uid for c in self.before.components)
        return ("from store: it goes back",) if known else ()

    def _box(self) -> Iterator[Item]:
        """A control box for the new motor, where the one on the wall is for another."""
        if Kind.CONTROL in self.new or not {Kind.PUMP, Kind.MOTOR} & self.new:
            return
        for check in checks_by(names.CONTROL_BOX, self.hole, self.settings):
            if check.verdict is Verdict.FAIL:
                yield Item("control_box", 1, notes=(check.says,))

    def _air(self) -> Iterator[Item]:
        """What a switch that is new, or set otherwise, and a new tank ask of the tank's air."""
        tanks = [t for _, t in self.hole.parts(Tank) if t.type in (TankType.PRESSURE, None)]
        switch = self.hole.the(Switch)
        starts_psi = None if switch is None else switch[1].cut_in_psi
        was = self.before.the(Switch)
        other = was is not None and was[1].cut_in_psi != starts_psi
        if starts_psi is not None and tanks and (other or {Kind.SWITCH, Kind.TANK} & self.new):
            yield Item("air", psi=max(starts_psi - PRECHARGE_BELOW_CUT_IN_PSI, 0.0))

    # -- the pipe ----------------------------------------------------------------------------------

    def _pipe(self, component: Component, pipe: Pipe) -> Item:
        """A section as it is reckoned from the ground: what the pitless lies deeper is to spare."""
        notes = self._from_store(component)
        end = bottom_ft(self.hole, pipe)
        length = None if end is None else end - (pipe.from_ft or 0.0)
        if length is None or length <= 0:
            return Item("pipe", part=component, notes=notes)
        if _coiled(pipe):
            coil = next((c for c in COIL_FT if over(length, c) <= 0), None)
            one = None if coil is None else 1
            return Item("pipe", one, 0, length, each_ft=coil, part=component, notes=notes)
        joint = pipe.joint_ft or JOINT_FT
        if not pipe.joint_ft:
            notes = (*notes, "length of a joint not said")
        count = _pieces(length, joint) + 1
        return Item("pipe", count, 1, length, each_ft=joint, part=component, notes=notes)

    def _joined(self) -> Iterator[Item]:
        """Clamps for the ends of coiled pipe, and what makes threads tight."""
        if not {Kind.PIPE, Kind.PUMP, Kind.CHECK_VALVE} & self.kinds:
            return
        pipes = list(self.hole.parts(Pipe))
        ends = sum(self._ends(component, pipe) for component, pipe in pipes)
        if ends:
            yield Item("clamps", CLAMPS_AN_END * ends, ends=ends)
        if pipes or self.submersible:
            yield Item("sealant")

    def _ends(self, component: Component, pipe: Pipe) -> int:
        """How many ends of a coil are made anew: its own, and two at each valve cut into it."""
        if not _coiled(pipe):
            return 0
        top, bottom = pipe.from_ft or 0.0, bottom_ft(self.hole, pipe)
        new = component in self.moved
        valves = [
            v.depth_ft for c, v in self.hole.parts(CheckValve) if new or c in self.moved
        ] or list(self._places())
        cut = sum(
            d is None or (over(d, top) > 0 and (bottom is None or over(bottom, d) > 0))
            for d in valves
        )
        return 2 * cut + (2 if new else self._ends_that_meet_what_is_new(component))

    def _ends_that_meet_what_is_new(self, component: Component) -> int:
        """Of a coil that stays: those at a section that goes in, or at a pump that does."""
        sections = self.hole.down(Kind.PIPE)
        n = sections.index(component)
        meets = [s in self.moved for s in (*sections[max(n - 1, 0) : n], *sections[n + 1 : n + 2])]
        at_pump = n == len(sections) - 1 and Kind.PUMP in self.new
        return sum(meets) + at_pump

    # -- the cable ---------------------------------------------------------------------------------

    def _cable(self, component: Component, cable: Cable) -> Item:
        """A section with its slack; the one that comes out of the well with the run to the supply."""
        notes = self._from_store(component)
        end = cable.to_ft if cable.to_ft is not None else self.length_ft
        top = cable.from_ft or 0.0
        if end is None or end <= top:
            return Item("cable", part=component, notes=notes)
        supply_ft = 0.0
        if top == 0:
            supply_ft = self.settings.numbers(the_rule(names.VOLTAGE_DROP))["usual_supply_run_ft"]
        return Item(
            "cable",
            length_ft=_cut((end - top) * (1 + SLACK) + TAIL_FT + supply_ft),
            down_ft=end - top,
            supply_run_ft=supply_ft,
            part=component,
            notes=notes,
        )

    def _splices(self) -> Iterator[Item]:
        """One at the motor, and one where a section that goes in meets the next; one to spare."""
        cables = self.hole.down(Kind.CABLE)
        if not self.submersible or not {Kind.CABLE, Kind.PUMP, Kind.MOTOR} & self.new:
            return
        meet = sum(a in self.moved or b in self.moved for a, b in pairwise(cables))
        at_motor = bool({Kind.PUMP, Kind.MOTOR} & self.new) or (
            not cables or cables[-1] in self.moved
        )
        yield Item("splices", meet + at_motor + 1, 1, part=cables[-1] if cables else None)

    def _ties(self) -> Iterator[Item]:
        """What holds the cable to the pipe, where the string is opened."""
        if not self.submersible or not self.kinds & IN_THE_HOLE:
            return
        length = self.length_ft
        yield Item("ties", None if length is None else _pieces(length, TIE_EVERY_FT))
        rolls = None if length is None else _pieces(length, TAPE_ROLL_FT)
        yield Item("tape", rolls, each_ft=TAPE_ROLL_FT)
        if {Kind.PIPE, Kind.CABLE} & self.new:
            yield Item("guards", None if length is None else _pieces(length, GUARD_EVERY_FT))

    # -- in the pipe -------------------------------------------------------------------------------

    def _valves(self) -> Iterator[Item]:
        if self.pump_type in _JETS and {Kind.PIPE, Kind.PUMP} & self.new:
            yield Item("foot_valve", 1)
        fresh = [v.depth_ft for c, v in self.planned.parts(CheckValve) if c in self.moved]
        there = self.hole.down(Kind.CHECK_VALVE)
        at_pump = int(self.submersible and Kind.PUMP in self.new)
        depths = sorted((d for d in fresh if d is not None), reverse=True)
        places = self._places()
        notes: list[str] = []
        if None in fresh:
            notes.append(f"{fresh.count(None)} of depth not said")
        if places:
            known = self.hole.level_ft(LevelState.PUMPING) is not None
            drawn = "" if known else ", the well taken as drawn down to the pump"
            notes.append(f"not in the plan, but wanted by the spacing rule{drawn}")
        if at_pump:
            notes.append("one for the pump, unless it has its own")
        if len(there) > len(fresh) and self.kinds & IN_THE_HOLE:
            notes.append("those on record go back: look at each before it goes down")
        count = at_pump + len(fresh) + len(places)
        if count or (there and notes):
            yield Item("valves", count, depths_ft=(*depths, *places), notes=tuple(notes))

    def _places(self) -> tuple[float, ...]:
        """Where the spacing rule has valves above the pump's own, in whole feet to measure off.

        None where the plan says where they are, or where the pump's own is enough.
        """
        length, hole = self.length_ft, self.hole
        if not self.submersible or length is None or hole.down(Kind.CHECK_VALVE):
            return ()
        second_ft = self.settings.numbers(the_rule(names.STRING_FITTINGS))["second_check_from_ft"]
        if not {Kind.PIPE, Kind.PUMP} & self.new or over(length, second_ft) < 0:
            return ()
        level = hole.level_ft(LevelState.PUMPING)
        apart_ft = self.settings.numbers(the_rule(names.CHECK_VALVE_SPACING))["spacing_ft"]
        # The water may be drawn down to the pump where nobody measured how far it is.
        places = valve_places_ft(length, length if level is None else level, apart_ft)
        return tuple(float(place) for place in places)

    def _on_plastic(self) -> Iterator[Item]:
        """Pipe of plastic twists at each start, and does not hold a pump that breaks off."""
        pipes = [pipe.material for _, pipe in self.hole.parts(Pipe)]
        if not any(material and is_plastic(material) for material in pipes):
            return
        if not self.hole.down(Kind.TORQUE_ARRESTOR):
            yield Item(Kind.TORQUE_ARRESTOR.value, 1)
        length = self.length_ft
        yield Item("rope", length_ft=None if length is None else _cut(length + 2 * TAIL_FT))

    # -- the well ----------------------------------------------------------------------------------

    def _chlorine(self) -> Item:
        """Bleach for the water that stands in the well: the column, never the depth."""
        hole = self.hole
        depth, diameter = hole.depth_ft(), hole.bore_diameter_in()
        newest, level = hole.at_rest(), hole.at_rest_ft()
        flows = hole.flowing or (newest is not None and newest.state is LevelState.FLOWING)
        notes = ("the well flows: what is poured in runs off with it",) if flows else ()
        if depth is None or level is None or diameter is None or over(level, depth) >= 0:
            return Item("chlorine", notes=notes)
        try:
            gallons = column_gal(diameter, depth - max(level, 0.0))
            dose = bleach_dose(gallons, TARGET_MGL, BLEACH_PERCENT)
        except ValueError:
            return Item("chlorine", notes=notes)
        return Item("chlorine", litres=dose.litres, gallons=gallons, notes=notes)

    def _safety(self, opened: bool) -> Iterator[Item]:
        """What nobody begins without."""
        powered = motor_facts(self.hole) is not None or self.pump_type in _JETS
        live = bool(self.kinds) and (powered or bool(self.kinds & _ELECTRIC))
        things = [
            *(["lock and tag", "voltage tester"] if live else []),
            *(["gloves and goggles for the bleach"] if opened else []),
        ]
        if things:
            yield Item("safety", notes=tuple(things))


def _place(component: Component) -> tuple[object, ...]:
    """Where it hangs, and how often it was out: one of them is another once it is moved."""
    depths = (getattr(component.part, name, None) for name in sorted(PLACES))
    return component.absences, *depths


def _coiled(pipe: Pipe) -> bool:
    return not pipe.joint_ft and comes_in_coils(pipe.material or "")


def _pieces(length_ft: float, each_ft: float) -> int:
    """How many pieces reach that far; feet that were metres do not make one more."""
    return math.ceil(round(length_ft / each_ft, 6))


def _cut(length_ft: float) -> float:
    return CUT_TO_FT * _pieces(length_ft, CUT_TO_FT)
