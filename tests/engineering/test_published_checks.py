"""The engineering package against the reference file of published values beside the checkout.

Each check carries its own source and tolerance. The rows that matter most are typed into the other
tests of this folder with their sources, so that a checkout on its own is tested too.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wellbook.engineering.bore import (
    flow_past_motor_gpm,
    gal_per_ft,
    specific_capacity_gpm_per_ft,
    stored_gal,
)
from wellbook.engineering.pipe import (
    OUTSIDE_DIAMETER_IN,
    inside_diameter_in,
    pe_lb_per_ft,
    pvc_lb_per_ft,
    steel_lb_per_ft,
)
from wellbook.engineering.ratings import (
    controlled_inside_rating_psi,
    controlled_outside_rating_psi,
    pvc_rating_psi,
    threaded_rating_psi,
)
from wellbook.engineering.step_tests import well_condition
from wellbook.engineering.weight import PipeRun, copper_lb_per_ft, string_weight, water_lb_per_ft

REFERENCE = Path(__file__).parents[3] / "shared" / "reference" / "engineering_checks.json"
SECTIONS = (1, 2, 6, 9)

# What those sections hold that this package does not reckon, by the start of the id.
NOT_HERE = {
    "pvc.derate.": "derating for hot water",
    "pe.pull.": "safe pull of polyethylene",
    "rope.": "design factors of hoisting rope",
}

Inputs = dict[str, Any]


def _pe_wall(i: Inputs) -> tuple[float, float]:
    return i["id_in"] * (1 + 2 / i["sidr"]), i["id_in"] / i["sidr"]


def _stored(i: Inputs) -> float:
    # The check is of a 2 in bore, and its answer is print's rounded gal/ft times the depth.
    rounding: float = i["galft"] / gal_per_ft(2)
    return stored_gal(2, i["depth_to_water_ft"], i["total_ft"]) * rounding


def _outside_held_id(i: Inputs) -> float | None:
    size = next(size for size, od in OUTSIDE_DIAMETER_IN.items() if od == i["od_in"])
    return inside_diameter_in("pe4710", f"DR {i['dr']:g}", size)


def _string(i: Inputs) -> list[float]:
    run = PipeRun(i["length_ft"], pe_lb_per_ft(*_pe_wall(i)), i["id_in"])
    copper = copper_lb_per_ft(i["awg"], i["conductors"])
    assert copper is not None
    load = string_weight(
        [run], pump_motor_lb=i["pump_lb"], cable_ft=i["length_ft"], cable_lb_per_ft=copper
    )
    return [load.pipe_lb, load.water_lb, load.cable_lb, load.hook_lb]


# The file's words for the classes of a well's loss.
_CLASSES = {
    "sound": "ok",
    "mild": "mild",
    "severe": "severe",
    "hard to restore": "very difficult",
}

HERE: dict[str, Callable[[Inputs], Any]] = {
    "steel.lbft.": lambda i: steel_lb_per_ft(i["od_in"], i["wall_in"]),
    "steel40.lbft.": lambda i: steel_lb_per_ft(i["od_in"], i["wall_in"]),
    "steel40.id.": lambda i: inside_diameter_in("galvanized_steel", "sch 40", i["nominal"]),
    "pvc80.psi.": lambda i: pvc_rating_psi(i["od_in"], i["wall_in"]),
    "pvc120.psi.": lambda i: pvc_rating_psi(i["od_in"], i["wall_in"]),
    "pvc80.threaded.": lambda i: threaded_rating_psi(i["plain_psi"]),
    "pvc40.6in.lbft": lambda i: pvc_lb_per_ft(i["od_in"], i["wall_in"]),
    "pe3408.sidr": lambda i: controlled_inside_rating_psi(i["sidr"], i["hds"]),
    "pe4710.sidr": lambda i: controlled_inside_rating_psi(i["sidr"], i["hds"]),
    "pe4710.dr": lambda i: controlled_outside_rating_psi(i["dr"], i["hds"]),
    "pe.d3035.id.": _outside_held_id,
    "pe.sidr7.lbft.": lambda i: pe_lb_per_ft(*_pe_wall(i)),
    "bore.galft.": lambda i: gal_per_ft(i["id_in"]),
    "bore.storage.": _stored,
    "sc.": lambda i: specific_capacity_gpm_per_ft(i["gpm"], i["drawdown_ft"]),
    "walton": lambda i: [_CLASSES[well_condition(c)] for c in i["C"]],
    "cool.": lambda i: flow_past_motor_gpm(i["casing_in"], i["motor_od_in"], i["fps"]),
    "watercol.": lambda i: water_lb_per_ft(i["id_in"]),
    "string.": _string,
}


def _checks() -> list[Any]:
    if not REFERENCE.exists():
        absent = pytest.mark.skip(reason="no file of published values beside this checkout")
        return [pytest.param({}, marks=absent, id="absent")]
    checks = json.loads(REFERENCE.read_text(encoding="utf-8"))["checks"]
    return [pytest.param(c, id=c["id"]) for c in checks if c["section"] in SECTIONS]


def _of(table: dict[str, Any], check_id: str) -> Any:
    return next((table[start] for start in table if check_id.startswith(start)), None)


@pytest.mark.parametrize("check", _checks())
def test_published_value(check: dict[str, Any]) -> None:
    reckon = _of(HERE, check["id"])
    if reckon is None:
        reason = _of(NOT_HERE, check["id"])
        # A check that is neither run nor named here would be lost without a word.
        assert reason, f"{check['id']} is neither run nor listed as not reckoned here"
        pytest.skip(f"not reckoned by this package: {reason}")
    within = check["tolerance"]
    allowed = {"rel": within.get("rel", 0), "abs": within.get("abs", 0)}
    expected = check["expected"]
    given = reckon(check["inputs"])
    if not within:
        assert given == expected
    else:
        assert given == pytest.approx(expected, **allowed)
