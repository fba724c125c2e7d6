"""Rows of the table of formulas: pressure, ratings, pipe and the weight on the hook."""

from formula import Formula

from wellbook.engineering.pipe import (
    inside_diameter_in,
    pe_lb_per_ft,
    pvc_lb_per_ft,
    steel_lb_per_ft,
)
from wellbook.engineering.pressure import (
    PSI_PER_FT,
    bare_limit_ft,
    column_psi,
    drawn_down_limit_ft,
    floor_ft,
    worst_case_psi,
)
from wellbook.engineering.ratings import (
    controlled_inside_rating_psi,
    controlled_outside_rating_psi,
    marketed_class_psi,
    pvc_rating_psi,
    rating_from_dimensions,
    threaded_rating_psi,
)
from wellbook.engineering.strength import (
    derated_rating_psi,
    pipe_safe_pull_lb,
    temperature_factor,
)
from wellbook.engineering.weight import (
    PipeRun,
    cable_lb_per_ft,
    copper_lb_per_ft,
    heaviest_run,
    pump_and_motor_lb,
    string_weight,
    water_lb_per_ft,
)

_PRESSURE = "Pressure of the column"
_RATING = "Ratings of drop pipe"
_PIPE = "Pipe: dimensions and weight"
_HOOK = "Weight on the hook"

_EXTENSION = "NDSU Extension AE1057, rev. Feb 2022"
_HANDBOOK = "ASTM D1785; Machinery's Handbook, 31st ed., p. 2770, table 13"
_PE_CLASSES = "ASTM D2239; a table of PE4710 classes"
_PE_TABLE = "ASTM D3035; a table of PE4710 pipe"
_ILLINOIS = "ASME B36.10; Ill. Admin. Code tit. 35 pt. 604 Table A"
_IRON = "ASME B36.10, as an open library of pipe tables gives it"
_GEOMETRY = "geometry; reckoned by hand"
_COPPER = "published table of bare stranded copper, 32.06 lb per 1000 ft"


def _known(value: float | None) -> float:
    assert value is not None
    return value


def _worked_string() -> float:
    run = PipeRun(400, pe_lb_per_ft(1.380 * 9 / 7, 1.380 / 7), 1.380)
    copper = _known(copper_lb_per_ft(10, 4))
    load = string_weight([run], pump_motor_lb=60, cable_ft=400, cable_lb_per_ft=copper)
    return load.hook_lb


def _pull() -> float:
    return _known(pipe_safe_pull_lb("pe4710", "SIDR 7", "1-1/4"))


def _steel_80() -> float:
    run = heaviest_run(1, material="galvanized_steel", wall=None, nominal_in="1-1/4")
    assert run is not None
    return run.pipe_lb_per_ft


