"""Invented wells for the tests of what is shown. Nobody and nothing here is real."""

from __future__ import annotations

from datetime import date

from wellbook.dates import When
from wellbook.engineering.analytes import Result
from wellbook.hole.component import Claim, Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import (
    Cable,
    Cap,
    CheckValve,
    Control,
    Motor,
    Part,
    Pipe,
    Pump,
    Seal,
    Switch,
    Tank,
    TorqueArrestor,
)
from wellbook.hole.records import (
    Contact,
    Found,
    Inspection,
    Interval,
    Observation,
    Occupant,
    OtherSite,
    Sample,
    Site,
    System,
    Visit,
)
from wellbook.rules.finding import Finding
from wellbook.terms import (
    Bacteria,
    Basis,
    Cause,
    Construction,
    ContactWay,
    ControlType,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Occasion,
    Permission,
    PumpType,
    Quantity,
    Reason,
    Role,
    SealType,
    Severity,
    SheetKind,
    TankType,
    WellStatus,
)

TODAY = date(2026, 11, 25)
SET = date(2019, 6, 3)
CHECKED = date(2026, 5, 14)
FOUND = {"nitrate_mg_l": Result(2.1)}
M, LOG, TOLD = Basis.MEASURED, Basis.DRILLERS_LOG, Basis.CUSTOMER_TOLD


OTHER = OtherSite(
    "20 Heron Ledge Rd",
    (
        Occupant("c8", "Gone Before", When.unknown(), When.on(date(2020, 1, 1)), ()),
        Occupant(
            "c9",
            "Tove Quarrell",
            When.on(date(2020, 1, 1)),
            None,
            (Contact(ContactWay.PHONE, "+12075550177", Permission.UNKNOWN),),
        ),
    ),
)


def said(text: str) -> When:
    """A date as a user writes it."""
    return When.parse(text, said_on=TODAY)


def component(
    uid: str, part: Part, *, set_on: When | None = None, basis: Basis = M, **more: object
) -> Component:
    """A part, set at the visit of 2019 unless said otherwise."""
    values: dict[str, object] = {"noted_on": SET, "set_by": "v1", "well_uid": "w", **more}
    return Component(uid, part, set_on or When.on(SET), basis, **values)  # type: ignore[arg-type]


def seen(
    uid: str, quantity: Quantity, value: float | None, on: date, basis: Basis = M, **more: object
) -> Observation:
    """A reading."""
    return Observation(uid, quantity, value, When.on(on), basis, **more)  # type: ignore[arg-type]


def visit(uid: str, on: date, reason: Reason, **more: object) -> Visit:
    """A sheet."""
    values: dict[str, object] = {
        "kind": SheetKind.VISIT,
        "end": on,
        "crew": ("Ida", "Ben"),
        "left_without_pump": False,
        "left_for_next_time": "",
        "notes": "",
        "opened": False,
        "disinfected": False,
        **more,
    }
    return Visit(uid=uid, start=on, reason=reason, **values)  # type: ignore[arg-type]


def thin(**more: object) -> Hole:
    """A well of which nothing is known but that it is there."""
    values: dict[str, object] = {
        "uid": "w",
        "tag": "TH-0001",
        "permit_no": "",
        "role": Role.OURS,
        "use": "",
        "status": WellStatus.IN_USE,
        "construction": Construction.UNKNOWN,
        "flowing": None,
        "driller": "",
        "drilled_on": When.unknown(),
        "stick_up_ft": None,
        "frost_depth_ft": None,
        "entered_on": date(2026, 1, 5),
        "day": TODAY,
        **more,
    }
    return Hole(**values)  # type: ignore[arg-type]


def level(uid: str, feet: float | None, on: date, state: LevelState | None, **more: object):
    """A water level."""
    return seen(uid, Quantity.WATER_LEVEL_FT, feet, on, state=state, **more)


