"""Pumping tests: sets in print, each with its method and its published answer; scipy; and errors."""

import math

import numpy as np
import published_tests as published
import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_otherwise import OUDE_KORENDIJK_M2_PER_DAY
from published_tests import FT2_PER_M2, M, gpm, there
from scipy.optimize import least_squares
from scipy.special import exp1

from wellbook.engineering.pumping_tests import (
    AquiferFit,
    Observed,
    cooper_jacob,
    recovery,
    theis,
    theis_drawdown_ft,
    thiem_transmissivity_ft2_per_day,
)
from wellbook.engineering.well_function import well_function


def in_metres(found: AquiferFit) -> tuple[float, float | None, float]:
    """Transmissivity in m2/day, storativity, error in m."""
    return (
        found.transmissivity_ft2_per_day / FT2_PER_M2,
        found.storativity,
        found.rmse_ft / M,
    )


def by_numpys_line(line: list[tuple[float, float]], rate_gpm: float) -> float:
    """Transmissivity, m2/day, of the slope over a log cycle of times (or of t/t')."""
    slope = abs(np.polyfit([math.log10(t) for t, _ in line], [s for _, s in line], 1)[0])
    return float(math.log(10) * rate_gpm * 1440 / 7.48052 / (4 * math.pi * slope) / FT2_PER_M2)


def by_scipys_fit(
    readings: list[Observed], rate_gpm: float, t: float, s: float
) -> tuple[float, float, float]:
    """Transmissivity, ft2/day, storativity, and error, feet, from a first guess of the two."""
    flow = rate_gpm * 1440 / 7.48052

    def off(p: list[float]) -> list[float]:
        tt, ss = math.exp(p[0]), math.exp(p[1])
        return [
            flow
            / (4 * math.pi * tt)
            * float(exp1(o.radius_ft**2 * ss / (4 * tt * o.minutes / 1440)))
            - o.drawdown_ft
            for o in readings
        ]

    theirs = least_squares(off, [math.log(t), math.log(s)], x_scale="jac")
    error = math.sqrt(2 * theirs.cost / len(readings))
    return math.exp(theirs.x[0]), math.exp(theirs.x[1]), error


# ------------------------------------------------------------------------------ the well function


@pytest.mark.parametrize(
    ("u", "w"),
    # Wenzel, USGS Water-Supply Paper 887 (1942), the table reprinted in every textbook since.
    [
        (1e-15, 33.9616),
        (1e-10, 22.4486),
        (1e-6, 13.2383),
        (1e-4, 8.6332),
        (0.01, 4.0379),
        (0.1, 1.8229),
        (0.5, 0.5598),
        (1.0, 0.2194),
        (2.0, 0.04890),
        (5.0, 0.001148),
        (9.0, 0.00001245),
    ],
)
def test_well_function_as_tabled(u: float, w: float) -> None:
    assert well_function(u) == pytest.approx(w, rel=5e-4)


@given(st.floats(min_value=-40, max_value=6.5).map(math.exp))
def test_well_function_as_scipy_has_it(u: float) -> None:
    assert well_function(u) == pytest.approx(float(exp1(u)), rel=1e-13)


@given(st.floats(min_value=1e-12, max_value=600), st.floats(min_value=1.001, max_value=100))
def test_well_function_falls(u: float, times: float) -> None:
    assert well_function(u * times) < well_function(u)


def test_well_function_at_its_ends() -> None:
    assert well_function(1e4) == 0
    for bad in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(ValueError, match=r"^u: "):
            well_function(bad)


# -------------------------------------------------------------------------------- sets in print


@pytest.mark.realdata
@there
@pytest.mark.parametrize(
    ("distances_m", "m2_per_day", "storativity", "rmse_m"),
    # A least-squares fit of the same file by scipy, made by somebody else (EXPECTED.md beside it).
    [
        (("30", "90"), 462.6, 1.78e-4, 0.0501),
        (("30",), 480.5, 1.13e-4, None),
        (("90",), 501.1, 2.04e-4, None),
    ],
)
def test_theis_on_oude_korendijk(
    distances_m: tuple[str, ...], m2_per_day: float, storativity: float, rmse_m: float | None
) -> None:
    """Published: 390 m2/day by hand (Kruseman and de Ridder); 66.09 m/day x 7 m = 462.6 by a fit of
    both wells (timflow). Their storage per metre cannot be compared with a storativity safely."""
    found = in_metres(theis(published.oude_korendijk(*distances_m), gpm(788)))
    assert found[0] == pytest.approx(m2_per_day, rel=1e-3)
    assert found[1] == pytest.approx(storativity, rel=5e-3)
    if rmse_m is not None:
        assert found[2] == pytest.approx(rmse_m, abs=1e-4)
        assert found[0] == pytest.approx(66.09 * 7, rel=1e-3)
        assert found[0] == pytest.approx(OUDE_KORENDIJK_M2_PER_DAY, abs=0.1)


