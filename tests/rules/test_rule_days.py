"""A list of what was due by a past day says no more than the hole shows as of that day.

The ledger judges the record as it is now and says since when it holds; `--on` judges the record as
it was. Whatever surely held on a day by the one must hold by the other, and what may have held too.
The records are made by replaying sheets, as a book makes them.
"""

from datetime import date, timedelta
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rule_holes import hole

from wellbook.errors import ReplayError
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.hole.replay import Recorded, replay
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.rules import (
    cable_wear,
    catalogue,
    check_valve_spacing,
    doubtful_record,
    falling_capacity,
    falling_level,
    insulation,
    lift_limit,
    motor_load,
    observed_stall,
    pipe_rating,
    pump_age,
    pump_depth,
    short_cycling,
    shut_off_pressure,
    string_fittings,
    suction_lift,
    unfinished,
    useless_depth,
    voltage_drop,
    water_figures,
    yield_protection,
)
from wellbook.rules.finding import Finding, Settings
from wellbook.terms import Kind, Reason, SheetKind

TODAY = date(2026, 11, 25)
FIRST = date(2000, 1, 1)
RULES = (
    pipe_rating,
    lift_limit,
    useless_depth,
    observed_stall,
    shut_off_pressure,
    pump_depth,
    string_fittings,
    suction_lift,
    cable_wear,
    pump_age,
    unfinished,
    doubtful_record,
    voltage_drop,
    insulation,
    motor_load,
    short_cycling,
    yield_protection,
    check_valve_spacing,
    falling_level,
    falling_capacity,
    water_figures,
)

DAYS = st.integers(0, 9800).map(lambda n: FIRST + timedelta(days=n))
FEET = st.sampled_from([200, 250, 300, 370, 450])
SPLICES = st.fixed_dictionaries({"what": st.just("splice"), "count": st.integers(0, 6)})
OTHER_REASONS = st.sampled_from(["check up", "water sample", "no water", "replacement"])


def parts(feet: int, **more: Any) -> dict[str, Any]:
    return {
        "pump": {"set_depth_ft": feet, "hp": 1, "rated_gpm": 10},
        "pipe": {"to_ft": feet, "rating_psi": 160},
        "cable": {"to_ft": feet, "awg": 12},
        **more,
    }


def drawn_down(feet: float) -> dict[str, Any]:
    """What a test of like rate and length measures."""
    return {
        "static_level_ft": 100,
        "pumping_level_ft": {"value": feet, "at_gpm": 5, "minutes": 120},
    }


WORK = st.one_of(
    FEET.map(lambda feet: {"set": parts(feet)}),
    FEET.map(lambda feet: {"back": parts(feet)}),
    FEET.map(lambda feet: {"set": {"pump": {"set_depth_ft": feet}}}),
    st.sampled_from([40, 50, 60]).map(lambda psi: {"set": {"switch": {"cut_out_psi": psi}}}),
    st.just({"set": {"seal": {"type": "pitless adapter", "material": "plastic"}}}),
    st.sampled_from([75, 150, 225]).map(lambda feet: {"set": {"check_valve": {"depth_ft": feet}}}),
    st.sampled_from([1, 2]).map(lambda hp: {"set": {"control": {"hp": hp}}}),
    st.sampled_from([1, 2]).map(lambda hp: {"down": {"pump": {"hp": hp}}}),
    st.just({"pulled": {"check_valve": {"why": "leaks"}}}),
    st.just({"left_without_pump": True, "pulled": {"pump": {"why": "worn"}}}),
    st.just({"left_without_pump": True}),
    st.just({"back": {"pipe": {}}}),
    st.sampled_from([40, 60]).map(lambda psi: {"measured": {"cut_out_psi": psi}}),
    SPLICES.map(lambda row: {"found": [row]}),
    st.sampled_from([195, 203, 299, 376]).map(lambda feet: {"measured": {"depth_ft": feet}}),
    st.sampled_from([150, 245, 310]).map(lambda feet: {"measured": {"pumping_level_ft": feet}}),
    st.sampled_from([200, 420]).map(lambda feet: {"measured": {"stall_level_ft": feet}}),
    st.sampled_from([5, 10]).map(lambda gpm: {"set": {"pump": {"hp": 0.75, "rated_gpm": gpm}}}),
    st.sampled_from([7, 10]).map(lambda gpm: {"down": {"pump": {"rated_gpm": gpm}}}),
    st.sampled_from([150, 245]).map(lambda feet: {"measured": drawn_down(feet)}),
    st.sampled_from([0.5, 3]).map(lambda gpm: {"measured": {"yield_gpm": gpm}}),
    st.just({}),
)
"""What is done at any visit, whatever it was for."""