def rich() -> Hole:
    """A drilled well with nearly all on record, a told level since, and a pull behind it."""
    old_pump = component(
        "p0",
        Pump(type=PumpType.SUBMERSIBLE, hp=0.75, set_depth_ft=240),
        set_on=said("about 2006"),
        basis=Basis.PAPER_RECORD,
        noted_on=date(2012, 3, 1),
        set_by="v0",
        pulled_on=When.on(SET),
        pulled_by="v1",
        why_pulled="windings shorted",
        cause=Cause.LIGHTNING,
    )
    pump = Pump(
        type=PumpType.SUBMERSIBLE,
        maker="Norrland",
        model="N10",
        hp=1,
        rated_gpm=10,
        model_year=said("2018 model"),
        serial="77-1902",
        warranty_until=When.on(date(2024, 6, 3)),
        set_depth_ft=260,
    )
    return thin(
        tag="LV-0212",
        permit_no="004417",
        use="house of five, irrigates",
        construction=Construction.DRILLED,
        driller="Quarry & Sons",
        drilled_on=said("2004-05"),
        stick_up_ft=1.5,
        site=Site(
            "s",
            "18 Heron Ledge Rd",
            "Tamsin Flats",
            "ME",
            "04990",
            44.1,
            -69.2,
            "gate 5150#; dog [loose]",
            "behind the shed, east side",
            "",
        ),
        system=System("sy", "house", 12.0, ("LV-0213",), (OTHER,)),
        occupants=(
            Occupant("c0", "Old Owner", said("1999"), said("2015"), ()),
            Occupant(
                "c",
                "Wren Adebayo",
                said("2015"),
                None,
                (
                    Contact(ContactWay.PHONE, "+12075550190", Permission.YES),
                    Contact(ContactWay.EMAIL, "wren@example.org", Permission.NO),
                ),
                "rings after six",
            ),
        ),
        intervals=(
            Interval("i1", IntervalKind.CASING, 0, 64, 6, "steel", LOG, When.on(date(2004, 5, 20))),
            Interval("i2", IntervalKind.OPEN_HOLE, 64, 310, 6, "", LOG, When.on(date(2004, 5, 20))),
        ),
        observations=(
            seen("o1", Quantity.DEPTH_FT, 310, date(2004, 5, 20), LOG, point=MeasuringPoint.GROUND),
            level(
                "o2",
                141,
                CHECKED,
                LevelState.STATIC,
                point=MeasuringPoint.CASING_TOP,
                method="sounder",
            ),
            level(
                "o3",
                228,
                CHECKED,
                LevelState.PUMPING,
                point=MeasuringPoint.CASING_TOP,
                at_gpm=8.0,
                minutes=60.0,
            ),
            seen("o4", Quantity.YIELD_GPM, 8, CHECKED),
            level("o5", 150, date(2026, 11, 20), LevelState.STATIC, basis=TOLD),
            seen("o6", Quantity.INSULATION_MEGOHM, 48, SET),
            seen("o7", Quantity.INSULATION_MEGOHM, 1.1, CHECKED),
            seen("o8", Quantity.RUNNING_A, 8.4, CHECKED),
            seen("o9", Quantity.SUPPLY_V, 238, SET),
            seen("o10", Quantity.PRESSURE_LOSS_PSI, 6, CHECKED),
            seen("o11", Quantity.PEOPLE, 5, date(2026, 11, 20), TOLD),
        ),
        components=(
            old_pump,
            component("cap", Cap(type="sanitary", material="aluminium", vented=True)),
            component(
                "seal", Seal(type=SealType.PITLESS_ADAPTER, material="brass", depth_ft=5), basis=LOG
            ),
            component(
                "pipe2",
                Pipe("pvc", "1-1/4", "sch 80", None, 180, 260, 20),
            ),
            component(
                "pipe1",
                Pipe("galvanized_steel", "1-1/4", "sch 40", None, 0, 180, 20),
            ),
            component("valve", CheckValve("brass", 180)),
            component(
                "cable",
                Cable(12, 3, True, "flat", 0, 280, said("2018")),
            ),
            component("arrestor", TorqueArrestor(255)),
            component(
                "pump",
                pump,
                claims=(Claim("rated_gpm", 10.0, Basis.NAMEPLATE, SET, True, "v1"),),
            ),
            component("motor", Motor(hp=1, supply_v=230, phases=1, wires=3)),
            component("control", Control(ControlType.CONTROL_BOX, low_water_protection=False)),
            component("tank", Tank(TankType.PRESSURE, 44, 38, said("2011"))),
            component("switch", Switch(40, 60)),
        ),
        inspections=(Inspection("in", "cable", SET, 1, 0, 0, "v1"),),
        found=(
            Found("f", SET, FoundKind.SPLICE, Kind.CABLE, 120, 1, None, "taped, [sound]", "v1"),
        ),
        samples=(
            Sample("sa", When.on(CHECKED), Bacteria.ABSENT, "Tidewater", "", None, results=FOUND),
        ),
        visits=(
            visit("v0", date(2012, 3, 1), Reason.OTHER, kind=SheetKind.OPENING, crew=()),
            visit("v1", SET, Reason.REPLACEMENT, opened=True, disinfected=True, number=2),
            visit("v2", CHECKED, Reason.CHECK_UP, left_for_next_time="new tank", number=3),
            visit(
                "c1",
                date(2026, 11, 20),
                Reason.NO_WATER,
                kind=SheetKind.CALL,
                crew=(),
                caller="Wren",
                caller_phone="+12075550190",
                symptom="no water since breakfast, breaker holds",
                promised="somebody by noon",
                number=4,
            ),
        ),
    )


def dug() -> Hole:
    """A dug well with a hand pump."""
    return thin(
        tag="DG-0003",
        construction=Construction.DUG,
        observations=(
            seen("o1", Quantity.DEPTH_FT, 22, CHECKED, point=MeasuringPoint.GROUND),
            level("o2", 9, CHECKED, LevelState.STATIC, point=MeasuringPoint.GROUND),
        ),
        intervals=(Interval("i", IntervalKind.CASING, 0, 22, 48, "stone", TOLD, When.on(CHECKED)),),
        components=(
            component("pump", Pump(type=PumpType.HAND, set_depth_ft=18), set_on=When.unknown()),
        ),
    )


def flowing(value: float | None = -3.5) -> Hole:
    """A well that flows by itself."""
    return thin(
        tag="FL-0004",
        flowing=True,
        stick_up_ft=1,
        construction=Construction.DRILLED,
        observations=(
            seen("o1", Quantity.DEPTH_FT, 190, CHECKED, LOG),
            level("o2", value, CHECKED, LevelState.FLOWING, point=MeasuringPoint.GROUND),
        ),
    )


def finding(severity: Severity, n: int = 0, **more: object) -> Finding:
    """One finding."""
    values: dict[str, object] = {
        "rule": f"rule-{severity.value}",
        "subject": "cable",
        "occurrence": f"rule:cable:{severity.value}{n}",
        "may_from": date(2021, 6, 3),
        "surely_from": date(2026, 6, 3),
        "severity": severity,
        "occasion": Occasion.NEXT_PULL,
        "reason": f"reason of {severity.value} {n}, with so many words that it has to run over to"
        " a second line, which hangs under the first",
        "action": "load a new cable",
        "source": "common practice",
        **more,
    }
    return Finding(**values)  # type: ignore[arg-type]
