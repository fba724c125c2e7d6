"""The hole itself in a drawing: walls, water, the string, and the lines of its limits.

Depths are to scale, `y = ground + depth x scale`; widths are to a scale of their own, or a well would
be a hair.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.present.cross_section import LIMITS, CrossSection
from wellbook.present.marks import Box, Dot, Hatch, Mark, Oval, Shape, Stroke, box
from wellbook.present.picture import Feature
from wellbook.rules.materials import is_metal
from wellbook.rules.reach import PipeReach
from wellbook.terms import FoundKind, IntervalKind, Kind

CENTRE = 422
"""Where the middle of the hole stands."""
_WIDEST, _NARROWEST, _UNKNOWN = 46.0, 20.0, 34.0
"""Half the width that the widest, the narrowest and a bore of unknown width are drawn with."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a depth stands in the drawing."""

    ground: float
    per_ft: float

    def __call__(self, depth_ft: float) -> float:
        return round(self.ground + depth_ft * self.per_ft, 2)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of wall: from where to where, and how far from the middle it stands."""

    kind: str
    from_ft: float
    to_ft: float
    half: float


def widest_half(section: CrossSection) -> float:
    """How far the outermost wall stands from the middle."""
    return max((w.half for w in _walls(section)), default=_UNKNOWN)


def draw_hole(section: CrossSection, scale: Scale) -> Iterator[Mark]:
    """All of the hole, from what is behind to what is in front."""
    walls, widest = _walls(section), widest_half(section)
    yield from _water(section, walls, scale)
    yield from _no_water(section, walls, scale)
    yield from (part for wall in walls for part in _wall(wall, scale))
    yield from _ground_and_bottom(section, widest, scale)
    yield from _levels(section, walls, scale)
    yield from _string(section, scale)
    yield from _limit_lines(section, widest, scale)
    yield from _usable(section, widest, scale)


def _walls(section: CrossSection) -> list[Stretch]:
    """Every stretch on record, and where there is none a wall that nobody knows."""
    hole, features = section.hole, section.scene.features
    lowest = features[-1].depth_ft
    widths = [i.diameter_in for i in hole.intervals if i.diameter_in]
    per_in = _WIDEST / max(widths) if widths else 0.0
    found: list[Stretch] = []
    for i in hole.intervals:
        to_ft = min(lowest if i.to_ft is None else i.to_ft, lowest)
        from_ft = i.from_ft or 0.0
        half = max(_NARROWEST, i.diameter_in * per_in) if i.diameter_in else _UNKNOWN
        if i.kind is IntervalKind.CASING and from_ft <= 0:
            from_ft = -(hole.stick_up_ft or 0.0)
        if to_ft > from_ft:
            found.append(Stretch(i.kind.value, from_ft, to_ft, half))
    reached = -(hole.stick_up_ft or 0.0)
    for wall in sorted(found, key=lambda w: w.from_ft):
        if wall.kind != IntervalKind.FRACTURED.value:
            if wall.from_ft > reached:
                found.append(Stretch("unknown", reached, wall.from_ft, wall.half))
            reached = max(reached, wall.to_ft)
    if reached < lowest:
        half = min((w.half for w in found), default=_UNKNOWN)
        found.append(Stretch("unknown", reached, lowest, half))
    return found


_WALL_CLASS = {"open_hole": "open"}


def _wall(wall: Stretch, scale: Scale) -> Iterator[Mark]:
    name = _WALL_CLASS.get(wall.kind, wall.kind)
    for side in (-1, 1):
        x = CENTRE + side * wall.half
        if wall.kind == "fractured":
            for part in (0.2, 0.5, 0.8):
                y = scale(wall.from_ft + part * (wall.to_ft - wall.from_ft))
                yield Stroke(name, x + side * 3, y, x + side * 15, y - 4)
        else:
            yield Stroke(name, x, scale(wall.from_ft), x, scale(wall.to_ft))


def _half_at(walls: list[Stretch], depth_ft: float) -> float:
    here = [w.half for w in walls if w.from_ft <= depth_ft <= w.to_ft and w.kind != "fractured"]
    return max(here, default=_UNKNOWN)


def _filled(
    walls: list[Stretch], from_ft: float, to_ft: float, scale: Scale
) -> Iterator[tuple[float, float, float, float]]:
    """The hole between two depths, as wide as it is at each."""
    ends = {
        from_ft,
        to_ft,
        *(e for w in walls for e in (w.from_ft, w.to_ft) if from_ft < e < to_ft),
    }
    cuts = sorted(ends)
    for upper, lower in pairwise(cuts):
        half = _half_at(walls, (upper + lower) / 2)
        yield CENTRE - half, scale(upper), 2 * half, scale(lower) - scale(upper)


def _of(section: CrossSection, *kinds: str) -> list[Feature]:
    return [f for f in section.scene.features if f.what in kinds]


def _water(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[Mark]:
    lowest = section.scene.features[-1].depth_ft
    highest = min(w.from_ft for w in walls)
    for what, how in (("water", "still"), ("pumping", "drawn")):
        for level in _of(section, what):
            if level.depth_ft < lowest:
                top = max(level.depth_ft, highest)
                for area in _filled(walls, top, lowest, scale):
                    yield Box(how, *area)


def _levels(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[Mark]:
    """A line at each level with the triangle that stands for a water table."""
    for level in _of(section, "water", "pumping"):
        y, half = scale(level.depth_ft), _half_at(walls, level.depth_ft)
        name = "level" if level.what == "water" else "pumping"
        yield Stroke(name, CENTRE - half, y, CENTRE + half, y)
        x = CENTRE - half + 11
        yield Shape("mark", (((x - 5, y - 8), (x + 5, y - 8), (x, y)),), closed=True)


def _no_water(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[Mark]:
    lowest = section.scene.features[-1].depth_ft
    short, dry = section.reach.short_from_ft, section.reach.dry_from_ft
    end = lowest if dry is None else min(dry, lowest)
    if short is not None and short < end:
        yield from (Hatch("may", *area) for area in _filled(walls, short, end, scale))
    if end < lowest:
        yield from (Hatch("dry", *area) for area in _filled(walls, end, lowest, scale))


def _ground_and_bottom(section: CrossSection, widest: float, scale: Scale) -> Iterator[Mark]:
    y, x = scale(0), CENTRE
    yield Stroke("ground", x - widest - 26, y, x - widest, y)
    yield Stroke("ground", x + widest, y, x + widest + 26, y)
    for bottom in _of(section, "bottom", "open", "before"):
        name = "casing" if bottom.what == "bottom" else "unknown"
        yield Stroke(name, x - widest, scale(bottom.depth_ft), x + widest, scale(bottom.depth_ft))


# -- the string --------------------------------------------------------------------------------


def _string(section: CrossSection, scale: Scale) -> Iterator[Mark]:
    hole, lowest = section.hole, section.scene.features[-1].depth_ft
    seal = next((f.depth_ft for f in _of(section, "seal")), -(hole.stick_up_ft or 0.0))
    for number, pipe in enumerate(section.reach.pipes):
        yield from _pipe(pipe, seal if number == 0 else 0.0, lowest, scale)
    for _, cable in hole.parts(Cable):
        y1, y2 = scale(cable.from_ft or 0.0), scale(min(_cable_end(hole, cable), lowest))
        if y2 > y1:
            yield Shape("cable", (((CENTRE + 11, y1), (CENTRE + 11, y2)),))
    for depth_ft, what in damage(hole):
        yield _hurt(scale(depth_ft), what)
    for feature in _of(section, "seal", "valve", "arrestor", "pump"):
        yield from _part(feature, scale(feature.depth_ft))


def _pipe(reach: PipeReach, top: float, lowest: float, scale: Scale) -> Iterator[Mark]:
    """A section; what hangs there but is not on record is drawn as of no known material."""
    pipe, foot = reach.pipe, lowest if reach.hangs_to_ft is None else reach.hangs_to_ft
    ends = pipe.to_ft if reach.beyond_record and pipe.to_ft is not None else foot
    begins = pipe.from_ft if pipe.from_ft else top
    x = CENTRE - 5
    yield box(f"pipe {_material_class(pipe)}", x, scale(begins), 10, scale(ends) - scale(begins))
    if reach.beyond_record:
        yield box("pipe untold", x, scale(ends), 10, scale(foot) - scale(ends))
    if reach.too_deep_with_cut_out and reach.limits is not None:
        past = scale(max(reach.limits.drawn_down_ft, begins))
        height = scale(foot) - past
        yield Hatch("over", x, past, 10, height)


def _material_class(pipe: Pipe) -> str:
    if pipe.material is None:
        return "untold"
    return "metal" if is_metal(pipe.material) else "plastic"


def _cable_end(hole: Hole, cable: Cable) -> float:
    pump = hole.down(Kind.PUMP)
    hangs = getattr(pump[-1].part, "set_depth_ft", None) if pump else None
    return cable.to_ft or hangs or 0.0


def damage(hole: Hole) -> list[tuple[float, FoundKind]]:
    """Splices and rubs where the latest inspection of the cable that is there found them."""
    there = {c.uid for c in hole.down(Kind.CABLE)}
    days = [i.on for i in hole.inspections if i.component_uid in there]
    last = max(days, default=None)
    return [
        (f.depth_ft, f.what)
        for f in hole.found
        if f.on == last and f.depth_ft is not None and f.what in (FoundKind.SPLICE, FoundKind.RUB)
    ]


def _hurt(y: float, what: FoundKind) -> Mark:
    x = CENTRE + 11
    if what is FoundKind.SPLICE:
        return Dot(x, y, 3.4)
    falling, rising = ((x - 4, y - 4), (x + 4, y + 4)), ((x - 4, y + 4), (x + 4, y - 4))
    return Shape("cable", (falling, rising))


def _part(feature: Feature, y: float) -> Iterator[Mark]:
    x = CENTRE
    if feature.what == "pump":
        yield Box("pump", x - 9, y - 6, 18, 18, rounded=4)
    elif feature.what == "valve":
        upper, lower = ((x - 8, y - 6), (x + 8, y - 6)), ((x + 8, y + 6), (x - 8, y + 6))
        yield Shape("part", ((*upper, (x, y), *lower, (x, y)),), closed=True)
    elif feature.what == "arrestor":
        yield Oval("part", x, y, 15, 4)
    else:
        yield box("part", x - 14, y - 4, 28, 8)


# -- limits --------------------------------------------------------------------------------------


def _limit_lines(section: CrossSection, widest: float, scale: Scale) -> Iterator[Mark]:
    x1, x2 = CENTRE - widest - 6, CENTRE + widest + 6
    lowest = section.scene.features[-1].depth_ft
    for f in _of(section, *(LIMITS - {"usable"})):
        name = "limit" if f.what in ("column", "with_cut_out") else "lift"
        y = scale(f.depth_ft)
        yield Stroke(name, x1, y, x2, y)
        if f.to_ft is not None:
            yield Stroke("band", x2, y, x2, scale(min(f.to_ft, lowest)))


def _usable(section: CrossSection, widest: float, scale: Scale) -> Iterator[Mark]:
    water = section.reach.water
    if water is None:
        return
    x, y1, y2 = CENTRE + widest + 10, scale(water.from_ft), scale(water.lifted_to_ft.low)
    yield Shape("usable", (((x - 5, y1), (x, y1), (x, y2), (x - 5, y2)),))
