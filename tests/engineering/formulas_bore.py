"""Rows of the table of formulas: the bore, trends and pumping tests."""

import math
from itertools import pairwise

import published_tests as published
from formula import Formula
from published_tests import FT2_PER_M2, M, gpm

from wellbook.engineering import bore, step_tests, trend, valves, yield_tests
from wellbook.engineering import pumping_tests as tests
from wellbook.engineering.well_function import well_function

DRMS = "Colorado DRMS file, Apr 2013, table 2-1"
MAKER = "a maker's table that cites AWWA"

# Sen (1968).
_SEN = [(1, 9), (2, 15), (3, 19), (4, 20), (10, 45), (12, 55), (18, 78)]
# Fetter, Applied Hydrogeology (2001) table 5.1: minutes and metres, 250 m from the well.
_FETTER_MINUTES = (3, 5, 8, 12, 20, 24, 30, 38, 47, 50, 60, 70, 80, 90, 100, 130, 160, 200)
_FETTER_MINUTES += (260, 320, 380, 500)
_FETTER_FT = (0.3, 0.7, 1.3, 2.1, 3.2, 3.6, 4.1, 4.7, 5.1, 5.3, 5.7, 6.1, 6.3, 6.7, 7.0, 7.5, 8.3)
_FETTER_FT += (8.5, 9.2, 9.7, 10.2, 10.9)
FETTER = [
    tests.Observed(float(t), s, 250 * M) for t, s in zip(_FETTER_MINUTES, _FETTER_FT, strict=True)
]
FETTER_GPM = gpm(1.3888e-2 * 86400)
# Clark (1977), as Kruseman and de Ridder (1994) table 14.1: metres at the end of each step.
_CLARK_ENDS_M = (4.683, 6.514, 9.578, 13.240, 17.395, 22.325)
_CLARK = [(gpm(q), s * M) for q, s in zip(published.CLARK_M3_PER_DAY, _CLARK_ENDS_M, strict=True)]


def _sen() -> trend.Trend:
    found = trend.trend(_SEN)
    assert found is not None
    return found


def thiem_m2_per_day() -> float:
    """Of two of the wells of Oude Korendijk (Kruseman and de Ridder 1994)."""
    found = tests.thiem_transmissivity_ft2_per_day(
        gpm(788),
        near_ft=30 * M,
        near_drawdown_ft=1.088 * M,
        far_ft=90 * M,
        far_drawdown_ft=0.716 * M,
    )
    return found / FT2_PER_M2


def _four_steps() -> list[step_tests.StepReading]:
    rates = (20.0, 35.0, 50.0, 70.0)
    readings = []
    for n, q in enumerate(rates):
        for minutes in (60 * n + 10.0, 60 * n + 60.0):
            sizes = (rates[0], *(b - a for a, b in pairwise(rates[: n + 1])))
            logs = sum(dq * math.log10(minutes - 60 * k) for k, dq in enumerate(sizes))
            readings.append(
                step_tests.StepReading(minutes, 0.3 * q + 0.2 * logs + 0.004 * q * q, q)
            )
    return readings


