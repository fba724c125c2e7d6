"""What is in print and the program does not give, and why: rows of the page of formulas."""

from __future__ import annotations

import math

import published_tests as published
from formula import NotMet, NotMetInPart
from formulas_bore import FETTER, FETTER_GPM, thiem_m2_per_day
from formulas_electrics import CHART_WITHIN
from published_tests import FT2_PER_M2

from wellbook.engineering import pumping_tests as tests
from wellbook.engineering.bore import flow_past_motor_gpm, gal_per_ft, stored_gal
from wellbook.engineering.cable import CableSection, max_length_ft, voltage_drop
from wellbook.engineering.condition import cable_loop_ohm, unbalance_percent
from wellbook.engineering.disinfection import LITRES_PER_GAL, column_gal, concentration_mgl
from wellbook.engineering.friction import friction_ft_per_100ft
from wellbook.engineering.head import head_as_psi, water_hp
from wellbook.engineering.motor_amps import full_load_amps
from wellbook.engineering.pipe import pe_lb_per_ft, pvc_lb_per_ft, steel_lb_per_ft
from wellbook.engineering.pressure import drawn_down_limit_ft, floor_ft, worst_case_psi
from wellbook.engineering.strength import temperature_factor
from wellbook.engineering.tank import drawdown_gal, most_starts_per_day
from wellbook.engineering.weight import PipeRun, cable_lb_per_ft, copper_lb_per_ft, string_weight

_NAN = float("nan")
_QUART_GAL = 1 / 4
_PER_DAY = 86400

# Of sets that are not kept here; the tests of them, beside a checkout that has the sets, hold these.
OUDE_KORENDIJK_M2_PER_DAY = 462.6
CLARK_SEC2_PER_M5 = 1003.0
CLARK_M2_PER_SEC = 2.535e-3

# A motor maker's chart of the longest run, feet: 230 V single-phase, 5 %, by hp and gauge.
_CHART_GAUGES = (14, 12, 10, 8, 6, 4)
_CHART_FT = {
    0.5: (400, 650, 1020, 1610, 2510, 3880),
    0.75: (300, 480, 760, 1200, 1870, 2890),
    1: (250, 400, 630, 990, 1540, 2380),
    1.5: (190, 310, 480, 770, 1200, 1870),
    2: (150, 250, 390, 620, 970, 1530),
    3: (120, 190, 300, 470, 750, 1190),
}


def _hook_lb(pipe_lb_per_ft: float, id_in: float, cable_lb_per_ft: float | None) -> float:
    """400 ft of 1-1/4 in pipe with #10 cable and 60 lb of pump."""
    assert cable_lb_per_ft is not None
    run = PipeRun(400, pipe_lb_per_ft, id_in)
    load = string_weight([run], pump_motor_lb=60, cable_ft=400, cable_lb_per_ft=cable_lb_per_ft)
    return load.hook_lb


def chart_apart(hp: float, awg: int, feet: float) -> float:
    """How far the program is from a row of the motor maker's chart, as a share of it."""
    return max_length_ft(full_load_amps(hp) or 0, awg) / feet - 1


def chart_rows() -> list[tuple[float, int, float]]:
    """Horsepower, gauge and feet of each."""
    return [
        (hp, awg, feet)
        for hp, row in _CHART_FT.items()
        for awg, feet in zip(_CHART_GAUGES, row, strict=True)
    ]


def _mixed(below_awg: int) -> float:
    """Share of 5 % that 3 hp (17 A) uses over 160 ft of #10 and 310 ft of another gauge."""
    run = [CableSection(10, 160), CableSection(below_awg, 310)]
    return voltage_drop(17, run).drop_percent / 5


def _theis() -> tests.AquiferFit:
    return tests.theis(FETTER, FETTER_GPM)


def _todd_m2_per_day() -> float:
    found = tests.recovery(published.TODD, published.TODD_GPM, published.TODD_PUMPED_MINUTES)
    return found.transmissivity_ft2_per_day / FT2_PER_M2


