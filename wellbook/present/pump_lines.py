"""A pump model of the shop's list in words, in a row of a list, and as JSON."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from dataclasses import fields
from typing import Any

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.operating import OperatingPoint
from wellbook.hole.records import PumpModel
from wellbook.present.curve_plot import CurvePlot, Plot, plot_of
from wellbook.quantities import show
from wellbook.rules.duty import Meeting
from wellbook.rules.pressures import pumped_against

_MOST_TAGS = 8
STALLS = "at shut-off no water passes, and a pump that runs so overheats"
"""Common practice, no published source."""


def pump_plot(model: PumpModel, at: Meeting | None = None) -> Plot | None:
    """Its curve to be drawn, with a well's where one is asked for; None where it has no points."""
    if model.curve is None:
        return None
    if at is None:
        return plot_of(CurvePlot(_title(model), model.curve, rated_gpm=model.rated_gpm))
    title = f"{_title(model)}, in {at.tag}"
    met = at.point
    # Where the water falls to the pump first, it never works at the crossing.
    works = isinstance(met, OperatingPoint) and not at.drawn_down
    point = (met.gpm, met.head_ft) if isinstance(met, OperatingPoint) and works else None
    return plot_of(CurvePlot(title, model.curve, at.system.head_ft, point, model.rated_gpm))


def meeting_text(at: Meeting) -> str:
    """What the pump gives in a well, or why it gives nothing."""
    against = pumped_against(at.system.cut_out_psi)
    if not at.cut_out_known:
        against += " (the usual: not on record)"
    if at.unsaid:
        against += f", {at.unsaid}"
    if isinstance(at.point, OperatingPoint):
        gives = f"{show(round(at.point.gpm, 1), 'gpm')} {against}"
        if at.drawn_down and at.set_depth_ft is not None:
            return f"draws the well down to the pump, {show(at.set_depth_ft, 'ft')}, before it gives {gives}"
        return f"{gives}, the water at {show(round(at.point.pumping_level_ft), 'ft')}"
    return f"{at.point}, {against}"


def _title(model: PumpModel) -> str:
    return f"{model.name}, {show(model.hp, 'hp')}, {show(model.rated_gpm, 'gpm')}"


def pump_lines(model: PumpModel, wells: Sequence[str], at: Meeting | None = None) -> Iterator[str]:
    """What is known of it, in lines."""
    yield f"pump {_title(model)}"
    motor = list(_motor(model))
    if motor:
        yield f"  motor    {', '.join(motor)}"
    if model.curve is None:
        named = shlex.join(model.name.split())
        yield f"  curve    none; add it: wellbook pump edit {named} --points, or --from"
    else:
        yield f"  curve    {', '.join(_curve(model, model.curve))}"
        yield f"  gpm:ft   {model.curve}"
    yield f"  wells    {few(wells) if wells else 'hangs in none'}"
    if at is not None:
        yield f"  {at.tag:<9}{meeting_text(at)}"
    if model.notes:
        yield f"  notes    {model.notes}"
    if _shut_off(model) is not None:
        yield f"  mind     {STALLS}"


def _motor(model: PumpModel) -> Iterator[str]:
    if model.service_factor is not None:
        yield f"service factor {model.service_factor:g}"
    if model.service_factor_a is not None:
        yield f"{show(model.service_factor_a, 'a')} at it"
    if model.supply_v is not None:
        yield show(model.supply_v, "v")
    if model.phases is not None:
        yield "single-phase" if model.phases == 1 else "three-phase"


def _curve(model: PumpModel, curve: HeadCurve) -> Iterator[str]:
    """The points by which one knows it: no flow, the rated flow, the end."""
    if curve.shut_off_ft is not None:
        yield f"shut-off {show(curve.shut_off_ft, 'ft')}"
    head_ft = round(curve.head_ft(model.rated_gpm))
    yield f"{show(head_ft, 'ft')} at the rated {show(model.rated_gpm, 'gpm')}"
    gpm, least_ft = curve.points[-1]
    yield f"ends with {show(least_ft, 'ft')} at {show(gpm, 'gpm')}"


def _head_at_rated(model: PumpModel) -> float | None:
    return None if model.curve is None else model.curve.head_ft(model.rated_gpm)


def _shut_off(model: PumpModel) -> float | None:
    return None if model.curve is None else model.curve.shut_off_ft


def _ends(model: PumpModel) -> float | None:
    return None if model.curve is None else model.curve.most_gpm


def pump_row(model: PumpModel, wells: Sequence[str]) -> dict[str, str]:
    """It in a row of the list."""

    def shown(value: float | None, unit: str) -> str:
        return "" if value is None else show(round(value, 1 if unit == "gpm" else 0), unit)

    return {
        "maker": model.maker,
        "model": model.model,
        "hp": show(model.hp, "hp"),
        "rated": shown(model.rated_gpm, "gpm"),
        "head": shown(_head_at_rated(model), "ft"),
        "shut_off": shown(_shut_off(model), "ft"),
        "ends": shown(_ends(model), "gpm"),
        "wells": few(wells),
    }


def few(tags: Sequence[str]) -> str:
    """Tags of wells, the first of them where there are many.

    >>> few(["TF-0001", "TF-0002"]), few([])
    ('TF-0001, TF-0002', '')
    """
    more = f" and {len(tags) - _MOST_TAGS} more" if len(tags) > _MOST_TAGS else ""
    return ", ".join(tags[:_MOST_TAGS]) + more


def pump_json(model: PumpModel, wells: Sequence[str], at: Meeting | None = None) -> dict[str, Any]:
    """It for other programs: points in gpm and feet; with a well, where its curve meets that."""
    facts = {f.name: getattr(model, f.name) for f in fields(model) if f.name != "curve"}
    points = [] if model.curve is None else model.curve.points
    return {
        **facts,
        "points": [{"gpm": gpm, "head_ft": head_ft} for gpm, head_ft in points],
        "head_at_rated_ft": _head_at_rated(model),
        "shut_off_ft": _shut_off(model),
        "most_gpm": _ends(model),
        "wells": list(wells),
        **({} if at is None else {"in_well": _meeting_json(at)}),
    }


def _meeting_json(at: Meeting) -> dict[str, Any]:
    met = at.point if isinstance(at.point, OperatingPoint) else None
    return {
        "well": at.tag,
        "cut_out_psi": at.system.cut_out_psi,
        "gpm": None if met is None else met.gpm,
        "head_ft": None if met is None else met.head_ft,
        "pumping_level_ft": None if met is None else met.pumping_level_ft,
        "drawn_down": at.drawn_down,
        "why_not": "" if met is not None else str(at.point),
    }