FORMULAS: list[Formula] = [
    Formula(
        "The bore",
        "water in a foot",
        "0.0408 d²",
        DRMS,
        "6 in",
        1.47,
        "gal/ft",
        0.005,
        lambda: bore.gal_per_ft(6),
    ),
    Formula(
        "The bore",
        "stored water",
        "gal/ft x (lower - upper)",
        "computed by hand",
        "2 in, 20 to 100 ft",
        13.06,
        "gal",
        0.001,
        lambda: bore.stored_gal(2, 20, 100),
        "own answer",
    ),
    Formula(
        "The bore",
        "storage above the pump",
        "gal/ft x (intake or lift limit - static level)",
        "computed by hand",
        "6 in, static 60 ft, intake 340 ft",
        411,
        "gal",
        0.002,
        lambda: bore.storage(6, static_level_ft=60, intake_ft=340).usable_gal,
        "own answer",
    ),
    Formula(
        "The bore",
        "check valves of a deep string",
        "25 ft above the pumping level, then every 200 ft",
        "The Driller 85101",
        "pump at 750 ft, water at 700 ft: 675, 475, 275, 75 ft; the uppermost",
        75.0,
        "ft",
        0.001,
        lambda: valves.valve_depths_ft(750, 700)[-1],
    ),
    Formula(
        "The bore",
        "specific capacity",
        "Q / s",
        "a published example",
        "200 gpm at 40 ft",
        5.0,
        "gpm/ft",
        0.001,
        lambda: bore.specific_capacity_gpm_per_ft(200, 40),
    ),
    Formula(
        "The bore",
        "decline of specific capacity",
        "(before - now) / before",
        "the definition; triggers 10 % (Houben and Treskatis 2003) and 15 %",
        "0.5, then 0.425 gpm/ft",
        15.0,
        "%",
        0.001,
        lambda: yield_tests.decline_percent(0.5, 0.425),
        "own answer",
    ),
    Formula(
        "The bore",
        "recovery",
        "gal/ft x rise / minutes",
        "computed by hand",
        "34 ft in 30 min in 6 in",
        1.66,
        "gpm",
        0.005,
        lambda: bore.recovery_gpm(34, 30, 6),
        "own answer",
    ),
    Formula(
        "The bore",
        "percent recovered",
        "1 - residual / drawdown",
        "the definition",
        "20 ft left of 80",
        75.0,
        "%",
        0.001,
        lambda: bore.percent_recovered(80, 20),
        "own answer",
    ),
    Formula(
        "The bore",
        "flow past a 4 in motor",
        "2.448 (Dc² - Dm²) v",
        MAKER,
        "6 in casing, 3.75 in motor, 0.25 ft/s",
        13.0,
        "gpm",
        0.08,
        lambda: bore.flow_past_motor_gpm(6, 3.75, 0.25),
    ),
    Formula(
        "The bore",
        "flow past a 6 in motor",
        "2.448 (Dc² - Dm²) v",
        MAKER + "; the motor's 5.38 in were fitted to it",
        "10 in casing, 5.38 in motor, 0.5 ft/s",
        90.0,
        "gpm",
        0.06,
        lambda: bore.flow_past_motor_gpm(10, 5.38, 0.5),
        allowed="rows of that table scatter by as much",
    ),
    Formula(
        "Trends",
        "slope of a level",
        "median of the slopes of all pairs",
        "Sen (1968)",
        "Sen's seven readings",
        4.0,
        "ft/year",
        0.001,
        lambda: _sen().slope_ft_per_year,
    ),
    Formula(
        "Trends",
        "its interval, lower end",
        "slope in the order, by Kendall's S",
        "Sen (1968): 26/7",
        "Sen's seven readings, 95 %",
        26 / 7,
        "ft/year",
        0.001,
        lambda: _sen().low_ft_per_year,
    ),
    Formula(
        "Trends",
        "its interval, upper end",
        "slope in the order, by Kendall's S",
        "Sen (1968): 35/8",
        "Sen's seven readings, 95 %",
        35 / 8,
        "ft/year",
        0.001,
        lambda: _sen().high_ft_per_year,
    ),
    Formula(
        "Pumping tests",
        "well function",
        "W(u) = E1(u)",
        "Wenzel, USGS Water-Supply Paper 887 (1942)",
        "u = 0.01",
        4.0379,
        "",
        0.0001,
        lambda: well_function(0.01),
    ),
    Formula(
        "Pumping tests",
        "well function",
        "W(u) = E1(u)",
        "Wenzel, USGS Water-Supply Paper 887 (1942)",
        "u = 1",
        0.2194,
        "",
        0.0005,
        lambda: well_function(1),
    ),
    Formula(
        "Pumping tests",
        "Theis, transmissivity",
        "s = Q / (4 pi T) W(r² S / (4 T t)), least squares",
        "scipy's least squares on the same readings",
        "Fetter's table 5.1, by the same method",
        1.425e-3,
        "m²/s",
        0.001,
        lambda: tests.theis(FETTER, FETTER_GPM).transmissivity_ft2_per_day / FT2_PER_M2 / 86400,
        "another program",
    ),
    Formula(
        "Pumping tests",
        "Theis, drawdown at a distance",
        "s = Q / (4 pi T) W(u), u = r² S / (4 T t)",
        "Wenzel's W(0.01) = 4.0379; worked out by hand",
        "50 gpm, T 1,000 ft²/day, S 1e-4, 100 ft away after 36 min, where u = 0.01",
        3.093,
        "ft",
        0.0002,
        lambda: tests.theis_drawdown_ft(
            50, transmissivity_ft2_per_day=1000, storativity=1e-4, radius_ft=100, minutes=36
        ),
        "own answer",
    ),
    Formula(
        "Pumping tests",
        "Cooper-Jacob, transmissivity",
        "T = 2.30 Q / (4 pi Δs), u below 0.05",
        "Fetter (2001) p. 174-175",
        "Fetter's table 5.1",
        1.5e-3,
        "m²/s",
        0.01,
        lambda: (
            tests.cooper_jacob(FETTER, FETTER_GPM).transmissivity_ft2_per_day / FT2_PER_M2 / 86400
        ),
    ),
    Formula(
        "Pumping tests",
        "Theis recovery, transmissivity",
        "T = 2.30 Q / (4 pi Δs'), s' against log t/t', least squares",
        "numpy's line through Todd's (1980) fifteen readings",
        "2500 m³/day for 240 min",
        1186.9,
        "m²/day",
        0.0002,
        lambda: (
            tests.recovery(
                published.TODD, published.TODD_GPM, published.TODD_PUMPED_MINUTES
            ).transmissivity_ft2_per_day
            / FT2_PER_M2
        ),
        "another program",
    ),
    Formula(
        "Pumping tests",
        "Thiem, transmissivity",
        "T = Q ln(r2/r1) / (2 pi (s1 - s2))",
        "worked out by hand",
        "788 m³/day, 1.088 m at 30 m, 0.716 m at 90 m",
        370.4,
        "m²/day",
        0.0002,
        thiem_m2_per_day,
        "own answer",
    ),
    Formula(
        "Pumping tests",
        "step test by Eden and Hazel, well loss",
        "s = (a + b log t) dQ of each step, summed, + C Q²; least squares",
        "readings worked out by hand from a = 0.3, b = 0.2, C = 0.004",
        "four steps of an hour: 20, 35, 50 and 70 gpm",
        0.004,
        "ft/gpm²",
        1e-6,
        lambda: step_tests.eden_hazel(_four_steps()).well_loss_ft_per_gpm2,
        "own answer",
    ),
    Formula(
        "Pumping tests",
        "step test, well loss",
        "s/Q = B + C Q",
        "a line through the same six points, by hand",
        "Clark's six steps, their ends",
        2.07e-7,
        "d²/m⁵",
        0.005,
        lambda: step_tests.jacob_line(_CLARK).well_loss_sec2_per_ft5 * M**5 / 86400**2,
        "own answer",
    ),
    Formula(
        "Pumping tests",
        "classes of well loss",
        "C in sec²/ft⁵: 5, 10, 40",
        "Walton (1962)",
        "how many of C = 3, 7, 20 and 50 are not sound",
        3,
        "",
        0.001,
        lambda: sum(step_tests.well_condition(c) != "sound" for c in (3, 7, 20, 50)),
    ),
]