FORMULAS: list[Formula] = [
    Formula(
        _PRESSURE,
        "feet of water to one psi",
        "1 / 0.4335",
        _EXTENSION,
        "fresh water near 40 F",
        2.31,
        "ft/psi",
        0.003,
        lambda: 1 / PSI_PER_FT,
    ),
    Formula(
        _PRESSURE,
        "column of water",
        "p = 0.4335 h",
        "hydrostatics; 62.42 lb/ft3 over 144 in2",
        "100 ft",
        43.35,
        "psi",
        0.0005,
        lambda: column_psi(100),
        "own answer",
    ),
    Formula(
        _PRESSURE,
        "worst case, drawn down to the pump",
        "p = 0.4335 (setting + rise) + cut-out",
        "hydrostatics; 62.42 lb/ft3 over 144 in2",
        "set at 330 ft, cut-out 50 psi",
        193.05,
        "psi",
        0.0001,
        lambda: worst_case_psi(330, cut_out_psi=50),
        "own answer",
    ),
    Formula(
        _PRESSURE,
        "how deep a pipe may hang, bare column",
        "h = rating / 0.4335 - rise, rounded down",
        "hydrostatics; reckoned by hand",
        "160 psi pipe",
        369,
        "ft",
        0.0,
        lambda: floor_ft(bare_limit_ft(160)),
        "own answer",
    ),
    Formula(
        _PRESSURE,
        "how deep a pipe may hang, drawn down",
        "h = (rating - cut-out) / 0.4335 - rise, rounded down",
        "hydrostatics; reckoned by hand",
        "160 psi pipe, cut-out 50 psi",
        253,
        "ft",
        0.0,
        lambda: floor_ft(drawn_down_limit_ft(160, cut_out_psi=50)),
        "own answer",
    ),
    Formula(
        _RATING,
        "polyethylene, inside held",
        "PR = 2 HDS / (SIDR + 1)",
        _PE_CLASSES,
        "PE4710 (1000 psi), SIDR 11.5",
        160,
        "psi",
        0.004,
        lambda: controlled_inside_rating_psi(11.5, 1000),
    ),
    Formula(
        _RATING,
        "the same wall in another material",
        "PR = 2 HDS / (SIDR + 1)",
        "ASTM D2239; SIDR 9 is sold as 160 psi pipe in PE3408",
        "PE3408 (800 psi), SIDR 9",
        160,
        "psi",
        0.004,
        lambda: _known(rating_from_dimensions("pe3408", "SIDR 9", None)),
    ),
    Formula(
        _RATING,
        "polyethylene, outside held",
        "PR = 2 HDS / (DR - 1)",
        _PE_TABLE,
        "PE4710 (1000 psi), DR 7",
        333,
        "psi",
        0.002,
        lambda: controlled_outside_rating_psi(7, 1000),
    ),
    Formula(
        _RATING,
        "class that it is sold as",
        "the highest of 80, 100, 125, 160, 200, 250 psi that it covers",
        "common practice, no published source",
        "a rating of 128 psi",
        125,
        "psi",
        0.0,
        lambda: _known(marketed_class_psi(128)),
        "own answer",
    ),
    Formula(
        _RATING,
        "PVC, plain ends",
        "P = 2 S t / (D - t), S = 2000 psi",
        _HANDBOOK,
        "1 in schedule 80 (1.315 in, wall 0.179 in)",
        630,
        "psi",
        0.015,
        lambda: pvc_rating_psi(1.315, 0.179),
    ),
    Formula(
        _RATING,
        "PVC, threaded",
        "half of the plain-end rating",
        "makers' derating pages",
        "1 in schedule 80, 630 psi",
        315,
        "psi",
        0.0,
        lambda: threaded_rating_psi(630),
        "own answer",
    ),
    Formula(
        _RATING,
        "rating in warm water",
        "rating x factor of the table, never above 1.00",
        "Machinery's Handbook, 31st ed., table 14",
        "PVC of 230 psi at 120 F",
        *(92, "psi", 0.001, lambda: derated_rating_psi(230, "pvc", 120)),
    ),
    Formula(
        _RATING,
        "factor of warm water, polyethylene",
        "the lower of two sets",
        "Plastics Pipe Institute handbook, ch. 3 app. B, not opened",
        "100 F",
        *(0.78, "", 0.001, lambda: temperature_factor("pe4710", 100), "from memory"),
    ),
    Formula(
        _RATING,
        "safe pull of polyethylene, half a day",
        "S pi t (D - t), S = 1150 psi",
        "a lining contractor's page (stress); load worked out",
        "1-1/4 in SIDR 7, PE4710",
        *(1123, "lb", 0.01, _pull, "own answer"),
    ),
    Formula(
        _PIPE,
        "inside diameter, outside held",
        "d = D - 2 D / DR",
        _PE_TABLE,
        "2 in DR 11",
        1.943,
        "in",
        0.003,
        lambda: _known(inside_diameter_in("pe4710", "DR 11", 2)),
    ),
    Formula(
        _PIPE,
        "inside diameter, inside held",
        "that of schedule 40 iron pipe",
        "ASTM D2239, and published friction charts",
        "1-1/4 in SIDR 7",
        1.380,
        "in",
        0.002,
        lambda: _known(inside_diameter_in("pe3408", "SIDR 7", "1-1/4")),
    ),
    Formula(
        _PIPE,
        "steel, plain ends",
        "W = 10.68 t (D - t)",
        _ILLINOIS,
        "6 in, wall 0.280 in",
        18.97,
        "lb/ft",
        0.003,
        lambda: steel_lb_per_ft(6.625, 0.280),
    ),
    Formula(
        _PIPE,
        "steel, plain ends, drop-pipe size",
        "W = 10.68 t (D - t)",
        _IRON,
        "1-1/4 in schedule 40",
        2.27,
        "lb/ft",
        0.006,
        lambda: steel_lb_per_ft(1.660, 0.140),
        "another program",
    ),
    Formula(
        _PIPE,
        "PVC",
        "W = 1.06 x 0.0506 x 12 pi t (D - t)",
        "NRCS Pipe Weight Calculator v110204",
        "6 in schedule 40 (the 6 % are fitted to it)",
        3.60,
        "lb/ft",
        0.006,
        lambda: pvc_lb_per_ft(6.625, 0.280),
    ),
    Formula(
        _PIPE,
        "polyethylene",
        "W = 0.0345 x 12 pi t (D - t)",
        _GEOMETRY,
        "1-1/4 in SIDR 7",
        0.404,
        "lb/ft",
        0.01,
        lambda: pe_lb_per_ft(1.380 * 9 / 7, 1.380 / 7),
        "own answer",
    ),
    Formula(
        _HOOK,
        "water in a full pipe",
        "W = 0.3405 d2",
        _GEOMETRY,
        "1-1/4 in, 1.380 in inside",
        0.648,
        "lb/ft",
        0.005,
        lambda: water_lb_per_ft(1.380),
        "own answer",
    ),
    Formula(
        _HOOK,
        "bare copper",
        "conductors x lb per 1000 ft / 1000",
        _COPPER,
        "#10, three with ground",
        4 * 32.06 / 1000,
        "lb/ft",
        0.001,
        lambda: _known(copper_lb_per_ft(10, 4)),
        "own answer",
    ),
    Formula(
        _HOOK,
        "jacketed cable",
        "twice its copper, an upper bound",
        "1.5 to 2 times its copper, seen on no page",
        "#10, three with ground",
        0.256,
        "lb/ft",
        0.002,
        lambda: _known(cable_lb_per_ft(10, 4)),
        "from memory",
    ),
    Formula(
        _HOOK,
        "pump and motor, where nobody weighed them",
        "the upper end by horsepower",
        "makers' weights, seen on no page",
        "1-1/2 hp",
        48,
        "lb",
        0.0,
        lambda: _known(pump_and_motor_lb(1.5)),
        "from memory",
    ),
    Formula(
        _HOOK,
        "the whole string",
        "pipe + water + cable + pump and motor",
        "parts as in The Driller, Nov 2013; reckoned by hand",
        "400 ft of 1-1/4 in SIDR 7, #10 as bare copper, 60 lb of pump",
        532.4,
        "lb",
        0.002,
        _worked_string,
        "own answer",
    ),
    Formula(
        _HOOK,
        "pipe of unknown wall",
        "the heaviest that the tables have",
        "ASME B36.10, 1-1/4 in schedule 80",
        "1-1/4 in galvanized",
        3.00,
        "lb/ft",
        0.002,
        _steel_80,
    ),
]