def _bureau_recovery() -> tests.AquiferFit:
    late = [(t, s) for t, s in published.USBR_RECOVERY if t >= 120]
    return tests.recovery(late, published.USBR_GPM, published.USBR_PUMPED_MINUTES)


def _bureau_pumped() -> tests.AquiferFit:
    return tests.theis(published.USBR_PUMPED, published.USBR_GPM)


_PRESSURE = [
    NotMet(
        "Pressure of the column",
        "330 ft and 50 psi make 192.9 psi (a trade page, by 0.433 psi a foot)",
        *(192.9, 0.05, lambda: worst_case_psi(330, cut_out_psi=50), "{:.2f} psi"),
        "0.4335 psi a foot is taken, of water at 40 F, where it is heaviest",
    ),
    NotMet(
        "Pressure of the column",
        "160 psi pipe with 50 psi on top: to 254 ft (own answer, by 0.433 psi a foot)",
        *(254, 0.5, lambda: floor_ft(drawn_down_limit_ft(160, cut_out_psi=50)), "{:.0f} ft"),
        "the same; a limit comes out a foot shorter at most",
    ),
    NotMet(
        "Ratings of drop pipe",
        "polyethylene at 40 C keeps 0.84 of its rating (AS/NZS 4130, PE100)",
        *(0.84, 0.005, lambda: temperature_factor("pe4710", 104), "{:.3f}"),
        "published sets of factors differ, and the lower is taken, which is from memory",
    ),
    NotMet(
        "Pipe: dimensions and weight",
        "1-1/4 in schedule 80 PVC, 0.554 lb/ft (a table of pipe data)",
        *(0.554, 0.0005, lambda: pvc_lb_per_ft(1.660, 0.191), "{:.3f} lb/ft"),
        "tables of PVC differ; the 6 % over the minimum wall are fitted to the heavier one",
    ),
]
_FRICTION: list[NotMet | NotMetInPart] = [
    NotMetInPart(
        "Friction",
        "a maker's table of schedule 40 plastic: 34 of 36 rows 15 to 30 % above C = 150",
        "C = 140 where nothing is said, about 10 % below that table",
        "it fits C = 133; published plastic spans C = 133 to 150, so C can be set",
    ),
    NotMetInPart(
        "Friction",
        "a chart of SDR 21 PVC that states C = 150",
        "7 to 11 % less, at that C and the least bore of that pipe",
        "all other tables that state C agree with the formula",
    ),
    NotMetInPart(
        "Friction",
        "Ill. Admin. Code tit. 77 pt. 906 App. A Exh. I: 9 of 70 rows (1 to 2 in)",
        "4.3 to 12.3 % apart",
        "small losses printed to two places, at 1, 4 and 6 gpm, and rows of 12 to 14 gpm in 1-1/2"
        " and 2 in, which do not follow their neighbours; the other 61 are within 3 % and half the"
        " last place of print",
    ),
    NotMetInPart(
        "Friction",
        "a pump manual's 15-year-old iron: the two rows of 2 in",
        "14 and 9 % less",
        "C = 100 is fitted to that table, which states none, and meets its other 22 rows",
    ),
    NotMetInPart(
        "Friction",
        "a chart of polyethylene pipe: one of 59 rows",
        "more than 3 % apart",
        "C = 140 is fitted to that chart, which states none, and meets its other 58 rows",
    ),
    NotMet(
        "Friction",
        "4.52 Q^1.85 / (C^1.85 d^4.87) psi a foot: 0.628 psi per 100 ft"
        " (1-1/4 in, C = 150, 10 gpm)",
        *(0.628, 0.0005),
        lambda: head_as_psi(friction_ft_per_100ft(10, 1.380, 150)),
        "{:.3f} psi",
        "the exponents are rounded; that form runs up to 0.9 % higher",
    ),
    NotMet(
        "Head and power",
        "water horsepower Q H / 3956 (Merkley and Allen): 1.264 hp of 50 gpm at 100 ft",
        *(1.264, 0.0005, lambda: water_hp(50, 100), "{:.4g} hp, of Q H / 3960"),
        "3960 is what most texts have; a tenth of a per cent less",
    ),
]
_ELECTRIC = [
    NotMet(
        "Cable",
        "a motor maker's chart of longest runs, 230 V, 5 %: 480 ft of #12 for 3/4 hp",
        *(480, CHART_WITHIN * 480, lambda: max_length_ft(full_load_amps(0.75) or 0, 12)),
        "{:.0f} ft, 12.3 % less",
        "how the chart was made is not known; its other 35 rows up to 3 hp are within 12 %."
        " Where it is shorter it is the limit",
    ),
    NotMet(
        "Cable",
        "a second maker's chart, 438 ft of #14 for 1/2 hp",
        *(438, 0.5, lambda: max_length_ft(full_load_amps(0.5) or 0, 14), "{:.0f} ft"),
        "charts differ by up to a fifth; ours is the shorter of these",
    ),
    NotMet(
        "Cable",
        "3 hp over 160 ft of #10 and 310 ft of #6 uses 0.946 of what is allowed, and passes",
        *(0.946, 0.002, lambda: _mixed(6)),
        "{:.2f} by the drop itself, which fails; 0.947 by that maker's own limits",
        "stranded copper at 75 C loses more than the chart allows for",
    ),
    NotMet(
        "Electrical condition",
        "a maker's table of the cable's loop: 0.338 ohm in 100 ft of #12 at 50 F",
        *(0.338, 0.0005, lambda: cable_loop_ohm([CableSection(12, 100)]), "{:.3f} ohm"),
        "5 to 10 % above the standards of copper wire, which are followed",
    ),
    NotMet(
        "Electrical condition",
        "208, 206 and 199 V: 2.3 % of unbalance (a web page)",
        *(2.3, 0.05, lambda: unbalance_percent((208, 206, 199)), "{:.2f} %"),
        "the page leaves out deviations below the average",
    ),
    NotMet(
        "Electrical condition",
        "400, 395 and 388 V: 1.45 % of unbalance (a web page)",
        *(1.45, 0.005, lambda: unbalance_percent((400, 395, 388)), "{:.2f} %"),
        "the same",
    ),
]
_BORE = [
    NotMet(
        "The bore",
        "1.4 gal in a foot of 6 in (a maker's page)",
        *(1.4, 0.05, lambda: gal_per_ft(6), "{:.2f} gal"),
        "a misprint: its other rows are met",
    ),
    NotMet(
        "The bore",
        "12.80 gal in 80 ft of 2 in (Colorado DRMS file)",
        *(12.80, 0.01, lambda: stored_gal(2, 20, 100), "{:.2f} gal"),
        "worked out there with 0.16 gal a foot, rounded from 0.163",
        ("bore.storage.80ft.2in",),
    ),
    NotMet(
        "The bore",
        "flow past a 6 in motor in 6 in casing, 9 gpm",
        *(9, 0.5, lambda: flow_past_motor_gpm(6, 5.5, 0.5)),
        "{:.1f} gpm for a motor of 5.5 in",
        "5.38 in is what fits that table; give the motor's own diameter",
    ),
]
_BY_EYE = "a curve laid on by eye, in two figures; least squares by another program agree with ours"
_TESTS = [
    NotMet(
        "Pumping tests",
        "Theis on Fetter's table 5.1: 1.5e-3 m²/s (Fetter 2001, p. 173)",
        *(1.5e-3, 0.05e-3),
        lambda: _theis().transmissivity_ft2_per_day / FT2_PER_M2 / _PER_DAY,
        "{:.4g} m²/s, 5 % less",
        _BY_EYE,
    ),
    NotMet(
        "Pumping tests",
        "Theis on Fetter's table 5.1: S 2.4e-5 (Fetter 2001, p. 173)",
        *(2.4e-5, 0.05e-5, lambda: _theis().storativity or _NAN, "{:.3g}, 12 % less"),
        _BY_EYE,
    ),
    NotMet(
        "Pumping tests",
        "Cooper-Jacob on Fetter's table 5.1: S 1.7e-5 (Fetter 2001, p. 174-175)",
        *(1.7e-5, 0.05e-5),
        lambda: tests.cooper_jacob(FETTER, FETTER_GPM).storativity or _NAN,
        "{:.3g}, 9 % more",
        "only readings of u below 0.05 are taken; from print's third reading on it is print's",
    ),
    NotMet(
        "Pumping tests",
        "Theis on the Gridley test, of which Fetter's table is the observation well: 125.9 m²/day"
        " (a published fit)",
        *(125.9, 0.05, lambda: _theis().transmissivity_ft2_per_day / FT2_PER_M2),
        "{:.1f} m²/day, 2 % less",
        "fitted there to the pumped well too; of the observation well alone another program has"
        " 123.0",
    ),
    NotMet(
        "Pumping tests",
        "Theis on two wells of Oude Korendijk: 390 m²/day (Kruseman and de Ridder 1994)",
        *(390, 5, lambda: OUDE_KORENDIJK_M2_PER_DAY, "{:.1f} m²/day, 19 % more"),
        "a curve laid on by eye; the joint fits of two other programs are 462.6",
    ),
    NotMet(
        "Pumping tests",
        "recovery, 2500 m³/day for 240 min: 1140 m²/day (Todd 1980)",
        *(1140, 5, _todd_m2_per_day, "{:.0f} m²/day, 4 % more"),
        "a line drawn by hand, 0.40 m a log cycle; a least-squares line through all readings here",
    ),
    NotMet(
        "Pumping tests",
        "the same readings: 1123 m²/day (Batu 1998)",
        *(1123, 5, _todd_m2_per_day, "{:.0f} m²/day, 6 % more"),
        "by another method",
    ),
    NotMet(
        "Pumping tests",
        "recovery of a test of the Bureau of Reclamation: 30.73 ft²/min (Zheng and others 2005)",
        *(30.73, 0.005, lambda: _bureau_recovery().transmissivity_ft2_per_day / 1440),
        "{:.2f} ft²/min by the line of Theis, of the readings from 120 min on",
        "by a method of their own for the recovery",
    ),
    NotMet(
        "Pumping tests",
        "the same test: S 0.0696 (Zheng and others 2005)",
        *(0.0696, 0.00005, lambda: _bureau_pumped().storativity or _NAN),
        "{:.4f} by Theis, of the readings while it was pumped",
        "found there from the recovery; the line of Theis gives none",
    ),
    NotMet(
        "Pumping tests",
        "Thiem on Oude Korendijk: 4.5e-3 m²/s, 389 m²/day (Kruseman and de Ridder 1994)",
        *(389, 4.5, thiem_m2_per_day, "{:.1f} m²/day, 5 % less, of the wells at 30 and 90 m"),
        "of all wells there; two figures. The two wells by hand: 370.4",
    ),
    NotMet(
        "Pumping tests",
        "Thiem on Oude Korendijk: 4.2e-3 m²/s, 363 m²/day (a published program)",
        *(363, 4.5, thiem_m2_per_day, "{:.1f} m²/day, 2 % more"),
        "of all wells there",
    ),
    NotMet(
        "Pumping tests",
        "Eden and Hazel on Clark's steps: C 1.4e-7 d²/m⁵, 1045 s²/m⁵ (Kruseman and de Ridder 1994)",
        *(1045, 37, lambda: CLARK_SEC2_PER_M5),
        "{:.0f} s²/m⁵ (2.64 sec²/ft⁵ for 2.75), 4 % less",
        "a graphical method, in two figures; least squares here",
    ),
    NotMet(
        "Pumping tests",
        "the same: C 980 s²/m⁵ (a published program)",
        *(980, 5, lambda: CLARK_SEC2_PER_M5, "{:.0f} s²/m⁵, 2 % more"),
        "which readings it takes is not said",
    ),
    NotMet(
        "Pumping tests",
        "the same: 3.1e-3 m²/s (Kruseman and de Ridder 1994)",
        *(3.1e-3, 0.05e-3, lambda: CLARK_M2_PER_SEC, "{:.3g} m²/s, 18 % less"),
        "as its C; the published program has 2.5e-3",
    ),
]
_TANK = [
    NotMet(
        "Pressure tank",
        "85 gal at 28/30/50 psi and 6,000 ft: 26.1 gal (The Driller, Feb 2006)",
        *(26.1, 0.05, lambda: drawdown_gal(85, 28, 30, 50, altitude_ft=6000), "{:.1f} gal"),
        "worked out there from rounded terms",
    ),
    NotMet(
        "Pressure tank",
        "catalogues: a 30/50 switch draws 0.31 of the tank",
        *(0.31, 0.005, lambda: drawdown_gal(1, 28, 30, 50)),
        "{:.3f} with the precharge 2 psi below cut-in",
        "catalogues take the precharge at cut-in, 4 to 6 % more",
    ),
    NotMet(
        "Pressure tank",
        "50 starts a day above 5 hp (Water Well Journal)",
        *(50, 0.5, lambda: most_starts_per_day(5.5) or _NAN, "{:.0f} for 5-1/2 hp"),
        "a maker's table has 100 up to 5-1/2 hp",
    ),
    NotMet(
        "Disinfection",
        "150 gal in 100 ft of 6 in (Hickory UWCD, Texas)",
        *(150, 0.5, lambda: column_gal(6, 100), "{:.0f} gal"),
        "1.5 gal a foot there, which is true of 6.065 in",
    ),
    NotMet(
        "Disinfection",
        "a quart of 5.25 % bleach to 100 gal makes 100 mg/L (MIL-HDBK-1164)",
        *(100, 0.5, lambda: concentration_mgl(100, _QUART_GAL * LITRES_PER_GAL, 5.25)),
        "{:.0f} mg/L",
        "the arithmetic stands",
    ),
]
_PE = pe_lb_per_ft(1.380 * 9 / 7, 1.380 / 7)
_WEIGHT = [
    NotMet(
        "Weight on the hook",
        "400 ft of 1-1/4 in SIDR 7, #10 cable, 60 lb of pump: 532.4 lb (own answer)",
        *(532.4, 1, lambda: _hook_lb(_PE, 1.380, cable_lb_per_ft(10, 4))),
        "{:.1f} lb by `--awg`; 532.4 lb by `--cable-lb-per-ft 0.12824`",
        "the figure has the cable as bare copper; a gauge alone is weighed with its jacket,"
        " twice its copper",
    ),
    NotMet(
        "Weight on the hook",
        "the same of schedule 80 PVC: 214 + 222 + 51 + 60 = 547 lb (own answer)",
        *(547, 1, lambda: _hook_lb(pvc_lb_per_ft(1.660, 0.191), 1.278, copper_lb_per_ft(10, 4))),
        "{:.1f} lb with bare copper",
        "the pipe weighs 1.06 times its minimum wall here, as a published calculator has it",
    ),
    NotMet(
        "Weight on the hook",
        "the same of galvanized steel: 908 + 259 + 51 + 60 = 1,278 lb (own answer)",
        *(1278, 1, lambda: _hook_lb(steel_lb_per_ft(1.660, 0.140), 1.380, copper_lb_per_ft(10, 4))),
        "{:,.1f} lb with bare copper",
        "worked out there with 2.27 lb a foot, rounded from 2.273",
    ),
]


def rows() -> list[NotMet | NotMetInPart]:
    """All of them, in the order of the areas."""
    return [*_PRESSURE, *_FRICTION, *_ELECTRIC, *_BORE, *_TESTS, *_TANK, *_WEIGHT]


def is_met(row: NotMet) -> bool:
    """Whether the program gives a figure after all."""
    return math.isclose(row.gives(), row.check, rel_tol=0, abs_tol=row.off)
