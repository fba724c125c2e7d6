"""The shop's own list of pump models: reading it, and finding one in it.

How a model comes into the list, or is changed, is in `store.pump_writing`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import fields
from difflib import get_close_matches
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, Connection, select

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.records import PumpModel
from wellbook.store import tables as t
from wellbook.store.rows import records
from wellbook.store.words import words_of
from wellbook.terms import WellStatus

Named = tuple[str | None, str | None]
"""Maker and model, as a record has them."""


def pump_key(name: str | None) -> str:
    """A maker or a model as it is compared: small letters, no blanks.

    >>> pump_key(" O 510"), pump_key("o510"), pump_key(None)
    ('o510', 'o510', '')
    """
    return "".join((name or "").casefold().split())


# -- the list ----------------------------------------------------------------------------------


def all_models(connection: Connection, words: str = "") -> list[PumpModel]:
    """The list by maker and model, or those of it that words fit."""
    listed = _read(connection)
    return [m for m in listed if _fits(m, words, whole=False)] if words.strip() else listed


def models_of(connection: Connection, pumps: Iterable[Named]) -> dict[Named, PumpModel]:
    """The models of pumps that are in the list, by one query for all of them.

    Parameters
    ----------
    pumps
        Maker and model of each as the record has them: case and blanks do not count, and where the
        maker is missing the model alone will do, if the list has it of one maker only.
    """
    wanted = {pump: (pump_key(pump[0]), pump_key(pump[1])) for pump in pumps if pump_key(pump[1])}
    if not wanted:
        return {}
    keys = sorted({model for _, model in wanted.values()})
    by_model: dict[str, list[PumpModel]] = defaultdict(list)
    for listed in _read(connection, t.pump_model.c.model_key.in_(keys)):
        by_model[pump_key(listed.model)].append(listed)
    found: dict[Named, PumpModel] = {}
    for pump, (maker, model) in wanted.items():
        fits = [m for m in by_model[model] if not maker or pump_key(m.maker) == maker]
        if len(fits) == 1:
            found[pump] = fits[0]
    return found


def the_model_of(connection: Connection, maker: str | None, model: str | None) -> PumpModel | None:
    """The model of one pump, as of a string that is only planned; None where it is not listed."""
    return models_of(connection, [(maker, model)]).get((maker, model))


def _read(connection: Connection, *where: ColumnElement[bool]) -> list[PumpModel]:
    model, point = t.pump_model, t.pump_point
    query = (
        select(model, point.c.gpm, point.c.head_ft)
        .outerjoin(point, point.c.pump_model_id == model.c.id)
        .where(*where)
        .order_by(model.c.maker_key, model.c.model_key, point.c.gpm)
    )
    rows = records(connection, query)
    return [_model(list(of_one)) for _, of_one in groupby(rows, key=lambda r: r["id"])]


FACTS = tuple(f.name for f in fields(PumpModel) if f.name != "curve")
"""What is kept of a model beside its points: fields and columns of one name."""


def _model(rows: list[Mapping[str, Any]]) -> PumpModel:
    points = tuple((r["gpm"], r["head_ft"]) for r in rows if r["gpm"] is not None)
    curve = HeadCurve(points) if points else None
    return PumpModel(**{name: rows[0][name] for name in FACTS}, curve=curve)


# -- naming one --------------------------------------------------------------------------------


def the_pump(connection: Connection, words: str) -> PumpModel:
    """The one model that its name, or any words of maker and model, single out.

    Raises
    ------
    NotFoundError
        If none fits.
    WellbookError
        If several do: they are listed, never guessed between.
    """
    listed = all_models(connection)
    asked = pump_key(words)
    exact = [m for m in listed if asked and asked in _names(m)]
    bare = [m for m in listed if _bare(asked) and _bare(asked) in map(_bare, _names(m))]
    whole = [m for m in listed if _fits(m, words, whole=True)]
    begun = [m for m in listed if _fits(m, words, whole=False)]
    fits = exact or bare or whole or begun
    if len(fits) == 1:
        return fits[0]
    if fits:
        raise WellbookError(
            f"'{words}' fits several pump models: {_named(fits)}; name one by maker and model"
        )
    near = get_close_matches(words.casefold(), _spoken(listed), n=3, cutoff=0.6)
    hint = f"; near to it: {_named([_spoken(listed)[n] for n in near])}" if near else ""
    empty = "the list of pump models is empty; see: wellbook pump add --help"
    raise NotFoundError(f"no pump model fits '{words}'{hint}" if listed else empty, where="MODEL")


def _names(model: PumpModel) -> tuple[str, str]:
    return pump_key(model.model), pump_key(model.name)


def _bare(key: str) -> str:
    """A name without its hyphens: "o510" is written as often as "O-510"."""
    return "".join(sign for sign in key if sign.isalnum())


def _fits(model: PumpModel, words: str, *, whole: bool) -> bool:
    """Whether all words are words of its name, or begin one."""
    asked, own = words_of(words), words_of(model.name)
    return bool(asked) and all(
        word in own if whole else any(name.startswith(word) for name in own) for word in asked
    )


def _spoken(listed: Iterable[PumpModel]) -> dict[str, PumpModel]:
    return {name.casefold(): m for m in listed for name in (m.model, m.name)}


def _named(models: Iterable[PumpModel]) -> str:
    names = list(dict.fromkeys(m.name for m in models))
    return "; ".join(names[:6]) + (" ..." if len(names) > 6 else "")


# -- where they hang ---------------------------------------------------------------------------


def hangs_in(connection: Connection) -> dict[PumpModel, list[str]]:
    """Each model of the list that hangs somewhere now, with the tags of the wells."""
    pump, part, well = t.pump, t.component, t.well
    query = (
        select(pump.c.maker, pump.c.model, well.c.tag)
        .join(part, part.c.id == pump.c.component_id)
        .join(well, well.c.id == part.c.well_id)
        .where(pump.c.model.is_not(None), part.c.pulled_text.is_(None))
        .where(well.c.status != WellStatus.SEALED.value)
        .order_by(well.c.tag)
    )
    rows = [((maker, model), tag) for maker, model, tag in connection.execute(query)]
    models = models_of(connection, [named for named, _ in rows])
    found: dict[PumpModel, list[str]] = defaultdict(list)
    for named, tag in rows:
        if named in models:
            found[models[named]].append(tag)
    return found
