"""What is in print and the program answers otherwise, and why: rows of the page of formulas."""

from __future__ import annotations

from typing import NamedTuple

from wellbook.engineering.bore import flow_past_motor_gpm, gal_per_ft, stored_gal
from wellbook.engineering.cable import CableSection, max_length_ft, used_of_allowed, voltage_drop
from wellbook.engineering.condition import cable_loop_ohm, unbalance_percent
from wellbook.engineering.disinfection import LITRES_PER_GAL, concentration_mgl
from wellbook.engineering.friction import friction_ft_per_100ft
from wellbook.engineering.head import head_as_psi, water_hp
from wellbook.engineering.motor_amps import full_load_amps
from wellbook.engineering.pipe import pe_lb_per_ft, pvc_lb_per_ft
from wellbook.engineering.pressure import worst_case_psi
from wellbook.engineering.strength import temperature_factor
from wellbook.engineering.tank import drawdown_gal
from wellbook.engineering.weight import PipeRun, cable_lb_per_ft, copper_lb_per_ft, string_weight

_QUART_GAL = 1 / 4

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


class Otherwise(NamedTuple):
    """A published figure, what the program has for it, and why it is not the same."""

    area: str
    printed: str
    gives: str
    why: str


def _hook_lb(lb_per_ft: float | None) -> float:
    assert lb_per_ft is not None
    pipe = PipeRun(400, pe_lb_per_ft(1.380 * 9 / 7, 1.380 / 7), 1.380)
    load = string_weight([pipe], pump_motor_lb=60, cable_ft=400, cable_lb_per_ft=lb_per_ft)
    return load.hook_lb


def _chart() -> str:
    apart = [
        max_length_ft(full_load_amps(hp) or 0, awg) / feet - 1
        for hp, row in _CHART_FT.items()
        for awg, feet in zip(_CHART_GAUGES, row, strict=True)
    ]
    return f"{100 * min(apart):+.0f} to {100 * max(apart):+.0f} % of its 36 rows up to 3 hp"


def _mixed(below_awg: int) -> float:
    """Share of 5 % that 3 hp (17 A) uses over 160 ft of #10 and 310 ft of another gauge."""
    run = [CableSection(10, 160), CableSection(below_awg, 310)]
    return voltage_drop(17, run).drop_percent / 5