@pytest.mark.realdata
@there
def test_theis_on_gridley() -> None:
    """A published fit: 22.95 m/day x 18 ft = 125.9 m2/day and 3.722e-6/m x 18 ft = 2.04e-5, of both
    wells; the observation well alone, by scipy, 123.0 and 2.10e-5."""
    found = in_metres(theis(published.gridley("obs1_824ft", 824), 220))
    assert found[0] == pytest.approx(123.0, abs=0.1)
    assert found[1] == pytest.approx(2.10e-5, rel=3e-3)
    assert found[2] == pytest.approx(0.028, abs=5e-4)


@pytest.mark.realdata
@there
def test_the_pumped_well_of_gridley_gives_a_transmissivity_only() -> None:
    """A line through the same late readings by numpy, 153 m2/day; the published joint fit, 125.9, is
    another method. Its storativity means nothing and is not compared."""
    readings = published.gridley("pumped", 1)
    found = cooper_jacob(readings, 220)
    late = readings[-found.readings_used :]
    line = [(r.minutes, r.drawdown_ft) for r in late]
    assert in_metres(found)[0] == pytest.approx(by_numpys_line(line, 220), rel=1e-6)


@pytest.mark.realdata
@there
def test_theis_on_fetter() -> None:
    """Fetter (2001) p. 173, by type curve: 1.5e-3 m2/s and 2.4e-5; by a program (hytool) 1.4e-3 and
    2.1e-5; by scipy 1.425e-3 and 2.12e-5."""
    found = in_metres(theis(published.fetter(), gpm(1.3888e-2 * 86400)))
    assert found[0] / 86400 == pytest.approx(1.425e-3, rel=1e-3)
    assert found[1] == pytest.approx(2.12e-5, rel=5e-3)
    assert found[2] == pytest.approx(0.028, abs=5e-4)


@pytest.mark.realdata
@there
def test_cooper_jacob_on_fetter() -> None:
    """Fetter (2001) p. 174-175 by the straight line: 1.5e-3 m2/s and 1.7e-5."""
    found = cooper_jacob(published.fetter(), gpm(1.3888e-2 * 86400))
    metres = in_metres(found)
    assert round(metres[0] / 86400, 4) == 1.5e-3
    # Half of the readings are too early for the line.
    assert found.readings_used == 11
    # From the third reading on, as a published program takes it, it is print's to two digits.
    whole = in_metres(cooper_jacob(published.fetter()[2:], gpm(1.3888e-2 * 86400), u_below=1))
    assert (round(whole[0] / 86400, 5), round(whole[1] or 0, 6)) == (1.55e-3, 1.7e-5)


def test_recovery_of_todd() -> None:
    """Numpy's line through all readings, 1187 m2/day. (In print, and not met: Todd's own line, drawn
    by hand, 1140; Batu, by another method, 1123.)"""
    found = recovery(published.TODD, published.TODD_GPM, published.TODD_PUMPED_MINUTES)
    line = [((t + published.TODD_PUMPED_MINUTES) / t, s) for t, s in published.TODD]
    assert in_metres(found)[0] == pytest.approx(by_numpys_line(line, published.TODD_GPM), rel=1e-6)
    assert in_metres(found)[2] < 0.02
    assert found.storativity is None


