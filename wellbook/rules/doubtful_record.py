"""Records that cannot all be true, or hardly: kept as they are, and asked about.

A slip of the pen on an old log sends the wrong pipe out on the truck. Nothing is thrown away for
being doubtful, since nobody knows which of two numbers is wrong until somebody looks. So it is with two
parts that do not go together: a control box of 1 hp beside a pump of 2 hp was left on the wall when
the pump was changed, or was changed and never written down.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.hole.records import Observation
from wellbook.rules.doubt import NAME, doubt
from wellbook.rules.doubtful_parts import doubtful_parts
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import COMMON_PRACTICE, Finding, Numbers, Rule, Threshold
from wellbook.rules.spans import both, hangs_since, read_since
from wellbook.rules.string_facts import below_pipe
from wellbook.terms import Construction, LevelState, Quantity

FILE_SOURCE = (
    "traps flagged in Michigan's state file of well records: static level deeper than the well,"
    " depth under 25 ft or over 1000 ft"
)

_SHALLOW_BY_NATURE = frozenset({Construction.DUG, Construction.DRIVEN})


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """One finding for each doubt, each with its own subject."""
    yield from _depth(hole, numbers)
    yield from _levels_below_bottom(hole)
    yield from _pump_below_bottom(hole)
    yield from _pump_below_pipe(hole)
    yield from _intervals(hole)
    yield from _static_at_the_pump(hole, numbers)
    yield from _static_below_pumping(hole)
    yield from doubtful_parts(hole)


# -- depths and levels ---------------------------------------------------------------------------


def _depth(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    fact, depth = hole.fact(Quantity.DEPTH_FT), hole.depth_ft()
    if fact is None or depth is None:
        return
    shallow, deep = numbers["shallow_ft"], numbers["deep_ft"]
    if over(depth, shallow) < 0 and hole.construction not in _SHALLOW_BY_NATURE:
        limit, what = shallow, f"under {shallow:g} ft and neither dug nor driven"
    elif over(depth, deep) > 0:
        limit, what = deep, f"over {deep:g} ft"
    else:
        return
    yield doubt(
        "depth",
        fact.record,
        read_since(hole, fact.record),
        f"a depth of {figure(depth)} ft is doubtful: {what}",
        "ask how deep the well is, dug or driven or drilled, in feet or metres; sound it",
        depth_ft=depth,
        limit_ft=limit,
        source=FILE_SOURCE,
    )


def _levels_below_bottom(hole: Hole) -> Iterator[Finding]:
    depth = hole.depth_ft()
    if depth is None:
        return
    for o in hole.valid_observations(Quantity.WATER_LEVEL_FT):
        level = _below_ground(hole, o)
        if level is not None and over(level, depth) > 0:
            yield doubt(
                "level below the bottom",
                o.uid,
                read_since(hole, o.uid),
                f"water level of {figure(level)} ft ({o.when}) is below the bottom at"
                f" {figure(depth)} ft",
                "measure the level and sound the bottom, both from the same point",
                level_ft=level,
                depth_ft=depth,
                source=FILE_SOURCE,
            )


def _pump_below_bottom(hole: Hole) -> Iterator[Finding]:
    depth, found = hole.depth_ft(), hole.the(Pump)
    if depth is None or found is None or found[1].set_depth_ft is None:
        return
    component, set_ft = found[0], found[1].set_depth_ft
    if over(set_ft, depth) > 0:
        yield doubt(
            "pump below the bottom",
            component.uid,
            hangs_since(hole, component, "set_depth_ft", Quantity.DEPTH_FT),
            f"pump set at {figure(set_ft)} ft is below the bottom at {figure(depth)} ft",
            "ask for the log; count the pipe and sound the bottom when the string is up",
            set_depth_ft=set_ft,
            depth_ft=depth,
        )


def _pump_below_pipe(hole: Hole) -> Iterator[Finding]:
    found = below_pipe(hole)
    if found is None:
        return
    below_ft = round(found.set_ft - found.end_ft, 3)
    yield doubt(
        "pump below its pipe",
        found.pump.uid,
        found.since(hole),
        f"pump set at {found.set_ft:g} ft hangs {below_ft:g} ft below the end of its pipe on"
        f" record, {found.end_ft:g} ft",
        f"ask on what pipe the pump hangs below {found.end_ft:g} ft, and its rating; count it when the"
        " string is up",
        set_depth_ft=found.set_ft,
        pipe_end_ft=found.end_ft,
        below_pipe_ft=below_ft,
    )


def _intervals(hole: Hole) -> Iterator[Finding]:
    for i in hole.intervals:
        if i.from_ft is not None and i.to_ft is not None and i.from_ft > i.to_ft:
            yield doubt(
                i.kind.label,
                i.uid,
                read_since(hole, i.uid),
                f"{i.kind.label} from {i.from_ft:g} ft to {i.to_ft:g} ft runs upward",
                "look at the log: the two depths may have changed places",
                from_ft=i.from_ft,
                to_ft=i.to_ft,
            )


def _static_at_the_pump(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    fact, found = hole.level(LevelState.STATIC), hole.the(Pump)
    # In a dug or driven well a few feet of water over the pump are all there is.
    if fact is None or fact.value is None or hole.construction in _SHALLOW_BY_NATURE:
        return
    if found is None or found[1].set_depth_ft is None:
        return
    component, set_ft = found[0], found[1].set_depth_ft
    level = hole.below_ground(fact)
    above = over(set_ft, level)
    if not 0 <= above <= numbers["near_pump_ft"]:
        # Of a pump that hangs above the water `pump-depth` asks.
        return
    yield doubt(
        "static level at the pump",
        fact.record,
        both(
            read_since(hole, fact.record),
            hangs_since(hole, component, "set_depth_ft", Quantity.WATER_LEVEL_FT),
        ),
        f"static level of {level:g} ft ({fact.as_of}) is {above:g} ft above the pump at {set_ft:g} ft",
        "measure the level with the pump at rest; ask whether it had been running",
        static_level_ft=level,
        set_depth_ft=set_ft,
        above_pump_ft=above,
        near_pump_ft=numbers["near_pump_ft"],
    )


def _static_below_pumping(hole: Hole) -> Iterator[Finding]:
    levels = hole.valid_observations(Quantity.WATER_LEVEL_FT)
    for static in levels:
        if static.state is not LevelState.STATIC:
            continue
        at_rest = _below_ground(hole, static)
        drawn = [
            level
            for o in levels
            if o.state is LevelState.PUMPING
            and _same_day(o, static)
            and (level := _below_ground(hole, o)) is not None
        ]
        # Of several steps of a test the deepest is the one that a level at rest must lie above.
        if at_rest is None or not drawn or over(at_rest, max(drawn)) <= 0:
            continue
        yield doubt(
            "static below pumping level",
            static.uid,
            read_since(hole, static.uid),
            f"static level of {figure(at_rest)} ft ({static.when}) is below that day's pumping level of"
            f" {figure(max(drawn))} ft",
            "the two may have changed places: look at the sheet, and measure again",
            static_level_ft=at_rest,
            pumping_level_ft=max(drawn),
        )


def _below_ground(hole: Hole, o: Observation) -> float | None:
    return None if o.value is None else hole.below_ground(o.fact())


def _same_day(one: Observation, two: Observation) -> bool:
    if one.when.exact and two.when.exact:
        return one.when.earliest == two.when.earliest
    return one.sheet_uid is not None and one.sheet_uid == two.sheet_uid


RULE = Rule(
    name=NAME,
    title="impossible or doubtful record",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "near_pump_ft",
            10,
            "a static level as near to the pump as this, or below it, is doubtful",
            COMMON_PRACTICE,
            0,
            200,
        ),
        Threshold(
            "shallow_ft",
            25,
            "a depth under this, unless dug or driven, is doubtful",
            FILE_SOURCE,
            0,
            500,
        ),
        Threshold("deep_ft", 1000, "a depth over this is doubtful", FILE_SOURCE, 100, 10_000),
    ),
    finds=judge,
    in_order=(("shallow_ft", "deep_ft"),),
)