def rows() -> list[Otherwise]:
    """All of them, in the order of the areas."""
    at_c_150 = friction_ft_per_100ft(10, 1.380, 150)
    return [
        Otherwise(
            "Pressure of the column",
            "0.433 psi a foot (330 ft and 50 psi make 192.9 psi), 2.31 ft to a psi",
            f"{worst_case_psi(330, cut_out_psi=50):.1f} psi, of 0.4335 a foot",
            "taken at 40 F, where water is heaviest; a limit comes out a foot shorter at most",
        ),
        Otherwise(
            "Ratings of drop pipe",
            "polyethylene at 40 C keeps 0.84 of its rating (AS/NZS 4130, PE100)",
            f"{temperature_factor('pe4710', 104):.3f}",
            "published sets of factors differ, and the lower is taken",
        ),
        Otherwise(
            "Pipe: dimensions and weight",
            "1-1/4 in schedule 80 PVC, 0.554 lb/ft (a table of pipe data)",
            f"{pvc_lb_per_ft(1.660, 0.191):.3f} lb/ft",
            "tables of PVC differ; the 6 % over the minimum wall are fitted to the heavier one",
        ),
        Otherwise(
            "Friction",
            "a maker's table of schedule 40 plastic: 34 of 36 rows 15 to 30 % above C = 150",
            "C = 140 where nothing is said, about 10 % below that table",
            "it fits C = 133; published plastic spans C = 133 to 150, so C can be set",
        ),
        Otherwise(
            "Friction",
            "a chart of SDR 21 PVC that states C = 150",
            "7 to 11 % less, at that C and the least bore of that pipe",
            "all other tables that state C agree with the formula",
        ),
        Otherwise(
            "Friction",
            "Ill. Admin. Code tit. 77 pt. 906 App. A Exh. I: 9 of 70 rows (3/4 to 2 in)",
            "4 to 12 % apart",
            "small losses printed to two places, and the rows of 12 to 14 gpm, which do not follow"
            " their neighbours; the other 61 are met",
        ),
        Otherwise(
            "Friction",
            "a pump manual's 15-year-old iron: the two rows of 2 in",
            "14 and 9 % less",
            "C = 100 is fitted to that table, which states none, and meets its other 22 rows",
        ),
        Otherwise(
            "Friction",
            "a chart of polyethylene pipe: one of 59 rows",
            "more than 3 % apart",
            "C = 140 is fitted to that chart, which states none, and meets its other 58 rows",
        ),
        Otherwise(
            "Friction",
            "4.52 Q^1.85 / (C^1.85 d^4.87) psi a foot: 0.628 psi per 100 ft"
            " (1-1/4 in, C = 150, 10 gpm)",
            f"{head_as_psi(at_c_150):.3f} psi",
            "the exponents are rounded; that form runs up to 0.9 % higher",
        ),
        Otherwise(
            "Head and power",
            "water horsepower Q H / 3956 (Merkley and Allen): 1.264 hp of 50 gpm at 100 ft",
            f"{water_hp(50, 100):.4g} hp, of Q H / 3960",
            "3960 is what most texts have; a tenth of a per cent less",
        ),
        Otherwise(
            "Cable",
            "a motor maker's chart of longest runs, 230 V, 5 %",
            _chart(),
            "how the chart was made is not known; where it is shorter it is the limit",
        ),
        Otherwise(
            "Cable",
            "a second maker's chart, 438 ft of #14 for 1/2 hp",
            f"{max_length_ft(full_load_amps(0.5) or 0, 14):.0f} ft",
            "charts differ by up to a fifth; ours is the shorter of these",
        ),
        Otherwise(
            "Cable",
            "3 hp over 160 ft of #10 and 310 ft of #6 uses 0.946 of what is allowed, and passes",
            f"{_mixed(6):.2f} by the drop itself, which fails;"
            f" {used_of_allowed([(160, 300), (310, 750)]):.3f} by that maker's own limits",
            "stranded copper at 75 C loses more than the chart allows for",
        ),
        Otherwise(
            "Cable",
            "16 A through 100 ft of #12 lose 6.32 V by the constant 12.9",
            f"{voltage_drop(16, [CableSection(12, 100)]).drop_v:.2f} V",
            "the constant is rounded; the table of resistances stands",
        ),
        Otherwise(
            "Electrical condition",
            "a maker's table of the cable's loop: 0.338 ohm in 100 ft of #12 at 50 F",
            f"{cable_loop_ohm([CableSection(12, 100)]):.3f} ohm",
            "5 to 10 % above the standards of copper wire, which are followed",
        ),
        Otherwise(
            "Electrical condition",
            "208, 206 and 199 V: 2.3 % of unbalance (a web page)",
            f"{unbalance_percent((208, 206, 199)):.2f} %",
            "the page leaves out deviations below the average",
        ),
        Otherwise(
            "Electrical condition",
            "insulation of 0.02 to 0.5 megohm: one maker's table says repair, an older one do not"
            " pull for this alone",
            "both, and the trend",
            "published tables give opposite advice",
        ),
        Otherwise(
            "The bore",
            "1.4 gal in a foot of 6 in (a maker's page), 1.5 (a rule of thumb)",
            f"{gal_per_ft(6):.2f}",
            "a misprint; and 1.5 is true of a bore of 6.065 in",
        ),
        Otherwise(
            "The bore",
            "12.80 gal in 80 ft of 2 in (Colorado DRMS file)",
            f"{stored_gal(2, 20, 100):.2f} gal",
            "worked out there with 0.16 gal a foot, rounded from 0.163",
        ),
        Otherwise(
            "The bore",
            "flow past a 6 in motor in 6 in casing, 9 gpm",
            f"{flow_past_motor_gpm(6, 5.5, 0.5):.1f} gpm for a motor of 5.5 in",
            "5.38 in is what fits that table; give the motor's own diameter",
        ),
        Otherwise(
            "Pressure tank",
            "85 gal at 28/30/50 psi and 6,000 ft: 26.1 gal (The Driller, Feb 2006)",
            f"{drawdown_gal(85, 28, 30, 50, altitude_ft=6000):.1f} gal",
            "worked out there from rounded terms",
        ),
        Otherwise(
            "Pressure tank",
            "catalogues: a 30/50 switch draws 0.31 of the tank",
            f"{drawdown_gal(1, 28, 30, 50):.3f} with the precharge 2 psi below cut-in",
            "catalogues take the precharge at cut-in, 4 to 6 % more",
        ),
        Otherwise(
            "Disinfection",
            "a quart of 5.25 % bleach to 100 gal makes 100 mg/L (MIL-HDBK-1164)",
            f"{concentration_mgl(100, _QUART_GAL * LITRES_PER_GAL, 5.25):.0f} mg/L",
            "the arithmetic stands",
        ),
        Otherwise(
            "Weight on the hook",
            "400 ft of 1-1/4 in SIDR 7, #10 cable, 60 lb of pump: 532.4 lb",
            f"{_hook_lb(cable_lb_per_ft(10, 4)):.1f} lb by `--awg`;"
            f" {_hook_lb(copper_lb_per_ft(10, 4)):.1f} lb by `--cable-lb-per-ft 0.12824`",
            "the figure has the cable as bare copper; a gauge alone is weighed with its jacket,"
            " twice its copper",
        ),
    ]
