"""Pump models into the shop's own list, and changes of them.

The rules read a pump's curve, so the ledger of every well where the model hangs, or hung, is renewed in
the same transaction.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.head import water_hp
from wellbook.engineering.lift import MAX_SERVICE_FACTOR
from wellbook.errors import WellbookError
from wellbook.hole.records import PumpModel
from wellbook.limits import limits_of
from wellbook.quantities import show, split_suffix
from wellbook.store import tables as t
from wellbook.store.judging import renew
from wellbook.store.pumps import FACTS, pump_key, the_model_of
from wellbook.store.rows import add, by_id, change, log


class UnfitModelError(WellbookError):
    """A model that will not do.

    Parameters
    ----------
    model
        Which of them.
    field
        What of it is wrong, by its name in the model; empty where it is the model as a whole.
    """

    def __init__(self, message: str, model: PumpModel, field: str = "") -> None:
        super().__init__(message, where=field)
        self.model = model
        self.field = field


def add_pumps(connection: Connection, who: str, models: Iterable[PumpModel]) -> list[PumpModel]:
    """Put models into the list: all of them, or, where one will not do, none.

    Returns
    -------
    The models as they are kept.

    Raises
    ------
    UnfitModelError
        Where one is there already, or a number of it cannot be.
    """
    made = [_added(connection, who, checked(model)) for model in models]
    renew(connection, wells_with(connection, {pump_key(m.model) for m in made}))
    return made


def _added(connection: Connection, who: str, model: PumpModel) -> PumpModel:
    _not_there(connection, model)
    number = add(connection, who, t.pump_model, _columns(model))
    put_curve(connection, who, number, None, model.curve)
    return model


def edit_pump(connection: Connection, who: str, old: PumpModel, new: PumpModel) -> bool:
    """Put a changed model in the place of one in the list; its points are replaced as a whole.

    Returns
    -------
    Whether anything differed.

    Raises
    ------
    UnfitModelError
        As `add_pumps`.
    """
    new = checked(new)
    if new == old:
        return False
    if _keys(new) != _keys(old):
        _not_there(connection, new)
    number = connection.execute(select(t.pump_model.c.id).filter_by(**_keys(old))).scalar_one()
    change(connection, who, t.pump_model, number, _columns(new))
    if new.curve != old.curve:
        put_curve(connection, who, number, old.curve, new.curve)
    renew(connection, wells_with(connection, {pump_key(m.model) for m in (old, new)}))
    return True


def wells_with(connection: Connection, model_keys: set[str]) -> list[int]:
    """The wells where a pump of these models hangs, or ever hung, of whichever maker.

    Of whichever, because a second maker's model of one name takes its curve from a record that has
    no maker.
    """
    names = connection.execute(select(t.pump.c.model).where(t.pump.c.model.is_not(None)).distinct())
    meant = [name for name in names.scalars() if pump_key(name) in model_keys]
    query = (
        select(t.component.c.well_id)
        .join(t.pump, t.pump.c.component_id == t.component.c.id)
        .where(t.pump.c.model.in_(meant))
        .order_by(t.component.c.well_id)
    )
    return list(connection.execute(query.distinct()).scalars())


def _keys(model: PumpModel) -> dict[str, str]:
    return {"maker_key": pump_key(model.maker), "model_key": pump_key(model.model)}


def _columns(model: PumpModel) -> dict[str, Any]:
    return {**{name: getattr(model, name) for name in FACTS}, **_keys(model)}


def _not_there(connection: Connection, model: PumpModel) -> None:
    known = the_model_of(connection, model.maker, model.model)
    if known is not None:
        raise UnfitModelError(
            f"{known.name} is in the list already; change it with: wellbook pump edit", model
        )


def put_curve(
    connection: Connection, who: str, number: int, old: HeadCurve | None, new: HeadCurve | None
) -> None:
    """Put a curve in the place of a model's other one; None for none."""
    table = t.pump_point
    connection.execute(delete(table).where(table.c.pump_model_id == number))
    if new is not None:
        rows = [{"pump_model_id": number, "gpm": q, "head_ft": h} for q, h in new.points]
        connection.execute(insert(table), rows)
    if old != new:
        uid = by_id(connection, t.pump_model, number)["uid"]
        shown = [None if c is None else {"points": str(c)} for c in (old, new)]
        log(
            connection,
            who,
            "change" if old else "add",
            "pump_point",
            uid,
            old=shown[0],
            new=shown[1],
        )


# -- what can be -------------------------------------------------------------------------------


def checked(model: PumpModel) -> PumpModel:
    """A model with tidy names, where its numbers can be.

    Raises
    ------
    UnfitModelError
        Naming the field.
    """
    model = replace(
        model,
        maker=" ".join(model.maker.split()),
        model=" ".join(model.model.split()),
        notes=model.notes.strip(),
    )
    for name in ("maker", "model", "hp", "rated_gpm"):
        if getattr(model, name) in (None, ""):
            raise UnfitModelError("missing; a pump model has it", model, name)
    for name in ("hp", "rated_gpm", "service_factor_a", "supply_v"):
        _can_hold(model, name)
    factor = model.service_factor
    if factor is not None and not 1 <= factor <= MAX_SERVICE_FACTOR:
        raise UnfitModelError(
            f"{factor:g} cannot be; it lies between 1 and {MAX_SERVICE_FACTOR:g}, mostly 1.15 to 1.6",
            model,
            "service_factor",
        )
    if model.phases not in (None, 1, 3):
        raise UnfitModelError(f"{model.phases} cannot be; write 1 or 3", model, "phases")
    if model.curve is not None:
        _can_be(model, model.curve)
    return model


def _can_hold(model: PumpModel, name: str) -> None:
    """Whether a number of it is above zero and no slip."""
    value, limits = getattr(model, name), limits_of(name)
    if value is None or limits is None or 0 < value <= limits[1]:
        return
    most = show(limits[1], split_suffix(name)[1])
    raise UnfitModelError(f"{value:g} cannot be; it is above 0 and at most {most}", model, name)


def _can_be(model: PumpModel, curve: HeadCurve) -> None:
    """Whether a curve is of this pump: litres taken for gallons show in its power."""
    first, last = curve.points[0][0], curve.most_gpm
    if not first <= model.rated_gpm <= last:
        raise UnfitModelError(
            f"the curve has {first:g} to {last:g} gpm, and the rated {show(model.rated_gpm, 'gpm')}"
            " is outside it; are the points in gpm and feet?",
            model,
            "points",
        )
    power, gpm, head_ft = max((water_hp(q, h), q, h) for q, h in curve.points)
    if power > model.hp * (model.service_factor or MAX_SERVICE_FACTOR):
        raise UnfitModelError(
            f"{gpm:g} gpm at {head_ft:g} ft is {power:.3g} hp in the water alone, more than a motor of"
            f" {show(model.hp, 'hp')} gives; are the points in gpm and feet?",
            model,
            "points",
        )