def test_recovery_and_theis_of_the_bureau_of_reclamation() -> None:
    """By numpy's line and by scipy's fit. (In print, and not met: Zheng and others, Ground Water 43
    (2005) 939-942, by a method of their own for the recovery.)"""
    late = [(t, s) for t, s in published.USBR_RECOVERY if t >= 120]
    found = recovery(late, published.USBR_GPM, published.USBR_PUMPED_MINUTES)
    line = [((t + published.USBR_PUMPED_MINUTES) / t, s) for t, s in late]
    assert in_metres(found)[0] == pytest.approx(by_numpys_line(line, published.USBR_GPM), rel=1e-6)
    pumped = theis(published.USBR_PUMPED, published.USBR_GPM)
    t, s, _ = by_scipys_fit(published.USBR_PUMPED, published.USBR_GPM, 50_000, 0.05)
    assert pumped.transmissivity_ft2_per_day == pytest.approx(t, rel=1e-4)
    assert pumped.storativity == pytest.approx(s, rel=1e-3)
    # Early readings of an observation well do not belong into the line of a recovery.
    whole = recovery(published.USBR_RECOVERY, published.USBR_GPM, published.USBR_PUMPED_MINUTES)
    assert whole.rmse_ft > 4 * found.rmse_ft


def test_thiem_on_oude_korendijk() -> None:
    """Of the wells at 30 and 90 m by hand 370.4. (In print of all wells, and not met: 389 and 363.)"""
    found = thiem_transmissivity_ft2_per_day(
        gpm(788),
        near_ft=30 * M,
        near_drawdown_ft=1.088 * M,
        far_ft=90 * M,
        far_drawdown_ft=0.716 * M,
    )
    assert found / FT2_PER_M2 == pytest.approx(370.4, abs=0.1)


# ------------------------------------------------------------- an independent fit, and properties

times = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0)
transmissivities = st.floats(min_value=2, max_value=10).map(math.exp)
storativities = st.floats(min_value=-11, max_value=-4).map(math.exp)


def made(t: float, s: float, radius_ft: float, rate: float = 50) -> list[Observed]:
    return [
        Observed(
            m,
            theis_drawdown_ft(
                rate,
                transmissivity_ft2_per_day=t,
                storativity=s,
                radius_ft=radius_ft,
                minutes=m,
            ),
            radius_ft,
        )
        for m in times
    ]


@given(transmissivities, storativities)
def test_theis_finds_what_it_was_made_of(t: float, s: float) -> None:
    radius_ft = math.sqrt(4 * t * 10 / 1440 * 0.05 / s)
    found = theis(made(t, s, radius_ft), 50)
    assert found.transmissivity_ft2_per_day == pytest.approx(t, rel=1e-4)
    assert found.storativity == pytest.approx(s, rel=1e-3)


@given(transmissivities, storativities, st.integers(min_value=0, max_value=2**16))
def test_theis_fits_as_well_as_scipy(t: float, s: float, noise: int) -> None:
    radius_ft = math.sqrt(4 * t * 10 / 1440 * 0.05 / s)
    shaken = [
        Observed(o.minutes, o.drawdown_ft * (1 + (0.05 if noise >> k & 1 else -0.05)), radius_ft)
        for k, o in enumerate(made(t, s, radius_ft))
    ]
    theirs, _, rmse_ft = by_scipys_fit(shaken, 50, t, s)
    found = theis(shaken, 50)
    assert found.rmse_ft <= rmse_ft * (1 + 1e-6) + 1e-9
    assert found.transmissivity_ft2_per_day == pytest.approx(theirs, rel=0.01)


@given(transmissivities, storativities, st.floats(min_value=0.1, max_value=10))
def test_twice_the_rate_is_twice_the_transmissivity(t: float, s: float, times_: float) -> None:
    radius_ft = math.sqrt(4 * t * 10 / 1440 * 0.05 / s)
    readings = made(t, s, radius_ft)
    one, other = theis(readings, 50), theis(readings, 50 * times_)
    assert other.transmissivity_ft2_per_day == pytest.approx(
        times_ * one.transmissivity_ft2_per_day
    )
    assert other.storativity == pytest.approx(times_ * (one.storativity or 0))


@given(transmissivities, storativities)
def test_cooper_jacob_is_theis_where_u_is_small(t: float, s: float) -> None:
    radius_ft = math.sqrt(4 * t * 10 / 1440 * 0.05 / s)
    found = cooper_jacob(made(t, s, radius_ft), 50)
    assert found.transmissivity_ft2_per_day == pytest.approx(t, rel=0.02)
    assert found.storativity == pytest.approx(s, rel=0.1)
    # u of the reading at 10 minutes is 0.05, and it is not let in below that.
    assert found.readings_used <= sum(m >= 8 for m in times)


