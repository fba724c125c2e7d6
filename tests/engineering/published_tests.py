"""Pumping tests in print, as rows in feet and minutes: those beside the checkout, and short ones here."""

import csv
from pathlib import Path

import pytest

from wellbook.engineering.pumping_tests import Observed
from wellbook.engineering.step_tests import StepReading

SETS = Path(__file__).parents[3] / "shared" / "data" / "pumptests"
M = 1 / 0.3048
FT2_PER_M2 = M * M
FT3_PER_DAY_PER_M3 = M**3

there = pytest.mark.skipif(
    not SETS.exists(), reason="no published pumping tests beside this checkout"
)


def gpm(m3_per_day: float) -> float:
    return m3_per_day / 1440 * 1000 / 3.785411784


def rows(name: str) -> list[dict[str, str]]:
    with (SETS / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def oude_korendijk(*distances_m: str) -> list[Observed]:
    return [
        Observed(
            float(r["time_min"]), float(r["drawdown_m"]) * M, float(r["piezometer_distance_m"]) * M
        )
        for r in rows("oude_korendijk_constant_rate.csv")
        if r["piezometer_distance_m"] in distances_m
    ]


def gridley(well: str, radius_ft: float) -> list[Observed]:
    return [
        Observed(float(r["time_days"]) * 1440, float(r["drawdown_m"]) * M, radius_ft)
        for r in rows("gridley_constant_rate.csv")
        if r["well"] == well
    ]


def fetter() -> list[Observed]:
    return [
        Observed(float(r["time_s"]) / 60, float(r["drawdown_m"]) * M, 250 * M)
        for r in rows("fetter_theis_table5_1.csv")
    ]


CLARK_M3_PER_DAY = (1306, 1693, 2423, 3261, 4094, 5019)
CLARK_STEP_MINUTES = 180


def clark() -> list[StepReading]:
    readings = []
    for r in rows("clark_step_drawdown.csv"):
        minutes = float(r["time_s"]) / 60
        step = int((minutes - 1e-6) // CLARK_STEP_MINUTES)
        readings.append(
            StepReading(minutes, float(r["drawdown_m"]) * M, gpm(CLARK_M3_PER_DAY[step]))
        )
    return readings


# Todd, Groundwater Hydrology (2nd ed. 1980): 2500 m3/day for 240 minutes, observed 60 m away.
TODD_GPM, TODD_PUMPED_MINUTES = gpm(2500), 240.0
TODD_MINUTES = (1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 60, 80, 100, 140, 180)
TODD_CM = (89, 81, 76, 68, 64, 56, 49, 45, 38, 34, 28, 24, 21, 17, 14)
TODD = [(float(t), cm / 100 * M) for t, cm in zip(TODD_MINUTES, TODD_CM, strict=True)]

# U.S. Bureau of Reclamation, Ground Water Manual (1977): 162.9 ft3/min for 800 minutes, observed
# 100 ft away.
USBR_GPM, USBR_PUMPED_MINUTES = 162.9 * 7.48052, 800.0
_MINUTES = (5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 180, 240, 300, 360, 420)
_MINUTES += (480, 540, 600, 660, 720, 800)
_DRAWN = (8, 22, 35, 41, 50, 55, 66, 73, 80, 86, 92, 96, 100, 104, 107, 124, 135, 145, 152, 159)
_DRAWN += (165, 171, 173, 177, 181, 186)
_LEFT = (178, 164, 153, 145, 137, 132, 122, 115, 109, 103, 97, 94, 90, 87, 85, 70, 61, 54, 49, 46)
_LEFT += (40, 36, 36, 34, 31, 29)
USBR_PUMPED = [
    Observed(float(t), hundredths / 100, 100.0)
    for t, hundredths in zip(_MINUTES, _DRAWN, strict=True)
]
USBR_RECOVERY = [
    (float(t), hundredths / 100) for t, hundredths in zip(_MINUTES, _LEFT, strict=True)
]
