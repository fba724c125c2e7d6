"""Rows of the table of formulas: friction, head, lift and operating point."""

from formula import Formula

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.friction import (
    FITTING_K,
    FlowRun,
    fitting_loss_ft,
    friction_ft_per_100ft,
    friction_loss_ft,
    roughness_c,
    velocity_fps,
)
from wellbook.engineering.head import (
    brake_hp,
    psi_as_head_ft,
    total_head_ft,
    water_hp,
)
from wellbook.engineering.lift import (
    PumpCurves,
    estimated_curves,
    pump_efficiency,
    pump_lift,
    useless_depth_ft,
    usual_service_factor,
)
from wellbook.engineering.operating import OperatingPoint, System, operating_point

_FRICTION, _HEAD, _LIFT = "Friction", "Head and power", "Pump lift and operating point"
_ILLINOIS = "Ill. Admin. Code tit. 77 pt. 906 App. A Exh. I"
_EPANET = "EPANET 2.2 (US EPA), by way of wntr"
_MACHINERY = "Machinery's Handbook, 31st ed. (2020)"
_PRACTICE = "common practice, no published source"
# Published tables of friction differ among themselves, and print two places.
_TABLES = "tables in print differ by as much"
_MEMORY = "from memory"
_PROGRAM, _OWN = "another program", "own answer"


def _operating_gpm() -> float:
    # The curve goes through 20 gpm at the head that EPANET finds for this system at 20 gpm.
    system = System(100, 12, 50, (FlowRun(150, 1.610, 150), FlowRun(80, 1.380, 150)))
    found = operating_point(HeadCurve(((0, 320), (20, 235.37), (25, 180))), system)
    assert isinstance(found, OperatingPoint)
    return found.gpm


def _between(hp: float, rated_gpm: float) -> float:
    found = pump_lift(estimated_curves(hp, rated_gpm), rated_gpm=rated_gpm, cut_out_psi=50)
    assert found.reaches_cut_out_ft is not None
    assert found.stalls_ft is not None
    return (found.reaches_cut_out_ft.middle + found.stalls_ft.middle) / 2


def _reaches(curve: HeadCurve, psi: float) -> float:
    found = pump_lift(PumpCurves.known(curve), cut_out_psi=psi).reaches_cut_out_ft
    assert found is not None
    return found.low


def _useless() -> float:
    found = pump_lift(PumpCurves.known(HeadCurve(((0, 320), (10, 200))))).stalls_ft
    assert found is not None
    return useless_depth_ft(350, found).low


FRICTION = [
    Formula(
        _FRICTION,
        "friction, C = 150",
        "10.44 L Q^1.852 / (C^1.852 d^4.8655)",
        _ILLINOIS,
        "1 in (1.049), 5 gpm",
        *(1.52, "ft/100 ft", 0.03, lambda: friction_ft_per_100ft(5, 1.049, 150)),
    ),
    Formula(
        _FRICTION,
        "friction, C = 145",
        "the same",
        "engineeringtoolbox.com d_404",
        "1 in, 20 gpm",
        *(21.2, "ft/100 ft", 0.03, lambda: friction_ft_per_100ft(20, 1.049, 145)),
        allowed=_TABLES,
    ),
    Formula(
        _FRICTION,
        "friction, C = 140 (the default for plastic)",
        "the same",
        "a pipe chart of polyethylene; it does not state its C, 140 is fitted to it",
        "1-1/4 in (1.380), 10 gpm",
        *(1.66, "ft/100 ft", 0.03, lambda: friction_ft_per_100ft(10, 1.380, 140)),
        allowed=_TABLES,
    ),
    Formula(
        _FRICTION,
        "friction, C = 100 (old iron)",
        "the same",
        "a pump manual's 15-year-old iron; it does not state its C, 100 is fitted to it",
        "1-1/4 in, 10 gpm",
        *(3.05, "ft/100 ft", 0.03, lambda: friction_ft_per_100ft(10, 1.380, 100)),
        allowed=_TABLES,
    ),
    Formula(
        _FRICTION,
        "friction against a network program",
        "the same",
        _EPANET,
        "1-1/4 in, C = 140, 20 gpm",
        *(5.931, "ft/100 ft", 0.003, lambda: friction_ft_per_100ft(20, 1.380, 140), _PROGRAM),
        allowed="its constants are rounded otherwise",
    ),
    Formula(
        _FRICTION,
        "friction against Darcy-Weisbach",
        "the same, C = 140",
        "fluids: smooth plastic (5e-6 ft), water of 10 C",
        "1 in, 10 gpm",
        *(6.16, "ft/100 ft", 0.1, lambda: friction_ft_per_100ft(10, 1.049, 140), _PROGRAM),
        allowed="another law, of which C = 140 stays that near from 5 to 20 gpm",
    ),
    Formula(
        _FRICTION,
        "C by material and age, plastic",
        "table lookup, the lower of a range",
        "EPANET 2.2 Users Manual, ch. 3: 140 to 150",
        "polyethylene of any age",
        *(140, "", 0, lambda: roughness_c("pe3408", 30)),
    ),
    Formula(
        _FRICTION,
        "C by material and age, galvanized",
        "table lookup; old iron from 15 years on",
        "EPANET 2.2 Users Manual, ch. 3",
        "galvanized steel of 2 years",
        *(120, "", 0, lambda: roughness_c("galvanized_steel", 2)),
    ),
    Formula(
        _FRICTION,
        "C by material and age, old iron",
        "table lookup; the same where age or material is not known",
        "fitted to a pump manual's 15-year-old iron, which states no C",
        "galvanized steel of 15 years",
        *(100, "", 0, lambda: roughness_c("galvanized_steel", 15), _OWN),
    ),
    Formula(
        _FRICTION,
        "speed of the water",
        "0.4085 Q / d^2",
        "geometry",
        "1 in, 10 gpm",
        *(3.712, "ft/s", 0.001, lambda: velocity_fps(10, 1.049), _OWN),
    ),
    Formula(
        _FRICTION,
        "fittings",
        "K v^2 / 2g",
        "K = 2.5: EPANET 2.2 Users Manual, ch. 3",
        "swing check in 1 in pipe, 10 gpm",
        *(0.535, "ft", 0.001, lambda: fitting_loss_ft(FITTING_K["check_valve"], 10, 1.049), _OWN),
    ),
]

