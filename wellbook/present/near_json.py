"""What the wells around a place say, for other programs."""

from __future__ import annotations

from collections.abc import Mapping

from wellbook.hole.neighbours import FIGURES, Figure, Neighbour, Spread, spread_of
from wellbook.present.envelope import Shape, envelope, when_json
from wellbook.present.near_texts import NO_PROMISE
from wellbook.store.nearby import Nearby


def near_json(found: Nearby, shown: int) -> Shape:
    """The answer: `summary` is of `summed_up` wells, `wells` are the nearest of them."""
    latitude, longitude = found.spot.place
    return envelope(
        "wellbook.near",
        1,
        place={"name": found.spot.name, "latitude": latitude, "longitude": longitude},
        within_mi=found.within_mi,
        count=found.count,
        summed_up=len(found.wells),
        without_coordinates=found.without_place,
        summary={name: _spread(spread_of(found.wells, name)) for name in FIGURES},
        dry=sum(w.dry for w in found.wells),
        flowing=sum(w.flowing for w in found.wells),
        sealed=sum(w.sealed for w in found.wells),
        wells=[_well(found, well) for well in found.wells[:shown]],
        caution=NO_PROMISE,
    )


def _spread(lies: Spread | None) -> Shape | None:
    if lies is None:
        return None
    first, third = lies.quarters or (None, None)
    return {
        "count": lies.count,
        "least": lies.least,
        "first_quartile": first,
        "median": lies.median,
        "third_quartile": third,
        "most": lies.most,
    }


def _well(found: Nearby, well: Neighbour) -> Shape:
    latitude, longitude = well.place
    hole = well.hole
    return {
        "well": hole.tag,
        "permit_no": hole.permit_no,
        "role": hole.role.value,
        "status": hole.status.value,
        "road": well.road,
        "town": well.town,
        "latitude": latitude,
        "longitude": longitude,
        "rounding_mi": well.rounding_mi,
        "sharing_coordinates": found.sharing.get(well.place, 0),
        "away_mi": well.away_mi,
        "bearing_degrees": well.bearing_degrees,
        "drilled_on": when_json(hole.drilled_on),
        "dry": well.dry,
        "flowing": well.flowing,
        "figures": _figures(well.figures),
    }


def _figures(figures: Mapping[str, Figure]) -> Shape:
    return {name: _figure(figures.get(name)) for name in FIGURES}


def _figure(figure: Figure | None) -> Shape | None:
    if figure is None:
        return None
    return {
        "value": figure.value,
        "basis": figure.basis.value,
        "as_of": when_json(figure.as_of),
    }