MOTORS = st.sampled_from([{"service_factor_a": 9.8, "supply_v": 230, "phases": 1}, {"hp": 2}])
ON_THE_WIRES = st.one_of(
    MOTORS.map(lambda motor: {"set": {"motor": motor}}),
    st.sampled_from([10, 14]).map(lambda awg: {"set": {"cable": {"awg": awg}}}),
    st.sampled_from([10, 14]).map(lambda awg: {"down": {"cable": {"awg": awg}}}),
    st.sampled_from([{"pulled": {"motor": {"why": "shorted"}}}, {"set": {"booster": {"hp": 1}}}]),
    st.sampled_from(["drive", "control box"]).map(lambda t: {"set": {"control": {"type": t}}}),
    st.sampled_from([0.005, 0.1, 4, 50]).map(lambda m: {"measured": {"insulation_megohm": m}}),
    st.sampled_from([9, 12, 15]).map(lambda a: {"measured": {"running_a": a}}),
    st.sampled_from([200, 235, 260]).map(lambda v: {"measured": {"supply_v": v}}),
    st.sampled_from([4, 12]).map(lambda gpm: {"measured": {"flow_gpm": gpm}}),
    st.sampled_from([10, 28, 45]).map(lambda psi: {"measured": {"precharge_psi": psi}}),
    st.sampled_from([30, 40]).map(
        lambda psi: {
            "set": {
                "switch": {"cut_in_psi": psi, "cut_out_psi": psi + 20},
                "tank": {"type": "pressure", "volume_gal": 44, "precharge_psi": psi - 2},
            }
        }
    ),
)
"""What is done at the motor, its supply and the tank."""

SAMPLE = st.fixed_dictionaries(
    {"reason": st.just("water sample")},
    optional={
        "sample": st.fixed_dictionaries(
            {},
            optional={
                "nitrate_mg_l": st.sampled_from([3, "< 20", 12]),
                "nitrite_mg_l": st.sampled_from([0.5, 2]),
                "fluoride_mg_l": st.sampled_from([1, "< 3", 3, 5]),
                "methane_mg_l": st.sampled_from([1, 15, 30]),
                "ph": st.sampled_from([6, 7, 9]),
            },
        )
    },
)
"""What a laboratory found, at its figures' both sides."""

SEASON = st.sampled_from(
    [
        {"reason": "closing down", "left_without_pump": True},
        {"reason": "closing down", "pulled": {"pump": {"why": "winter"}, "pipe": {}}},
        {"reason": "opening up", "back": {"pump": {}, "pipe": {}}},
        {"reason": "opening up", "back": {"pump": {"set_depth_ft": 300}}},
        {"reason": "opening up"},
    ]
)
ON_THE_HOLE = st.builds(
    lambda reason, measured: {"reason": reason, "measured": measured},
    st.sampled_from(["hydrofracturing", "deepening", "cleaning out"]),
    st.sampled_from([{}, {"depth_ft": 302}, {"depth_ft": 460}, {"pumping_level_ft": 260}]),
)
TOLD = st.fixed_dictionaries(
    {},
    optional={
        "set_on": st.sampled_from(["5 years old", "about 2010", "before 2008", "new", "unknown"]),
        "hp": st.sampled_from([0.5, 1, 2]),
        "set_depth_ft": FEET,
    },
)
CALL = st.builds(
    lambda pump, more: {"down": {"pump": pump, **more}},
    TOLD,
    st.sampled_from([{}, {"cable": {"set_on": "about 2012"}}, {"pipe": {"set_on": "2001"}}]),
)
VISIT = st.one_of(
    st.builds(
        lambda reason, work: {"reason": reason, **work},
        OTHER_REASONS,
        st.one_of(WORK, ON_THE_WIRES),
    ),
    SEASON,
    SAMPLE,
    ON_THE_HOLE,
)