HEAD = [
    Formula(
        _HEAD,
        "pressure as head",
        "2.31 p",
        "NDSU Extension AE1057 (rev. Feb 2022)",
        "1 psi",
        *(2.31, "ft", 0, lambda: psi_as_head_ft(1)),
    ),
    Formula(
        _HEAD,
        "total dynamic head",
        "pumping level + rise + 2.31 psi + friction",
        "a textbook's example 9.21 (holooly.com)",
        "150 ft, 10 ft rise, 251.5 ft of pipe and fittings at 4.2 ft/100",
        *(170.5, "ft", 0.001, lambda: total_head_ft(150, rise_ft=10, friction_ft=251.5 * 0.042)),
        allowed="10.56 ft are rounded to 10.5 there",
    ),
    Formula(
        _HEAD,
        "total dynamic head with its pipe",
        "the same",
        _EPANET,
        "320 ft, 5 ft rise, 60 psi, 12 gpm, 380 ft of 1-1/4 in, C = 120",
        *(475.2, "ft", 0.001),
        lambda: total_head_ft(
            320,
            rise_ft=5,
            cut_out_psi=60,
            friction_ft=friction_loss_ft([FlowRun(380, 1.380, 120)], 12),
        ),
        _PROGRAM,
    ),
    Formula(
        _HEAD,
        "water horsepower",
        "Q H / 3960",
        "NMSU Guide M-227; engineeringtoolbox.com d_753",
        "50 gpm, 100 ft",
        *(1.26, "hp", 0.004, lambda: water_hp(50, 100)),
    ),
    Formula(
        _HEAD,
        "brake horsepower",
        "Q H / (3960 efficiency)",
        "inputs of a published example, answer worked out",
        "500 gpm, 120 ft, 72 %",
        *(21.04, "hp", 0.001, lambda: brake_hp(500, 120, 0.72), _OWN),
    ),
]

LIFT = [
    Formula(
        _LIFT,
        "reaches the cut-out, from a curve",
        "head at no flow - 2.31 cut-out - rise",
        "total head solved for the level",
        "330 ft at no flow, 50 psi",
        *(214.5, "ft", 0.001, lambda: _reaches(HeadCurve(((0, 330), (10, 230))), 50), _OWN),
    ),
    # Where a fact of the trade must lie: half the way from one of the two depths to the other is
    # how far it may be off.
    Formula(
        _LIFT,
        "lifts from, estimated: half way between reaches the cut-out and stalls",
        "1.4 x 3960 hp SF efficiency / Q - 2.31 cut-out / 2",
        _PRACTICE,
        "3/4 hp rated 10 gpm, 50 psi",
        *(280, "ft", 115.5 / 2 / 280, lambda: _between(0.75, 10), "common practice"),
        allowed="between the two depths",
    ),
    Formula(
        _LIFT,
        "lifts from, estimated: half way between reaches the cut-out and stalls",
        "the same",
        f"{_PRACTICE}: 415 to 420 ft; the efficiency at 5 gpm is fitted to it",
        "3/4 hp rated 5 gpm, 50 psi",
        *(417.5, "ft", 115.5 / 2 / 417.5, lambda: _between(0.75, 5), "common practice"),
        allowed="between the two depths",
    ),
    Formula(
        _LIFT,
        "efficiency of the pump alone",
        "table lookup by rated flow, 0.05 either way",
        "small submersible pumps, 0.45 to 0.65; seen on no page",
        "10 gpm, the middle",
        *(0.55, "", 0, lambda: pump_efficiency(10).middle, _MEMORY),
    ),
    Formula(
        _LIFT,
        "efficiency of the pump alone, small flows",
        "the same; below 10 gpm brought down",
        f"fitted to a fact of the trade ({_PRACTICE}): 3/4 hp rated 5 gpm lifts 415 to 420 ft",
        "5 gpm, the middle",
        *(0.4, "", 0, lambda: pump_efficiency(5).middle, _OWN),
    ),
    Formula(
        _LIFT,
        "usual service factor",
        "table lookup by horsepower; the nameplate goes before",
        "makers' tables of 4 in submersible motors, seen on no page",
        "3/4 hp",
        *(1.5, "", 0, lambda: usual_service_factor(0.75), _MEMORY),
    ),
    Formula(
        _LIFT,
        "useless depth",
        "setting - where it stalls",
        "subtraction",
        "set at 350 ft, stalls at 320 ft",
        *(30, "ft", 0, _useless, _OWN),
    ),
    Formula(
        _LIFT,
        "operating point",
        "curve(Q) = level + Q / SC + rise + 2.31 psi + friction(Q), by bisection",
        f"{_EPANET}; tests hold eight networks against it",
        "100 ft, 12 ft rise, 50 psi, two pipes; a curve through 235.4 ft at 20 gpm",
        *(20, "gpm", 0.002, _operating_gpm, _PROGRAM),
    ),
]

FORMULAS: list[Formula] = [*FRICTION, *HEAD, *LIFT]