@given(transmissivities, st.floats(min_value=60, max_value=3000))
def test_recovery_finds_what_it_was_made_of(t: float, pumped: float) -> None:
    def drawn(minutes: float) -> float:
        return theis_drawdown_ft(
            50, transmissivity_ft2_per_day=t, storativity=1e-4, radius_ft=0.25, minutes=minutes
        )

    left = [(m, drawn(pumped + m) - drawn(m)) for m in times]
    found = recovery(left, 50, pumped)
    assert found.transmissivity_ft2_per_day == pytest.approx(t, rel=1e-3)


# ----------------------------------------------------------------------- zero, absurd and missing

FINE = made(1000, 1e-4, 100)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for fit in (theis, cooper_jacob):
        with pytest.raises(ValueError, match=r"^gpm: "):
            fit(FINE, bad)
        with pytest.raises(ValueError, match=r"^readings: .*minutes"):
            fit([*FINE, Observed(bad, 1, 100)], 50)
        with pytest.raises(ValueError, match=r"^radius_ft: "):
            fit([*FINE, Observed(1, 1, bad)], 50)
        if bad:
            with pytest.raises(ValueError, match=r"^readings: .*drawdown_ft"):
                fit([*FINE, Observed(1, bad, 100)], 50)
    with pytest.raises(ValueError, match=r"^gpm: "):
        recovery(published.TODD, bad, 240)
    with pytest.raises(ValueError, match=r"^pumped_minutes: "):
        recovery(published.TODD, 50, bad)
    with pytest.raises(ValueError, match=r"^readings: "):
        recovery([*published.TODD, (bad, 1.0)], 50, 240)
    with pytest.raises(ValueError, match=r"^u_below: "):
        cooper_jacob(FINE, 50, u_below=bad)
    right = {
        "transmissivity_ft2_per_day": 1000.0,
        "storativity": 1e-4,
        "radius_ft": 100.0,
        "minutes": 10.0,
    }
    for field in right if bad != 1e12 else ("radius_ft", "minutes"):
        with pytest.raises(ValueError, match=rf"^{field}: "):
            theis_drawdown_ft(50, **(right | {field: bad}))
    wells = {"near_ft": 30.0, "near_drawdown_ft": 3.0, "far_ft": 90.0, "far_drawdown_ft": 2.0}
    for field in wells:
        if bad == 0 and field == "far_drawdown_ft":
            continue
        with pytest.raises(ValueError, match=rf"^{field}: "):
            thiem_transmissivity_ft2_per_day(50, **(wells | {field: bad}))


def test_wells_the_wrong_way_round() -> None:
    with pytest.raises(ValueError, match=r"^far_ft: 30 is not farther off"):
        thiem_transmissivity_ft2_per_day(
            50, near_ft=90, near_drawdown_ft=3, far_ft=30, far_drawdown_ft=2
        )
    with pytest.raises(ValueError, match=r"^far_drawdown_ft: 3 is not less"):
        thiem_transmissivity_ft2_per_day(
            50, near_ft=30, near_drawdown_ft=3, far_ft=90, far_drawdown_ft=3
        )


@pytest.mark.parametrize("fit", [theis, cooper_jacob])
def test_readings_that_tell_nothing(fit: type) -> None:
    for few in ([], FINE[:2], [FINE[0]] * 5):
        with pytest.raises(ValueError, match=r"^readings: at least 3"):
            fit(few, 50)
    with pytest.raises(ValueError, match=r"^readings: none of them is drawn down"):
        fit([Observed(m, 0, 100) for m in times], 50)
    with pytest.raises(ValueError, match=r"^readings: "):
        fit([Observed(m, 5, 100) for m in times], 50)
    with pytest.raises(ValueError, match=r"^readings: "):
        fit([Observed(m, 600 - m, 100) for m in times], 50)


def test_readings_that_are_all_early_have_no_line() -> None:
    early = made(100, 1e-2, 100)[:5]
    with pytest.raises(ValueError, match=r"^readings: fewer than 3 are late enough"):
        cooper_jacob(early, 50)


def test_a_level_that_does_not_come_back() -> None:
    with pytest.raises(ValueError, match=r"^readings: the level does not rise"):
        recovery([(1, 1.0), (10, 1.0), (100, 1.0)], 50, 240)
    with pytest.raises(ValueError, match=r"^readings: at least 3"):
        recovery([(1, 1.0), (10, 0.5)], 50, 240)