@st.composite
def records(draw: Any) -> Hole:
    """A well's record after some sheets; what does not fit its day or those before was refused."""
    begun = {"date": draw(DAYS), "reason": "new well", "set": parts(draw(FEET))}
    sheets = [(SheetKind.VISIT, begun)]
    for _ in range(draw(st.integers(0, 6))):
        day, kind = draw(DAYS), draw(st.sampled_from([SheetKind.VISIT] * 3 + [SheetKind.CALL]))
        if kind is SheetKind.CALL:
            sheets.append((kind, {"date": day, **draw(CALL)}))
            continue
        dated = {"start": day} if draw(st.integers(0, 4)) == 0 else {"date": day}
        sheets.append((kind, {**dated, **draw(VISIT)}))
    kept: list[Recorded] = []
    for n, (kind, data) in enumerate(sheets):
        try:
            read = read_sheet(data, today=TODAY, kind=kind)
            replay([*kept, Recorded(f"v{n}", "w", read, n)])
        except (ReplayError, SheetError):
            continue
        kept.append(Recorded(f"v{n}", "w", read, n))
    kept.sort(key=lambda one: one.place)
    story = replay(kept)
    return hole(
        entered_on=FIRST,
        components=story.components,
        observations=[row for _, row in story.observations],
        inspections=[row for _, row in story.inspections],
        samples=[row for _, row in story.samples],
        visits=[_visit(one) for one in kept],
    )


def _visit(one: Recorded) -> Visit:
    said = one.sheet
    flags = (said.left_without_pump, "", "", said.opened, said.disinfected)
    return Visit(one.root_uid, said.kind, said.start, said.end, said.reason, (), *flags)


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(well=records(), day=DAYS)
def test_what_was_due_by_a_day_is_there_as_of_that_day(well: Hole, day: date) -> None:
    then = [f for f in judged(well.on(day)) if f.holds(day)]
    for found in judged(well):
        if found.holds(day) and not away(well, day):
            assert found.occurrence in {f.occurrence for f in then}, (day, found)
        if found.surely_from is not None and found.surely_from <= day and found.until is None:
            # A graver one that only may have held then is another answer.
            alike = [f for f in then if f.occurrence == found.occurrence]
            alike = [f for f in alike if f.severity is found.severity]
            assert all(f.surely_from and f.surely_from <= day for f in alike), (day, found)


def away(well: Hole, day: date) -> bool:
    """Whether a part was out on a day for another reason than the season, and went back later.

    While it was away nothing was said of it; what is in store is judged as it will hang again.
    """
    closings = {v.uid for v in well.visits if v.reason is Reason.CLOSING_DOWN}
    gone = [a for c in well.components for a in c.absences if a.pulled_by not in closings]
    return any(a.out_on <= day < a.back_on for a in gone)


def judged(well: Hole) -> list[Finding]:
    """What the rules that judge a string say of a well."""
    names = {rule.NAME for rule in RULES}
    return [f for f in catalogue.judge(well, Settings()) if f.rule in names]


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow])
@given(well=records())
def test_an_open_job_ends_only_by_a_visit_that_could_have_ended_it(well: Hole) -> None:
    numbers = Settings().numbers(unfinished.RULE)
    found = {(f.subject, f.counts_from) for f in unfinished.judge(well, numbers)}
    pumps = [c for c in well.components if c.kind is Kind.PUMP]
    told = {c.set_by for c in pumps} | {said.sheet_uid for c in pumps for said in c.claims}
    told |= {away.back_by for c in pumps for away in c.absences}
    visits = well.visited()
    for n, job in enumerate(visits):
        later = visits[n + 1 :]
        if job.end is None and ("job", job.uid) not in found:
            assert any(v.end and (v.reason is job.reason or v.uid in told) for v in later)
        last = job.left_without_pump and not any(v.left_without_pump for v in later)
        # A place that is closed for the season is left without its pump on purpose.
        last = last and job.reason is not Reason.CLOSING_DOWN
        if last and ("pump", job.uid) not in found:
            # A caller, too, may tell of another pump that hangs there since.
            assert told & {v.uid for v in well.visits[well.visits.index(job) + 1 :]}
