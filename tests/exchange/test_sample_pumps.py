"""The invented shop's list of pumps: what a pump of that power can do, and no more."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest

from wellbook.exchange.pump_file import read_pump_file
from wellbook.exchange.shop_files import sample_folder
from wellbook.hole.records import PumpModel

PUMPS = read_pump_file(sample_folder() / "pumps.csv").models()
SUBMERSIBLE = [m for m in PUMPS if "jet" not in m.notes]


def named(models: list[PumpModel]) -> Any:
    return pytest.mark.parametrize("model", models, ids=lambda m: m.name)


def water_hp(gpm: float, head_ft: float) -> float:
    return gpm * head_ft / 3960


def efficiencies(model: PumpModel) -> list[float]:
    assert model.curve is not None and model.service_factor is not None
    given = model.hp * model.service_factor
    return [water_hp(gpm, head_ft) / given for gpm, head_ft in model.curve.points]


@named(SUBMERSIBLE)
def test_the_water_takes_what_a_pump_of_that_size_passes_on(model: PumpModel) -> None:
    """Small submersibles pass on 40 to 62 % at their best (common practice, no published source)."""
    assert 0.40 <= max(efficiencies(model)) <= 0.62


@named([m for m in PUMPS if m not in SUBMERSIBLE])
def test_a_jet_passes_on_much_less(model: PumpModel) -> None:
    assert 0.15 <= max(efficiencies(model)) <= 0.35


@named(PUMPS)
def test_the_curve_has_the_shape_of_one(model: PumpModel) -> None:
    curve = model.curve
    assert curve is not None and curve.shut_off_ft is not None
    assert 1.25 <= curve.shut_off_ft / curve.head_ft(model.rated_gpm) <= 1.5
    assert 1.4 <= curve.most_gpm / model.rated_gpm <= 1.6
    falls = [(h0 - h1) / (q1 - q0) for (q0, h0), (q1, h1) in pairwise(curve.points)]
    assert all(one < other for one, other in pairwise(falls)), "it falls ever more steeply"


def test_best_near_the_flow_that_it_is_sold_for() -> None:
    for model in PUMPS:
        assert model.curve is not None
        passed_on = efficiencies(model)
        best, _ = model.curve.points[passed_on.index(max(passed_on))]
        assert 0.9 <= best / model.rated_gpm <= 1.4, model.name


@pytest.mark.parametrize(
    ("gpm", "lift_ft", "least_ft", "most_ft"), [(10, 280, 300, 330), (5, 415, 470, 520)]
)
def test_three_quarters_of_a_horsepower_lift_as_the_trade_knows(
    gpm: float, lift_ft: float, least_ft: float, most_ft: float
) -> None:
    """3/4 hp rated 10 gpm from about 280 ft, rated 5 gpm from 415 to 420 (common practice, no
    published source): between where it still reaches a cut-out of 50 psi, and where it stalls."""
    models = [m for m in SUBMERSIBLE if (m.hp, m.rated_gpm) == (0.75, gpm)]
    assert len(models) > 1
    for model in models:
        assert model.curve is not None and model.curve.shut_off_ft is not None
        assert least_ft <= model.curve.shut_off_ft <= most_ft
        assert model.curve.shut_off_ft - 50 * 2.31 <= lift_ft <= model.curve.shut_off_ft


def test_of_one_maker_and_flow_more_power_lifts_higher() -> None:
    for one in SUBMERSIBLE:
        for other in SUBMERSIBLE:
            same = (one.maker, one.rated_gpm) == (other.maker, other.rated_gpm)
            if same and one.hp < other.hp:
                assert one.curve is not None and other.curve is not None
                assert one.curve.head_ft(one.rated_gpm) < other.curve.head_ft(one.rated_gpm)


def _pumps_told_of(told: Any) -> Iterator[dict[str, Any]]:
    if isinstance(told, dict):
        if "model" in told and "maker" in told:
            yield told
        for below in told.values():
            yield from _pumps_told_of(below)
    elif isinstance(told, list):
        for below in told:
            yield from _pumps_told_of(below)


def test_every_model_that_hangs_in_the_shop_is_listed_as_it_hangs() -> None:
    listed = {(m.maker, m.model): (m.hp, m.rated_gpm) for m in PUMPS}
    told = {
        (p["maker"], p["model"]): (p["hp"], p["rated_gpm"])
        for file in sample_folder().glob("*.toml")
        for p in _pumps_told_of(tomllib.loads(file.read_text("utf-8")))
    }
    assert told == listed
