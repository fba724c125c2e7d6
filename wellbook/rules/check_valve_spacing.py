"""Check valves that stand too far apart in a deep string, or hold more than usual valves do.

When the valve at the pump leaks, the column runs back as far as the water outside holds it, and
parts below the next valve if that one stands too high above the water. The next start then slams
the two together. With valves at their places none of them holds too long a column. The one at the
pump holds it all, and the switch's pressure too, once the well is drawn down.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wellbook.engineering.pressure import column_psi, worst_case_psi
from wellbook.engineering.valves import FIRST_ABOVE_LEVEL_FT, JOINT_FT
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Pump
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import figure, over, shown
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.pressures import cut_out, rise_ft, up_to_tank
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.spans import Span, both, hangs_since, none_since, read_since, said_since
from wellbook.rules.string_facts import (
    HAS_OWN_VALVE,
    VALVES_UNSEEN,
    string_was_seen,
    valve_places_ft,
)
from wellbook.terms import Kind, LevelState, Occasion, Quantity, Severity, Verdict

NAME = names.CHECK_VALVE_SPACING
SOURCE = (
    "The Driller 85101: at the pump, 25 ft above the lowest pumping level, then every 200 ft (one maker"
    " says every 100)"
)
VALVE_SOURCE = f"{COMMON_PRACTICE}: near 400 ft upwards of 200 psi with the switch's pressure"
FIRST, SPACING = "first valve above the water", "valve spacing"
AT_THE_PUMP = "pressure at the pump's valve"


@dataclass(frozen=True, slots=True)
class _String:
    """A string of a pump with its own valve, whose crew had every other one in hand."""

    hole: Hole
    pump: Component
    set_ft: float

    @property
    def subject(self) -> str:
        return f"string of {self.set_ft:g} ft"

    @property
    def valves(self) -> list[CheckValve]:
        """Those beside the pump's own."""
        return [valve for _, valve in self.hole.parts(CheckValve)]

    @property
    def depths_ft(self) -> list[float]:
        """Where they stand, the lowest first. What is said to be below the pump stands at it."""
        known = {v.depth_ft for v in self.valves if v.depth_ft is not None}
        return sorted((d for d in known if over(self.set_ft, d) > 0), reverse=True)

    @property
    def since(self) -> Span:
        """From when the pump and all valves are where they are, and those that went are gone."""
        valves = [said_since(self.hole, c, "depth_ft") for c in self.hole.down(Kind.CHECK_VALVE)]
        pump = said_since(self.hole, self.pump, "set_depth_ft")
        return both(pump, none_since(self.hole, Kind.CHECK_VALVE), *valves)


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """A deep string with no valve but the pump's own is another rule's, `string-fittings`."""
    found = hole.the(Pump)
    if found is None or pump_kind(hole) not in HAS_OWN_VALVE:
        return
    if found[1].set_depth_ft is None:
        yield cannot_say(NAME, AT_THE_PUMP, "string", "set depth", source=VALVE_SOURCE)
        return
    string = _String(hole, found[0], found[1].set_depth_ft)
    if not string_was_seen(hole, found[0]):
        for aspect, source in ((SPACING, SOURCE), (AT_THE_PUMP, VALVE_SOURCE)):
            yield cannot_say(NAME, aspect, string.subject, VALVES_UNSEEN, source=source)
        return
    if string.valves and all(v.depth_ft is None for v in string.valves):
        yield cannot_say(NAME, SPACING, string.subject, "depth of the check valve", source=SOURCE)
    elif string.depths_ft:
        yield _first(string, numbers["spacing_ft"])
        yield _spacing(string, numbers["spacing_ft"])
    yield from _at_the_pump(string, numbers["usual_valve_psi"])


# -- where they stand ----------------------------------------------------------------------------


def _first(string: _String, spacing_ft: float) -> Check:
    """Of the valves in the string the lowest: how far it stands above the water."""
    hole, lowest = string.hole, string.depths_ft[0]
    fact = hole.level(LevelState.PUMPING)
    if fact is None or fact.value is None:
        return cannot_say(NAME, FIRST, string.subject, "pumping level", source=SOURCE)
    # A level is never drawn down below the pump.
    level = min(hole.below_ground(fact), string.set_ft)
    above = over(level, lowest)
    where = f"{above:g} ft above" if above >= 0 else f"{-above:g} ft below"
    water = (
        "pumping level of" if level < string.set_ft else "pump, where the water is drawn down to,"
    )
    says = (
        f"the lowest check valve in the string, at {figure(lowest)} ft, stands {where} the {water}"
        f" {figure(level)} ft; at most {FIRST_ABOVE_LEVEL_FT:g} ft above it is right"
    )
    fails = above > FIRST_ABOVE_LEVEL_FT
    span = both(
        string.since,
        read_since(hole, fact.record),
        hangs_since(hole, string.pump, "set_depth_ft", Quantity.WATER_LEVEL_FT),
    )
    finding = _finding(
        string,
        "first",
        span,
        says,
        _places(string, level, spacing_ft),
        valve_ft=lowest,
        pumping_level_ft=level,
        above_level_ft=above,
        most_above_level_ft=FIRST_ABOVE_LEVEL_FT,
    )
    return Check(
        rule=NAME,
        aspect=FIRST,
        subject=string.subject,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=above,
        limit=FIRST_ABOVE_LEVEL_FT,
        unit="ft",
        finding=finding if fails else None,
    )


def _spacing(string: _String, spacing_ft: float) -> Check:
    """The longest stretch above the lowest valve in the string, up to the well head."""
    stretches = [
        (lower - upper, lower, upper) for lower, upper in pairwise([*string.depths_ft, 0.0])
    ]
    longest, lower, upper = max(stretches)
    longest = over(longest, 0)
    to = f"the next one at {figure(upper)} ft" if upper > 0 else "the well head"
    says = (
        f"{longest:g} ft from the check valve at {figure(lower)} ft to {to}; one every"
        f" {spacing_ft:g} ft is right, give or take a joint"
    )
    most_ft = spacing_ft + JOINT_FT
    fails = over(longest, most_ft) > 0
    level = string.hole.level_ft(LevelState.PUMPING)
    finding = _finding(
        string,
        "spacing",
        string.since,
        says,
        _places(string, level, spacing_ft),
        valve_ft=lower,
        next_ft=upper,
        stretch_ft=longest,
        spacing_ft=spacing_ft,
    )
    return Check(
        rule=NAME,
        aspect=SPACING,
        subject=string.subject,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=longest,
        limit=most_ft,
        unit="ft",
        finding=finding if fails else None,
    )


def _places(string: _String, level: float | None, spacing_ft: float) -> str:
    """Where they would stand, for the crew."""
    usual = "25 ft above the pumping level, then one every"
    if level is None:
        return f"when the string is up, put check valves into it: {usual} {spacing_ft:g} ft"
    places = valve_places_ft(string.set_ft, level, spacing_ft)
    if not places:
        return f"when the string is up, put its check valves right: {usual} {spacing_ft:g} ft"
    named = ", ".join(map(str, places))
    valves = "a check valve" if len(places) == 1 else "check valves"
    return f"when the string is up, put {valves} at {named} ft, beside the one at the pump"


def _finding(
    string: _String, what: str, span: Span, reason: str, action: str, **numbers: float
) -> Finding:
    may, surely = span
    return Finding(
        rule=NAME,
        subject=f"check valves, {what}",
        occurrence=occurrence(NAME, what, string.pump.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=reason,
        action=action,
        source=SOURCE,
        counts_from=string.pump.uid,
        numbers={"set_depth_ft": string.set_ft, **numbers},
    )


# -- the one at the pump -------------------------------------------------------------------------


def _at_the_pump(string: _String, usual_psi: float) -> Iterator[Check]:
    hole, rise = string.hole, rise_ft(string.hole)
    stops_psi, stops_since = cut_out(hole)
    try:
        column = column_psi(string.set_ft + rise)
        known = worst_case_psi(string.set_ft, cut_out_psi=stops_psi or 0.0, rise_ft=rise)
    except ValueError:
        # No string is so long, and no switch stops so high: a slip of the pen.
        return
    bare = over(column, usual_psi) > 0
    if stops_psi is None and not bare:
        yield cannot_say(
            NAME,
            AT_THE_PUMP,
            string.subject,
            "cut-out of the switch",
            source=VALVE_SOURCE,
            limit=usual_psi,
            unit="psi",
        )
        return
    fails = over(known, usual_psi) > 0
    psi = shown(known, usual_psi)
    with_what = f"and {stops_psi:g} psi cut-out" if stops_psi else "alone"
    says = (
        f"the valve at the pump holds {psi} psi drawn down: {string.set_ft:g} ft of column{up_to_tank(rise)}"
        f" {with_what}; above {usual_psi:g} psi it is one rated for that"
    )
    hangs = said_since(hole, string.pump, "set_depth_ft")
    may, surely = hangs if bare else both(hangs, stops_since)
    finding = Finding(
        rule=NAME,
        subject="check valve at the pump",
        occurrence=occurrence(NAME, "pump", string.pump.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=says,
        action="at the next pull look at the valve's rating, and put one in that is rated for it",
        source=VALVE_SOURCE,
        counts_from=string.pump.uid,
        numbers={
            "set_depth_ft": string.set_ft,
            "rise_ft": rise,
            "valve_psi": float(psi),
            "usual_valve_psi": usual_psi,
            **({} if stops_psi is None else {"cut_out_psi": stops_psi}),
        },
    )
    yield Check(
        rule=NAME,
        aspect=AT_THE_PUMP,
        subject=string.subject,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=VALVE_SOURCE,
        value=known,
        limit=usual_psi,
        unit="psi",
        finding=finding if fails else None,
    )


RULE = Rule(
    name=NAME,
    title="check valves too far apart, or under more pressure than usual ones are made for",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "spacing_ft",
            200,
            "from one check valve of the string to the next",
            SOURCE,
            20,
            2000,
        ),
        Threshold(
            "usual_valve_psi",
            200,
            "more than this at the pump's valve asks for one rated for it",
            VALVE_SOURCE,
            20,
            2000,
        ),
    ),
    checks=checks,
)
